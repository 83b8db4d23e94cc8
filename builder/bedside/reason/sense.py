"""Which signs it makes sense to ask about next. The grower writes it down; see `Sign`.

A sign is senseless when it was asked, when an answer that it needs was not given, or when
an answer given makes it impossible to see, tells it already, or is about something else;
also when something told could not be seen without it, so that its answer is known.
"""

from bedside.reason.evidence import Evidence
from bedside.reason.findings import Findings


def makes_sense(evidence: Evidence, findings: Findings, sign: str) -> bool:
    """Whether anybody who has found this could be asked about a sign."""
    needs = evidence.signs[sign].needs.items()
    return can_be_seen(evidence, findings, sign) and all(
        findings.get(needed) in said for needed, said in needs
    )


def can_be_seen(evidence: Evidence, findings: Findings, sign: str) -> bool:
    """Whether nothing told speaks against a look at a sign. What it needs may be untold:
    who is asked to open a leaf and look for pellets sees both at once."""
    table = evidence.signs[sign]
    return (
        sign not in findings
        and all(findings.get(it) in (None, *said) for it, said in table.needs.items())
        and table.not_after.isdisjoint(findings.values())
        and not any(sign in evidence.signs[told].needs for told in findings)
    )


def open_signs(evidence: Evidence, findings: Findings) -> tuple[str, ...]:
    """Every sign that could be asked about now, in the order of their ids."""
    return tuple(sign for sign in evidence.signs if makes_sense(evidence, findings, sign))
