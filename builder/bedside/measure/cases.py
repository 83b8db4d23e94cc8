"""Worked cases from publications: what the arithmetic makes of their findings.

They are told in four ways, each scored, which shows how much of a hit is owed to what: with
all their findings; with what the site's questions would have found of them; with as many
questions in random order; with nothing found, where the commonest cause is named.
"""

from collections import Counter
from collections.abc import Iterator, Sequence

import numpy as np

from bedside.measure.gardeners import in_this_order
from bedside.measure.report import (
    CaseScores,
    CaseWay,
    CauseCases,
    SpecialCases,
)
from bedside.measure.scores import (
    Verdicts,
    brier,
    judge,
    log_score,
    reliability,
    score,
    wilson,
)
from bedside.model.records import Case, Plant, Tree
from bedside.reason import scale
from bedside.reason.evidence import Context, Evidence, Findings, Table
from bedside.reason.findings import findings_of
from bedside.reason.next_look import next_look
from bedside.reason.ranking import rank, two_troubles

ORDERS, SEED = 20, 5  # how many random orders for each case, and what they are drawn from


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
