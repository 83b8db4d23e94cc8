"""How good the site's questions are, for careful and for hasty gardeners.

Exact for those who follow the links alone; all other ways of asking are tried on the same
drawn gardeners, with their standard errors. Nothing here is measured on real gardeners: it
says what follows if the records are true.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from bedside.measure.advice import easier_looks, idle_questions, idle_signs, unseparated
from bedside.measure.asking import (
    Ask,
    any_order,
    arithmetic_alone,
    at_once,
    every_sign,
    finished,
    senseless,
    tree_alone,
    two_more,
    walked,
)
from bedside.measure.cases import score_cases
from bedside.measure.gardeners import (
    PER_CAUSE,
    Crowd,
    Walks,
    careful,
    draw_gardeners,
    hasty,
    moved,
    standard_error,
    strangers,
)
from bedside.measure.report import (
    AT_ONCE,
    EVERY,
    FINISHED,
    LINKS,
    MORE,
    NOTHING,
    RANDOM,
    TELLING,
    TREE,
    CauseQuality,
    MovedQuality,
    Quality,
    ReaderQuality,
    Score,
    StrangerQuality,
    Way,
)
from bedside.measure.scores import (
    Places,
    by_links,
    ends,
    judged,
    overstated,
    reliability,
    score,
    stands,
)
from bedside.measure.wrong_answers import one_cant_tell, one_wrong_answer
from bedside.model.records import Control, Plant, Tree
from bedside.reason.evidence import Evidence, weigh
from bedside.reason.next_look import TINY, entropy
from bedside.reason.steps import spray_tiers

MOVED_TABLES = 5
FEWER = 5  # moved tables and strangers get this part of the gardeners
STRANGERS_SEED = 7


def measure(
    plant: Plant, controls: Mapping[str, Control], per_cause: int = PER_CAUSE
) -> Quality:
    """Measure one plant whose records are clean. Takes about a minute for 45 causes."""
    evidence = weigh(plant)
    asks = _asks(evidence, plant.tree)
    tried = [
        _try(evidence, plant.tree, crowd, asks, per_cause)
        for crowd in (careful(evidence), hasty(evidence))
    ]
    unlisted = tuple(c.id for c in plant.causes.values() if c.kind == "unlisted")
    walks = tried[0].places[FINISHED].stands
    sprays = spray_tiers(plant, controls)
    few = max(per_cause // FEWER, 1)
    return Quality(
        plant=plant.id,
        causes=len(evidence.causes),
        signs=len(evidence.signs),
        questions=len(plant.tree.questions),
        ends=len(plant.tree.ends),
        bits=float(entropy(evidence.prior)),
        per_cause=per_cause,
        readers=tuple(_reader(evidence, it, per_cause) for it in tried),
        moved=_moved(plant, evidence, asks[FINISHED], few),
        strangers=_strangers(evidence, asks[FINISHED], unlisted, few),
        one_wrong=one_wrong_answer(plant, evidence, sprays),
        one_cant_tell=one_cant_tell(plant, evidence, sprays),
        unseparated=unseparated(evidence, ignore=unlisted),
        idle_signs=idle_signs(evidence, walks),
        idle_questions=idle_questions(evidence, plant.tree),
        easier=easier_looks(evidence, walks),
        cases=score_cases(plant, evidence),
    )


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class _Tried:
    """One crowd, asked in every way."""

    crowd: Crowd
    places: Mapping[str, Places]
    asked: int
    senseless: int


def _asks(evidence: Evidence, tree: Tree) -> Mapping[str, Ask]:
    return {
        TREE: tree_alone(evidence, tree),
        FINISHED: finished(evidence, tree),
        MORE: two_more(evidence),
        TELLING: arithmetic_alone(evidence),
    }


def _try(
    evidence: Evidence, tree: Tree, crowd: Crowd, asks: Mapping[str, Ask], per_cause: int
) -> _Tried:
    drawn = draw_gardeners(evidence, crowd, per_cause)
    walks = {way: walked(evidence, drawn, asks[way]) for way in (TREE, FINISHED, TELLING)}
    more = walked(evidence, drawn, asks[MORE], walks[FINISHED])
    unfollowed: Mapping[str, Walks] = {
        MORE: more,
        EVERY: every_sign(evidence, drawn, walks[FINISHED]),
        AT_ONCE: at_once(evidence, drawn),
        RANDOM: any_order(evidence, drawn, walks[FINISHED]),
        NOTHING: ({},) * len(drawn.truth),
    }
    found = {
        LINKS: by_links(evidence, tree, crowd),
        **{way: stands(evidence, drawn, it) for way, it in walks.items()},
        **{way: ends(evidence, drawn, it) for way, it in unfollowed.items()},
    }
    return _Tried(
        crowd=crowd,
        places={way: judged(evidence, it) for way, it in found.items()},
        asked=sum(map(len, more)),
        senseless=senseless(evidence, more),
    )


def _reader(evidence: Evidence, tried: _Tried, per_cause: int) -> ReaderQuality:
    every = tried.places[AT_ONCE]
    most = score(every.verdicts, every.at_end * evidence.prior)
    at_end = tried.places[FINISHED].at_end
    verdicts = tried.places[FINISHED].verdicts
    return ReaderQuality(
        reader=tried.crowd.name,
        ways={
            way: _way(evidence, it, most, 0 if way == LINKS else per_cause)
            for way, it in tried.places.items()
        },
        causes=tuple(
            CauseQuality(cause=cause, score=score(verdicts, at_end * only))
            for cause, only in zip(
                evidence.causes, np.eye(len(evidence.causes)), strict=True
            )
        ),
        asked=tried.asked,
        senseless=tried.senseless,
    )


def _way(evidence: Evidence, places: Places, most: Score, per_cause: int) -> Way:
    # `per_cause` is 0 where nothing was drawn.
    common = places.at_end * evidence.prior
    found = score(places.verdicts, common)
    each = evidence.prior / per_cause if per_cause else None
    rows = reliability(places.verdicts, common, each)
    right, first = (
        standard_error((places.at_end * it).sum(axis=0), evidence.prior, per_cause)
        if per_cause
        else 0.0
        for it in (places.verdicts.right, places.verdicts.first)
    )
    return Way(
        score=found,
        equal=score(places.verdicts, places.at_end),
        error_right=right,
        error_first=first,
        of_every_right=found.right / max(most.right, TINY),
        of_every_first=found.first / max(most.first, TINY),
        looks=float(common.sum(axis=1) @ places.looks),
        longest=int(places.looks.max()),
        reliability=rows,
        overstated=overstated(rows),
        curve=_curve(evidence, places),
    )


def _curve(evidence: Evidence, places: Places) -> tuple[Score, ...]:
    # Only walks that were followed from place to place can be stopped early.
    if places.ended.all():
        return ()
    return tuple(
        score(places.verdicts, places.after(looks) * evidence.prior)
        for looks in range(int(places.looks.max()) + 1)
    )


def _finished(evidence: Evidence, crowd: Crowd, ask: Ask, per_cause: int) -> Places:
    drawn = draw_gardeners(evidence, crowd, per_cause)
    return judged(evidence, ends(evidence, drawn, walked(evidence, drawn, ask)))


def _moved(plant: Plant, evidence: Evidence, ask: Ask, per_cause: int) -> MovedQuality:
    tables = [
        _finished(evidence, moved(plant, seed), ask, per_cause)
        for seed in range(MOVED_TABLES)
    ]
    reaches = [it.at_end * evidence.prior for it in tables]
    pairs = [(it.verdicts, reach) for it, reach in zip(tables, reaches, strict=True)]
    scores = [score(*pair) for pair in pairs]
    return MovedQuality(
        tables=MOVED_TABLES,
        right=sum(s.right for s in scores) / MOVED_TABLES,
        first=sum(s.first for s in scores) / MOVED_TABLES,
        least_right=min(s.right for s in scores),
        least_first=min(s.first for s in scores),
        overstated=max(overstated(reliability(*pair)) for pair in pairs),
    )


def _strangers(
    evidence: Evidence, ask: Ask, unlisted: Sequence[str], per_cause: int
) -> StrangerQuality:
    places = _finished(evidence, strangers(evidence, STRANGERS_SEED), ask, per_cause)
    mass = places.at_end.sum(axis=1) / places.at_end.sum()
    columns = [evidence.causes.index(cause) for cause in unlisted]
    return StrangerQuality(
        cant_tell=float(mass[places.verdicts.tenths < 0].sum()),
        unlisted_first=float(mass @ places.verdicts.first[:, columns].sum(axis=1)),
        confident=float(mass[places.verdicts.confident].sum()),
    )
