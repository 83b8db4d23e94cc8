"""How good the knowledge and the tree are: everything the report says, from exact walks.

Exact over all ways, ends and causes; only "every sign asked" and "random order" are drawn,
with their standard errors. Nothing here is measured on gardeners: it says what follows if
the records are true.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from builder.model import Control, Plant, Tree
from builder.reason import scale
from builder.reason.bounds import capacity, fewest_questions, huffman_length
from builder.reason.case_scores import score_cases
from builder.reason.evidence import Evidence, Table, weigh
from builder.reason.faults import easier_looks, idle_questions, idle_signs, unseparated
from builder.reason.gates import spray_tiers
from builder.reason.looks import entropy
from builder.reason.ranking import rank
from builder.reason.readers import Crowd, careful, hasty, moved, strangers
from builder.reason.report import (
    CauseQuality,
    Drawn,
    MovedQuality,
    Quality,
    ReaderQuality,
    StrangerQuality,
    Strategy,
)
from builder.reason.sampling import everything_asked, random_order, standard_error
from builder.reason.scores import Verdicts, judge, overstated, reliability, score
from builder.reason.slips import one_cant_tell, one_wrong_answer
from builder.reason.walks import Stand, most_telling_tree, walk

MOVED_TABLES = 5
STRANGERS_SEED = 7


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class _Walked:
    stands: tuple[Stand, ...]
    verdicts: Verdicts
    reach: Table  # stands x crowds x causes
    looks: NDArray[np.int_]
    ended: NDArray[np.bool_]


def measure(plant: Plant, controls: Mapping[str, Control]) -> Quality:
    """Measure one plant whose records are clean. Takes seconds, not minutes."""
    evidence = weigh(plant)
    crowds = _crowds(plant, evidence)
    walked = _walk(evidence, plant.tree, crowds)
    longest = int(walked.looks.max())
    telling_tree = most_telling_tree(evidence, len(plant.tree.questions), longest)
    telling = _walk(evidence, telling_tree, crowds[:2])
    unlisted = tuple(c.id for c in plant.causes.values() if c.kind == "unlisted")
    widest = max(len(sign.answers) for sign in evidence.signs.values())
    bits = float(entropy(evidence.prior))
    sprays = spray_tiers(plant, controls)
    return Quality(
        plant=plant.id,
        causes=len(evidence.causes),
        signs=len(evidence.signs),
        questions=len(plant.tree.questions),
        ends=len(plant.tree.ends),
        longest=longest,
        bits=bits,
        yes_no_bound=huffman_length(evidence.prior.tolist()),
        bound=bits / float(np.log2(widest)),
        noisy_bound=bits / capacity(scale.HASTY_ACCURACY, widest),
        one_lie_bound=fewest_questions(len(evidence.causes), lies=1),
        readers=tuple(
            _reader(evidence, crowds[place], place, walked, telling) for place in range(2)
        ),
        moved=_moved(evidence, walked),
        strangers=_strangers(evidence, walked, unlisted),
        one_wrong=one_wrong_answer(plant, evidence, sprays),
        one_cant_tell=one_cant_tell(plant, evidence, sprays),
        unseparated=unseparated(evidence, ignore=unlisted),
        idle_signs=idle_signs(evidence, walked.stands),
        idle_questions=idle_questions(evidence, plant.tree, walked.stands),
        easier=easier_looks(evidence, plant.tree, walked.stands),
        cases=score_cases(plant, evidence),
    )


def _crowds(plant: Plant, evidence: Evidence) -> tuple[Crowd, ...]:
    tables = (moved(plant, seed) for seed in range(MOVED_TABLES))
    return (
        careful(evidence),
        hasty(evidence),
        *tables,
        strangers(evidence, STRANGERS_SEED),
    )


def _walk(evidence: Evidence, tree: Tree, crowds: Sequence[Crowd]) -> _Walked:
    stands = tuple(walk(evidence, tree, crowds))
    shares = np.stack([rank(evidence, stand.findings).vector for stand in stands])
    return _Walked(
        stands=stands,
        verdicts=judge(evidence, shares),
        reach=np.stack([stand.reach for stand in stands]),
        looks=np.array([stand.looks for stand in stands]),
        ended=np.array([stand.ended for stand in stands]),
    )


def _at(walked: _Walked, looks: int) -> NDArray[np.bool_]:
    # Where gardeners are who stop after so many looks: 1 or 0 for each stand.
    return np.asarray((walked.ended & (walked.looks <= looks)) | (walked.looks == looks))


def _reader(
    evidence: Evidence, crowd: Crowd, place: int, walked: _Walked, telling: _Walked
) -> ReaderQuality:
    at_end = walked.reach[:, place] * walked.ended[:, None]
    common = at_end * evidence.prior
    rows = reliability(walked.verdicts, common)
    looks = float((common.sum(axis=1) * walked.looks).sum())
    return ReaderQuality(
        reader=crowd.name,
        tree=_strategy(evidence, walked, place),
        most_telling=_strategy(evidence, telling, place),
        everything=_drawn(evidence, *everything_asked(evidence, crowd)),
        unordered=_drawn(evidence, *random_order(evidence, crowd, round(looks))),
        causes=tuple(
            CauseQuality(
                cause=cause,
                score=score(walked.verdicts, at_end * np.eye(len(evidence.causes))[column]),
            )
            for column, cause in enumerate(evidence.causes)
        ),
        looks=looks,
        reliability=rows,
        overstated=overstated(rows),
    )


def _strategy(evidence: Evidence, walked: _Walked, place: int) -> Strategy:
    reach = walked.reach[:, place]
    end = walked.ended[:, None]
    longest = int(walked.looks.max())
    return Strategy(
        common=score(walked.verdicts, reach * end * evidence.prior),
        equal=score(walked.verdicts, reach * end),
        curve=tuple(
            score(walked.verdicts, reach * _at(walked, looks)[:, None] * evidence.prior)
            for looks in range(longest + 1)
        ),
    )


def _drawn(evidence: Evidence, shares: Table, truth: Table) -> Drawn:
    verdicts = judge(evidence, shares)
    drawn = truth.sum(axis=0)
    hits, steps = (
        (truth * table).sum(axis=0) / drawn for table in (verdicts.first, verdicts.right)
    )
    return Drawn(
        common=score(verdicts, truth * evidence.prior),
        equal=score(verdicts, truth),
        drawn=len(shares),
        error_first=standard_error(hits, evidence.prior),
        error_right=standard_error(steps, evidence.prior),
    )


def _moved(evidence: Evidence, walked: _Walked) -> MovedQuality:
    ends = walked.ended[:, None] * evidence.prior
    reaches = [walked.reach[:, 2 + table] * ends for table in range(MOVED_TABLES)]
    scores = [score(walked.verdicts, reach) for reach in reaches]
    return MovedQuality(
        tables=MOVED_TABLES,
        right=sum(s.right for s in scores) / MOVED_TABLES,
        first=sum(s.first for s in scores) / MOVED_TABLES,
        least_right=min(s.right for s in scores),
        least_first=min(s.first for s in scores),
        overstated=max(overstated(reliability(walked.verdicts, r)) for r in reaches),
    )


def _strangers(
    evidence: Evidence, walked: _Walked, unlisted: Sequence[str]
) -> StrangerQuality:
    reach = walked.reach[:, -1] * walked.ended[:, None]
    mass = reach.sum(axis=1) / reach.sum()
    columns = [evidence.causes.index(cause) for cause in unlisted]
    return StrangerQuality(
        cant_tell=float(mass[walked.verdicts.tenths < 0].sum()),
        unlisted_first=float(mass @ walked.verdicts.first[:, columns].sum(axis=1)),
        confident=float(mass[walked.verdicts.confident].sum()),
    )
