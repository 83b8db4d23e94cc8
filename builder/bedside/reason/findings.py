"""What a gardener has told us, how an address holds it, and what may be asked then.

`#edge-bites.dust.underside`: answers name their sign; a sign's own id means that it was
asked and "I can't tell". Text from an address may be anything; what is not understood is
left out with a note, and never trusted.

A sign is senseless when it was asked, when an answer that it needs was not given, or when
an answer given makes it impossible to see, tells it already, or is about something else;
also when something told could not be seen without it, so that its answer is known. The
grower writes all that down; see `Sign`.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

from bedside.reason import scale
from bedside.reason.evidence import Evidence, Findings

ID = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")


@dataclass(frozen=True, kw_only=True, slots=True)
class Note:
    """Something in an address that does not count.

    Kinds: malformed, unknown, repeated, contradictory (two answers to one sign: neither
    counts), unfit (another answer denies what the sign needs). The token is not escaped.
    """

    kind: str
    token: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Parsed:
    findings: Findings
    notes: tuple[Note, ...]


def format_fragment(findings: Findings) -> str:
    """Write findings as a fragment, without `#`, in the order they were given."""
    return ".".join(answer or sign for sign, answer in findings.items())


def findings_of(evidence: Evidence, tokens: Iterable[str]) -> Parsed:
    """Findings from answer ids and sign ids; what contradicts itself does not count."""
    given: dict[str, list[str | None]] = {}
    notes: list[Note] = []
    for place, token in enumerate(tokens):
        kind = "malformed" if place >= scale.MOST_TOKENS else _add(evidence, token, given)
        if kind:
            notes.append(Note(kind=kind, token=token[: scale.LONGEST_TOKEN]))
        if place >= scale.MOST_TOKENS:
            break
    findings, conflicts = _settle(evidence, given)
    return Parsed(findings=findings, notes=(*notes, *conflicts))


def _add(evidence: Evidence, token: str, given: dict[str, list[str | None]]) -> str:
    # The word for what is wrong with the token, or nothing.
    if len(token) > scale.LONGEST_TOKEN or not ID.fullmatch(token):
        return "malformed"
    answer: str | None = token
    if token in evidence.answers:
        sign = evidence.answers[token][0]
    elif token in evidence.signs:
        sign, answer = token, None
    else:
        return "unknown"
    if answer in given.setdefault(sign, []):
        return "repeated"
    given[sign].append(answer)
    return ""


def _settle(
    evidence: Evidence, given: Mapping[str, list[str | None]]
) -> tuple[Findings, list[Note]]:
    findings: dict[str, str | None] = {}
    notes: list[Note] = []
    for sign, said in given.items():
        answers = [answer for answer in said if answer is not None]
        if len(answers) < 2:
            findings[sign] = answers[0] if answers else None
            notes += [Note(kind="repeated", token=sign)] * (len(said) - 1)
        else:
            notes += [Note(kind="contradictory", token=answer) for answer in answers]
    unfit = [sign for sign in findings if _denied(evidence, sign, findings)]
    notes += [Note(kind="unfit", token=findings.pop(sign) or sign) for sign in unfit]
    return findings, notes


def _denied(evidence: Evidence, sign: str, findings: Findings) -> bool:
    return any(
        findings.get(needed) is not None and findings[needed] not in answers
        for needed, answers in evidence.signs[sign].needs.items()
    )


def makes_sense(evidence: Evidence, findings: Findings, sign: str) -> bool:
    """Whether anybody who has found this could be asked about a sign."""
    needs = evidence.signs[sign].needs.items()
    return can_be_seen(evidence, findings, sign) and all(
        findings.get(needed) in said for needed, said in needs
    )


def can_be_seen(evidence: Evidence, findings: Findings, sign: str) -> bool:
    """Whether nothing told speaks against a look at a sign. What it needs may be untold:
    who is asked to open a leaf and look for pellets sees both at once."""
    if sign in findings:
        return False
    table = evidence.signs[sign]
    return (
        table.not_after.isdisjoint(findings.values())
        and _needed_by(evidence)[sign].isdisjoint(findings)
        and all(findings.get(it) in (None, *said) for it, said in table.needs.items())
    )


@lru_cache(maxsize=64)
def _needed_by(evidence: Evidence) -> Mapping[str, frozenset[str]]:
    # For each sign, those that can't be seen without it.
    return {
        sign: frozenset(it.id for it in evidence.signs.values() if sign in it.needs)
        for sign in evidence.signs
    }


def open_signs(evidence: Evidence, findings: Findings) -> tuple[str, ...]:
    """Every sign that could be asked about now, in the order of their ids."""
    return tuple(sign for sign in evidence.signs if makes_sense(evidence, findings, sign))
