"""What one wrong answer does, and one "I can't tell" in its place.

Every answer of every worked case and of every cause's most usual walk is changed to each
other answer of its sign, and what is shown then is compared with what was shown before.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from builder.model import Plant
from builder.reason.evidence import Evidence
from builder.reason.findings import Findings, findings_of
from builder.reason.gates import check_state, gate
from builder.reason.ranking import rank


@dataclass(frozen=True, kw_only=True, slots=True)
class Slips:
    """Shares (0 to 1) of `count` changed answers.

    `riskier`: a spray opened that was closed, though no check passed anew.
    """

    count: int
    first: float
    three: float
    possible: float
    riskier: float


@dataclass(frozen=True, kw_only=True, slots=True)
class _Changed:
    cause: str
    before: Findings
    after: Findings


def one_wrong_answer(
    plant: Plant, evidence: Evidence, sprays: Mapping[str, frozenset[str]]
) -> Slips:
    """Change one answer at a time; `sprays` as `gates.spray_tiers` gives them."""
    return _slips(evidence, list(_wrong(plant, evidence)), sprays)


def one_cant_tell(
    plant: Plant, evidence: Evidence, sprays: Mapping[str, frozenset[str]]
) -> Slips:
    """Take one answer away at a time; `sprays` as `gates.spray_tiers` gives them."""
    return _slips(evidence, list(_missing(plant, evidence)), sprays)


def usual_walk(plant: Plant, evidence: Evidence, cause: str) -> Findings:
    """The walk of a gardener who always gives the likeliest answer for this cause."""
    findings: dict[str, str | None] = {}
    node, row = plant.tree.first, evidence.causes.index(cause)
    while node in plant.tree.questions:
        question = plant.tree.questions[node]
        sign = evidence.signs[question.sign]
        answer = sign.answers[int(sign.read[row].argmax())]
        findings[question.sign] = answer
        node = question.ways[answer]
    return findings


def _walks(plant: Plant, evidence: Evidence) -> Iterator[tuple[str, Findings]]:
    for cause in evidence.causes:
        yield cause, usual_walk(plant, evidence, cause)
    for case in plant.cases:
        if case.cause in evidence.causes:
            yield case.cause, findings_of(evidence, case.findings).findings


def _wrong(plant: Plant, evidence: Evidence) -> Iterator[_Changed]:
    for cause, before in _walks(plant, evidence):
        for sign, said in before.items():
            for other in evidence.signs[sign].answers:
                if said is not None and other != said:
                    yield _Changed(
                        cause=cause, before=before, after={**before, sign: other}
                    )


def _missing(plant: Plant, evidence: Evidence) -> Iterator[_Changed]:
    for cause, before in _walks(plant, evidence):
        for sign in before:
            yield _Changed(cause=cause, before=before, after={**before, sign: None})


def _slips(
    evidence: Evidence, changed: list[_Changed], sprays: Mapping[str, frozenset[str]]
) -> Slips:
    rankings = [rank(evidence, slip.after) for slip in changed]
    pairs = list(zip(changed, rankings, strict=True))
    count = max(len(changed), 1)
    return Slips(
        count=len(changed),
        first=sum(slip.cause == after.top for slip, after in pairs) / count,
        three=sum(slip.cause in after.first(3) for slip, after in pairs) / count,
        possible=sum(after.share(slip.cause) > 0 for slip, after in pairs) / count,
        riskier=sum(_riskier(evidence, slip, sprays) for slip in changed) / count,
    )


def _riskier(
    evidence: Evidence, slip: _Changed, sprays: Mapping[str, frozenset[str]]
) -> bool:
    opened = _open(evidence, slip.after, sprays) - _open(evidence, slip.before, sprays)
    return any(
        check_state(evidence.checks[cause], slip.before) == "passed" for cause, _ in opened
    )


def _open(
    evidence: Evidence, findings: Findings, sprays: Mapping[str, frozenset[str]]
) -> frozenset[tuple[str, str]]:
    # Causes with the tiers of spray that are open for them.
    ranking = rank(evidence, findings)
    return frozenset(
        (cause, tier)
        for cause, check in evidence.checks.items()
        for tier in sprays.get(cause, ())
        if gate(check, tier, findings, ranking.share(cause)).open
    )
