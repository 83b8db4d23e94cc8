"""Places on walks, and who comes there.

By links alone, with scripts off, the chances are exact: a place knows only that one came to
it. In all other ways of asking they are shares of drawn gardeners.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bedside.measure.gardeners import Crowd, Gardeners, Stand, Walks, as_said
from bedside.measure.scores import Verdicts, judge
from bedside.model.records import Tree
from bedside.reason.arrival import arrived
from bedside.reason.evidence import Evidence, Table
from bedside.reason.ranking import rank

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
