"""How good what is shown is, when the truth is known: hits, first steps, sureness; at every
place of a walk, for all who come there.

By links alone, with scripts off, the chances to come to a place are exact: it knows only
that one came. In all other ways of asking they are shares of drawn gardeners.
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bedside.measure.gardeners import Crowd, Gardeners, Stand, Walks, as_said
from bedside.measure.report import Reliability, Score
from bedside.model.records import Tree
from bedside.reason import scale
from bedside.reason.arrival import arrived
from bedside.reason.evidence import Evidence, Findings, Table
from bedside.reason.ranking import SAME, rank
from bedside.reason.scale import sureness
from bedside.reason.steps import FAMILY, NOTHING, chosen_steps, closed_steps

# A row of the reliability table with a smaller share of gardeners says nothing.
LEAST_MASS = 0.01
Z95 = 1.959963984540054  # standard errors that hold 95 in 100

# For each n of "n in 10", whether the surest word stands beside it.
VERY_LIKELY = np.array(
    [sureness(n / 10).word == scale.BANDS[0][1] for n in range(scale.MOST_TENTHS + 1)]
)


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Verdicts:
    """For m rankings and each true cause, what would be right. Tables are m x causes."""

    place: NDArray[np.int_]  # of the cause in the ranking; 0 is first
    first: Table
    three: Table
    right: Table
    harmful: Table
    idle: NDArray[np.bool_]  # the step shown leaves all as it is
    named: Table  # what the headline names holds the true cause
    tenths: NDArray[np.int_]  # what is shown as n in 10; -1 where nothing is named
    sure: Table  # the share behind it
    confident: NDArray[np.bool_]  # shown as very likely


def judge(evidence: Evidence, shares: Table, found: Sequence[Findings]) -> Verdicts:
    """Judge what is shown for m rankings (m x causes) of those who have found this."""
    order = np.argsort(-np.round(shares, SAME), axis=1, kind="stable")
    places = np.argsort(order, axis=1)
    heads = _headlines(evidence, shares)
    blocked = [
        closed_steps(evidence, it, named)
        for it, named in zip(found, heads.cause.tolist(), strict=True)
    ]
    steps = chosen_steps(evidence, shares, heads.cause, np.array(blocked))
    rights = np.array([step.right & ~step.harms for step in evidence.steps], dtype=float)
    harms = np.array([step.harms for step in evidence.steps], dtype=float)
    return Verdicts(
        place=places,
        first=(places == 0).astype(float),
        three=(places < 3).astype(float),
        right=rights[steps],
        harmful=harms[steps],
        idle=np.array([step.idle for step in evidence.steps])[steps],
        named=heads.named,
        tenths=heads.tenths,
        sure=heads.sure,
        confident=(heads.tenths >= 0) & VERY_LIKELY[heads.tenths],
    )


def score(verdicts: Verdicts, reach: Table) -> Score:
    """Score m rankings that gardeners reach with the chances of `reach` (m x causes)."""
    mass = reach / reach.sum()
    right = float((mass * verdicts.right).sum())
    harmful = float((mass * verdicts.harmful).sum())
    not_right = (mass * (1 - verdicts.right)).sum(axis=1)
    wrong = (mass * (1 - verdicts.named)).sum(axis=1)
    return Score(
        right=right,
        wasted=max(0.0, 1 - right - harmful),
        harmful=harmful,
        idle_wrong=float(not_right[verdicts.idle].sum()),
        first=float((mass * verdicts.first).sum()),
        three=float((mass * verdicts.three).sum()),
        confident_wrong=float(wrong[verdicts.confident].sum()),
        cant_tell=float(mass[verdicts.tenths < 0].sum()),
    )


def reliability(
    verdicts: Verdicts, reach: Table, each: Table | None = None
) -> tuple[Reliability, ...]:
    """What is shown against what is true, one row for each "n in 10" that is shown.

    `each` is the weight of one drawn gardener of each cause; nothing where none was drawn.
    """
    mass = reach / reach.sum()
    rows = []
    for tenths in sorted(set(verdicts.tenths[verdicts.tenths >= 0].tolist())):
        shown = verdicts.tenths == tenths
        gardeners = float(mass[shown].sum())
        if gardeners >= LEAST_MASS:
            computed = float((mass[shown].sum(axis=1) * verdicts.sure[shown]).sum())
            true = float((mass * verdicts.named)[shown].sum()) / gardeners
            squares = 0.0 if each is None else float(mass[shown].sum(axis=0) @ each)
            rows.append(
                Reliability(
                    tenths=tenths,
                    gardeners=gardeners,
                    computed=computed / gardeners,
                    true=true,
                    error=math.sqrt(true * (1 - true) * squares) / gardeners,
                )
            )
    return tuple(rows)


def overstated(rows: Sequence[Reliability]) -> float:
    """The most by which "n in 10" exceeds the truth beyond chance, which is taken to be two
    standard errors of what was drawn; below zero if it never does."""
    return max((row.tenths / 10 - row.true - 2 * row.error for row in rows), default=0.0)


def wilson(hits: float, count: int) -> tuple[float, float]:
    """Wilson's 95 % interval (1927) for a share."""
    share, z2 = hits / count, Z95 * Z95
    middle = share + z2 / (2 * count)
    spread = Z95 * math.sqrt(share * (1 - share) / count + z2 / (4 * count * count))
    return (middle - spread) / (1 + z2 / count), (middle + spread) / (1 + z2 / count)


def brier(shares: Table, truth: Sequence[int]) -> float:
    """Brier's score (1950): mean summed squared distance; 0 is best, 2 is worst.

    `shares` is cases x causes, `truth` the column that was true.
    """
    wanted = np.eye(shares.shape[1])[list(truth)]
    return float(((shares - wanted) ** 2).sum(axis=1).mean())


def log_score(shares: Table, truth: Sequence[int]) -> float:
    """Mean of minus the natural logarithm of the true cause's share; 0 is best."""
    return float(-np.log(shares[np.arange(len(truth)), list(truth)]).mean())


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class _Heads:
    cause: NDArray[np.int_]  # the place of the one cause that is named, FAMILY or NOTHING
    named: Table
    tenths: NDArray[np.int_]
    sure: Table


def _headlines(evidence: Evidence, shares: Table) -> _Heads:
    # What `ranking.headline` and `sureness` give, for all rankings in one go.
    first = np.argmax(np.round(shares, SAME), axis=1)
    sure = shares[np.arange(len(shares)), first]
    named = np.eye(shares.shape[1])[first]
    if evidence.families:
        family, members = _best_families(evidence, shares)
        least = np.maximum(scale.NAMED_FROM, sure + scale.FAMILY_ADDS)
        wins = (sure < scale.LIKELY_FROM) & (family >= least)
        named = np.where(wins[:, None], members, named)
        sure = np.where(wins, family, sure)
        first = np.where(wins, FAMILY, first)
    tenths = np.minimum(np.floor(10 * sure + 0.5), scale.MOST_TENTHS).astype(int)
    is_open = sure < scale.NAMED_FROM
    return _Heads(
        cause=np.where(is_open, NOTHING, first),
        named=np.where(is_open[:, None], 0.0, named),
        tenths=np.where(is_open, -1, tenths),
        sure=sure,
    )


def _best_families(evidence: Evidence, shares: Table) -> tuple[Table, Table]:
    # The share of the likeliest family of each ranking, and its members as 1 and 0.
    members = np.zeros((len(evidence.families), shares.shape[1]))
    for row, places in enumerate(evidence.families.values()):
        members[row, list(places)] = 1
    sums = shares @ members.T
    best = np.argmax(np.round(sums, SAME), axis=1)
    return sums[np.arange(len(shares)), best], members[best]


Said = tuple[tuple[str, str | None], ...]


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Places:
    """Places with what is shown there, judged. `reach` is places x causes."""

    stands: tuple[Stand, ...]
    verdicts: Verdicts
    reach: Table
    looks: NDArray[np.int_]
    ended: NDArray[np.bool_]

    @property
    def at_end(self) -> Table:
        """Where gardeners are in the end."""
        return self.reach * self.ended[:, None]

    def after(self, looks: int) -> Table:
        """Where gardeners are who stop after so many looks, if not before."""
        here = (self.looks == looks) | (self.ended & (self.looks < looks))
        return np.asarray(self.reach * here[:, None])


def judged(evidence: Evidence, found: Sequence[Stand]) -> Places:
    """What these places show, held against each cause."""
    shares = np.stack([stand.shares for stand in found])
    return Places(
        stands=tuple(found),
        verdicts=judge(evidence, shares, [stand.findings for stand in found]),
        reach=np.stack([stand.reach for stand in found]),
        looks=np.array([len(stand.findings) for stand in found]),
        ended=np.array([stand.ended for stand in found]),
    )


def by_links(evidence: Evidence, tree: Tree, crowd: Crowd) -> tuple[Stand, ...]:
    """The ends of a tree for those who follow its links."""
    comes = arrived(as_said(evidence, crowd), tree)
    return tuple(
        Stand(
            findings={**dict.fromkeys(come.asked), **come.findings},
            ended=True,
            shares=come.ranking.vector,
            reach=comes[place].reach,
        )
        for place, come in arrived(evidence, tree).items()
        if place in tree.ends
    )


def stands(evidence: Evidence, gardeners: Gardeners, walks: Walks) -> tuple[Stand, ...]:
    """Every place that somebody came by, from the first question on; each place once."""
    steps = (
        (cause, said[:looks])
        for cause, said in _each(gardeners, walks)
        for looks in range(len(said) + 1)
    )
    return _gathered(evidence, gardeners, walks, steps)


def ends(evidence: Evidence, gardeners: Gardeners, walks: Walks) -> tuple[Stand, ...]:
    """The places where somebody's walk came to its end."""
    return _gathered(evidence, gardeners, walks, _each(gardeners, walks))


def _each(gardeners: Gardeners, walks: Walks) -> Iterator[tuple[int, Said]]:
    for cause, walk in zip(gardeners.truth.tolist(), walks, strict=True):
        yield cause, tuple(walk.items())


def _gathered(
    evidence: Evidence,
    gardeners: Gardeners,
    walks: Walks,
    steps: Iterable[tuple[int, Said]],
) -> tuple[Stand, ...]:
    ended = {tuple(walk.items()) for walk in walks}
    each = np.bincount(gardeners.truth, minlength=len(evidence.causes))
    came: dict[Said, Table] = {}
    for cause, said in steps:
        if said not in came:
            came[said] = np.zeros(len(evidence.causes))
        came[said][cause] += 1 / each[cause]
    return tuple(
        Stand(
            findings=dict(said),
            ended=said in ended,
            shares=rank(evidence, dict(said)).vector,
            reach=reach,
        )
        for said, reach in came.items()
    )
