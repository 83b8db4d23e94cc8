"""Worked cases told in four ways, each scored: how much of a hit is owed to what.

With all their findings; with what the site's questions would have found of them; with as
many questions in random order; with nothing found, where the commonest cause is named.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from bedside.measure.asking import in_this_order
from bedside.measure.scores import Score, brier, judge, log_score, score, wilson
from bedside.model.records import Case, Plant, Tree
from bedside.reason.evidence import Evidence, Table
from bedside.reason.findings import Context, Findings, findings_of
from bedside.reason.next_look import next_look
from bedside.reason.ranking import rank

ORDERS, SEED = 20, 5  # how many random orders for each case, and what they are drawn from


@dataclass(frozen=True, kw_only=True, slots=True)
class CaseWay:
    """Cases told in one way: "findings", "questions", "random" or "nothing"."""

    name: str
    told: float  # answers that are known, on average
    score: Score
    first_interval: tuple[float, float]  # Wilson, 95 %
    three_interval: tuple[float, float]
    brier: float
    log_score: float


def case_ways(
    plant: Plant, evidence: Evidence, cases: Sequence[Case]
) -> tuple[CaseWay, ...]:
    """Score the cases in each way; the cause of each must be on the list."""
    found = [findings_of(evidence, case.findings).findings for case in cases]
    pairs = list(zip(cases, found, strict=True))
    walked = [through_questions(plant.tree, evidence, *each) for each in pairs]
    draw, signs = np.random.default_rng(SEED), list(evidence.signs)
    unordered = [
        (case, in_this_order(evidence, each, draw.permutation(signs).tolist(), len(walk)))
        for (case, each), walk in zip(pairs, walked, strict=True)
        for _ in range(ORDERS)
    ]
    return (
        _way(evidence, "findings", pairs, len(cases)),
        _way(evidence, "questions", list(zip(cases, walked, strict=True)), len(cases)),
        _way(evidence, "random", unordered, len(cases)),
        _way(evidence, "nothing", [(case, {}) for case in cases], len(cases)),
    )


def case_shares(evidence: Evidence, told: Sequence[tuple[Case, Findings]]) -> Table:
    """What each case makes of the causes, at its own place and season: cases x causes."""
    return np.stack([rank(evidence, found, context(case)).vector for case, found in told])


def context(case: Case) -> Context:
    """Where and when a case was."""
    return Context(zone=case.zone, season=case.season)


def through_questions(
    tree: Tree, evidence: Evidence, case: Case, found: Findings
) -> Findings:
    """What the site learns from one who can tell only what is in `found`."""
    told: dict[str, str | None] = {}
    while look := next_look(evidence, tree, told, context(case)):
        told[look.sign] = found.get(look.sign)
    return told


def _way(
    evidence: Evidence, name: str, told: Sequence[tuple[Case, Findings]], count: int
) -> CaseWay:
    truth = [evidence.causes.index(case.cause) for case, _ in told]
    shares = case_shares(evidence, told)
    verdicts = judge(evidence, shares, [findings for _, findings in told])
    found = score(verdicts, np.eye(len(evidence.causes))[truth])
    known = sum(len(list(_known(findings))) for _, findings in told)
    return CaseWay(
        name=name,
        told=known / len(told),
        score=found,
        first_interval=wilson(found.first * count, count),
        three_interval=wilson(found.three * count, count),
        brier=brier(shares, truth),
        log_score=log_score(shares, truth),
    )


def _known(findings: Findings) -> Iterator[str]:
    return (said for said in findings.values() if said is not None)
