"""Worked cases from publications: what the arithmetic makes of their findings."""

from dataclasses import dataclass

import numpy as np

from builder.model import Case, Plant
from builder.reason.evidence import Evidence
from builder.reason.findings import Context, findings_of
from builder.reason.ranking import Ranking, rank
from builder.reason.scores import (
    Reliability,
    Score,
    brier,
    judge,
    log_score,
    reliability,
    score,
    wilson,
)


@dataclass(frozen=True, kw_only=True, slots=True)
class CaseScores:
    """Scores of `count` cases, hits with Wilson's 95 % intervals, beside a baseline."""

    count: int
    score: Score
    first_interval: tuple[float, float]
    three_interval: tuple[float, float]
    reliability: tuple[Reliability, ...]
    brier: float
    log_score: float
    commonest_first: float  # if the commonest cause were always named
    missed: tuple[str, ...]  # cases whose cause is not among the first three


def score_cases(plant: Plant, evidence: Evidence) -> CaseScores | None:
    """Score the cases whose cause is on the list; None without any."""
    cases = [case for case in plant.cases if case.cause in evidence.causes]
    if not cases:
        return None
    rankings = [_ranking(evidence, case) for case in cases]
    shares = np.stack([ranking.vector for ranking in rankings])
    truth = [evidence.causes.index(case.cause) for case in cases]
    true = np.eye(len(evidence.causes))[truth]
    verdicts = judge(evidence, shares)
    first = round(float((true * verdicts.first).sum()))
    three = round(float((true * verdicts.three).sum()))
    commonest = rank(evidence, {}).top
    return CaseScores(
        count=len(cases),
        score=score(verdicts, true),
        first_interval=wilson(first, len(cases)),
        three_interval=wilson(three, len(cases)),
        reliability=reliability(verdicts, true),
        brier=brier(shares, truth),
        log_score=log_score(shares, truth),
        commonest_first=sum(case.cause == commonest for case in cases) / len(cases),
        missed=tuple(
            case.id
            for case, ranking in zip(cases, rankings, strict=True)
            if case.cause not in ranking.first(3)
        ),
    )


def _ranking(evidence: Evidence, case: Case) -> Ranking:
    findings = findings_of(evidence, case.findings).findings
    return rank(evidence, findings, Context(zone=case.zone, season=case.season))
