"""Worked cases from publications: what the arithmetic makes of their findings."""

from dataclasses import dataclass

import numpy as np

from builder.model import Case, Plant
from builder.reason.evidence import Evidence
from builder.reason.findings import Context, findings_of
from builder.reason.ranking import Ranking, rank
from builder.reason.scores import brier, log_score, wilson


@dataclass(frozen=True, kw_only=True, slots=True)
class CaseScores:
    """Hits over `count` cases, with Wilson's 95 % intervals, beside a baseline."""

    count: int
    first: float
    first_interval: tuple[float, float]
    three: float
    three_interval: tuple[float, float]
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
    pairs = list(zip(cases, rankings, strict=True))
    first = sum(_hit(case, ranking, 1) for case, ranking in pairs)
    three = sum(_hit(case, ranking, 3) for case, ranking in pairs)
    commonest = rank(evidence, {})
    return CaseScores(
        count=len(cases),
        first=first / len(cases),
        first_interval=wilson(first, len(cases)),
        three=three / len(cases),
        three_interval=wilson(three, len(cases)),
        brier=brier(shares, truth),
        log_score=log_score(shares, truth),
        commonest_first=sum(_hit(case, commonest, 1) for case in cases) / len(cases),
        missed=tuple(case.id for case, ranking in pairs if not _hit(case, ranking, 3)),
    )


def _ranking(evidence: Evidence, case: Case) -> Ranking:
    findings = findings_of(evidence, case.findings).findings
    return rank(evidence, findings, Context(zone=case.zone, season=case.season))


def _hit(case: Case, ranking: Ranking, count: int) -> bool:
    return case.cause in ranking.first(count)
