"""Which signs it makes sense to ask about next. The grower writes it down; see `Sign`.

A sign is senseless when it was asked, when an answer that it needs was not given, or when
an answer given makes it impossible to see, tells it already, or is about something else.
"""

from builder.reason.evidence import Evidence
from builder.reason.findings import Findings


def makes_sense(evidence: Evidence, findings: Findings, sign: str) -> bool:
    """Whether anybody who has found this could be asked about a sign."""
    table = evidence.signs[sign]
    return (
        sign not in findings
        and all(findings.get(needed) in said for needed, said in table.needs.items())
        and table.not_after.isdisjoint(findings.values())
    )


def open_signs(evidence: Evidence, findings: Findings) -> tuple[str, ...]:
    """Every sign that could be asked about now, in the order of their ids."""
    return tuple(sign for sign in evidence.signs if makes_sense(evidence, findings, sign))
