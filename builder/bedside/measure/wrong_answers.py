"""What one wrong answer does, and one "I can't tell" in its place.

Every answer of every worked case and of every cause's most usual walk is changed to each
other answer of its sign. A walk goes on from there as the site would ask then. What is
shown in the end is compared with what was shown before.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from bedside.measure.report import WrongAnswers
from bedside.model.records import Plant
from bedside.reason.evidence import Evidence, Findings
from bedside.reason.findings import findings_of
from bedside.reason.next_look import usual_walk
from bedside.reason.ranking import rank
from bedside.reason.steps import check_state, gate

# What may be said to a sign in place of what was said.
Instead = Callable[[str, str], Sequence[str | None]]


@dataclass(frozen=True, kw_only=True, slots=True)
class _Changed:
    cause: str
    before: Findings
    after: Findings


def one_wrong_answer(
    plant: Plant, evidence: Evidence, sprays: Mapping[str, frozenset[str]]
) -> WrongAnswers:
    """Change one answer at a time; `sprays` as `steps.spray_tiers` gives them."""

    def others(sign: str, said: str) -> Sequence[str | None]:
        return [it for it in evidence.signs[sign].answers if it != said]

    return _wrong_answers(evidence, list(_changed(plant, evidence, others)), sprays)


def one_cant_tell(
    plant: Plant, evidence: Evidence, sprays: Mapping[str, frozenset[str]]
) -> WrongAnswers:
    """Take one answer away at a time; `sprays` as `steps.spray_tiers` gives them."""

    def nothing(_sign: str, _said: str) -> Sequence[str | None]:
        return [None]

    return _wrong_answers(evidence, list(_changed(plant, evidence, nothing)), sprays)


def _changed(plant: Plant, evidence: Evidence, instead: Instead) -> Iterator[_Changed]:
    for cause in evidence.causes:
        walk = usual_walk(evidence, plant.tree, cause)
        for before, slip in _slipped(walk, instead):
            after = usual_walk(evidence, plant.tree, cause, {**before, **slip})
            yield _Changed(cause=cause, before=walk, after=after)
    for case in plant.cases:
        if case.cause in evidence.causes:
            told = findings_of(evidence, case.findings).findings
            for _, slip in _slipped(told, instead):
                yield _Changed(cause=case.cause, before=told, after={**told, **slip})


def _slipped(findings: Findings, instead: Instead) -> Iterator[tuple[Findings, Findings]]:
    # Each change of one answer, with what was said before it.
    before: dict[str, str | None] = {}
    for sign, said in findings.items():
        if said is not None:
            for other in instead(sign, said):
                yield dict(before), {sign: other}
        before[sign] = said


def _wrong_answers(
    evidence: Evidence, changed: list[_Changed], sprays: Mapping[str, frozenset[str]]
) -> WrongAnswers:
    rankings = [rank(evidence, slip.after) for slip in changed]
    pairs = list(zip(changed, rankings, strict=True))
    count = max(len(changed), 1)
    return WrongAnswers(
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
