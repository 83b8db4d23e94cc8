"""Worked cases from publications: what the arithmetic makes of their findings."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from bedside.measure.case_ways import CaseWay, case_shares, case_ways
from bedside.measure.scores import Reliability, Verdicts, judge, reliability
from bedside.model.records import Case, Plant
from bedside.reason import scale
from bedside.reason.evidence import Evidence
from bedside.reason.findings import findings_of
from bedside.reason.two_troubles import two_troubles


@dataclass(frozen=True, kw_only=True, slots=True)
class CauseCases:
    """The cases of one cause: how many, and how many are named first and in three."""

    cause: str
    count: int
    first: int
    three: int


@dataclass(frozen=True, kw_only=True, slots=True)
class SpecialCases:
    """Counts of cases with two troubles and of cases off the list."""

    two: int
    two_in_three: int  # both are among the first three
    two_told: int  # two at once is the likelier reading
    off_list: int
    off_list_quiet: int  # no cause is called very likely


@dataclass(frozen=True, kw_only=True, slots=True)
class CaseScores:
    """Scores of `count` cases; `also` lets a cause count that the source accepts too."""

    count: int
    ways: tuple[CaseWay, ...]
    also_first: float
    also_three: float
    reliability: tuple[Reliability, ...]
    causes: tuple[CauseCases, ...]
    confused: tuple[tuple[str, str, int], ...]  # true, named first instead, how often
    special: SpecialCases
    missed: tuple[str, ...]  # cases whose cause is not among the first three


def score_cases(plant: Plant, evidence: Evidence) -> CaseScores | None:
    """Score the cases whose cause is on the list; None without any."""
    cases = [case for case in plant.cases if case.cause in evidence.causes]
    if not cases:
        return None
    told = [(case, findings_of(evidence, case.findings).findings) for case in cases]
    shares = case_shares(evidence, told)
    verdicts = judge(evidence, shares, [findings for _, findings in told])
    true = np.eye(len(evidence.causes))[[evidence.causes.index(c.cause) for c in cases]]
    pairs = list(zip(cases, _three(evidence, verdicts), strict=True))
    return CaseScores(
        count=len(cases),
        ways=case_ways(plant, evidence, cases),
        also_first=_accepted(pairs, 1),
        also_three=_accepted(pairs, 3),
        reliability=reliability(verdicts, true),
        causes=_by_cause(pairs),
        confused=_confused(pairs),
        special=_special(plant, evidence, pairs, verdicts),
        missed=tuple(case.id for case, named in pairs if case.cause not in named),
    )


def _three(evidence: Evidence, verdicts: Verdicts) -> list[tuple[str, ...]]:
    order = np.argsort(verdicts.place, axis=1)[:, :3]
    return [tuple(evidence.causes[column] for column in row) for row in order]


def _accepted(pairs: Sequence[tuple[Case, tuple[str, ...]]], count: int) -> float:
    hits = sum(
        not {case.cause, case.second, *case.also}.isdisjoint(named[:count])
        for case, named in pairs
    )
    return hits / len(pairs)


def _by_cause(pairs: Sequence[tuple[Case, tuple[str, ...]]]) -> tuple[CauseCases, ...]:
    count = Counter(case.cause for case, _ in pairs)
    first = Counter(case.cause for case, named in pairs if case.cause == named[0])
    three = Counter(case.cause for case, named in pairs if case.cause in named)
    return tuple(
        CauseCases(cause=it, count=count[it], first=first[it], three=three[it])
        for it in sorted(count)
    )


def _confused(
    pairs: Sequence[tuple[Case, tuple[str, ...]]],
) -> tuple[tuple[str, str, int], ...]:
    found = Counter(
        (case.cause, named[0]) for case, named in pairs if case.cause != named[0]
    )
    rows = sorted(found.items(), key=lambda row: (-row[1], row[0]))
    return tuple((true, named, count) for (true, named), count in rows)


def _special(
    plant: Plant,
    evidence: Evidence,
    pairs: Sequence[tuple[Case, tuple[str, ...]]],
    verdicts: Verdicts,
) -> SpecialCases:
    unlisted = {cause.id for cause in plant.causes.values() if cause.kind == "unlisted"}
    off_list = [case.cause in unlisted for case, _ in pairs]
    both = [(case, named) for case, named in pairs if case.second]
    return SpecialCases(
        two=len(both),
        two_in_three=sum({case.cause, case.second} <= set(named) for case, named in both),
        two_told=sum(_two_told(evidence, case) for case, _ in both),
        off_list=sum(off_list),
        off_list_quiet=int((np.array(off_list) & ~verdicts.confident).sum()),
    )


def _two_told(evidence: Evidence, case: Case) -> bool:
    found = findings_of(evidence, case.findings).findings
    return two_troubles(evidence, found).share >= scale.TWO_FROM
