"""The goals that this project set itself, each beside what is measured."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from bedside.measure.report import FINISHED, LINKS, MORE, Quality, ReaderQuality
from bedside.reason import scale

OF_THE_SITE = (LINKS, FINISHED, MORE)  # ways of asking that the site itself takes


@dataclass(frozen=True, kw_only=True, slots=True)
class Goal:
    """What was wanted and what came out for one kind of gardener."""

    id: str
    reader: str
    found: float
    bound: float
    at_least: bool  # else at most

    @property
    def met(self) -> bool:
        return self.found >= self.bound if self.at_least else self.found <= self.bound


@dataclass(frozen=True, kw_only=True, slots=True)
class _Wanted:
    """A bound for each kind of gardener; None where nothing is wanted of them."""

    id: str
    found: Callable[[ReaderQuality], float]
    careful: float
    hasty: float | None
    at_least: bool = False


WANTED = (
    _Wanted(
        id="right-of-every",
        found=lambda it: it.ways[FINISHED].of_every_right,
        careful=0.87,
        hasty=0.83,
        at_least=True,
    ),
    _Wanted(
        id="first-of-every",
        found=lambda it: it.ways[FINISHED].of_every_first,
        careful=0.83,
        hasty=0.79,
        at_least=True,
    ),
    _Wanted(
        id="right-with-more",
        found=lambda it: it.ways[MORE].of_every_right,
        careful=0.91,
        hasty=None,
        at_least=True,
    ),
    _Wanted(
        id="first-with-more",
        found=lambda it: it.ways[MORE].of_every_first,
        careful=0.88,
        hasty=None,
        at_least=True,
    ),
    _Wanted(
        id="right-by-links",
        found=lambda it: it.ways[LINKS].score.right,
        careful=0.50,
        hasty=0.43,
        at_least=True,
    ),
    _Wanted(
        id="first-by-links",
        found=lambda it: it.ways[LINKS].score.first,
        careful=0.38,
        hasty=0.30,
        at_least=True,
    ),
    _Wanted(id="looks", found=lambda it: it.ways[FINISHED].looks, careful=6.6, hasty=None),
    _Wanted(
        id="longest-walk",
        found=lambda it: it.ways[FINISHED].longest,
        careful=scale.MOST_LOOKS,
        hasty=scale.MOST_LOOKS,
    ),
    _Wanted(
        id="harmful",
        found=lambda it: max(it.ways[way].score.harmful for way in OF_THE_SITE),
        careful=0.001,
        hasty=0.001,
    ),
    _Wanted(
        id="idle-wrong",
        found=lambda it: max(it.ways[way].score.idle_wrong for way in OF_THE_SITE),
        careful=0.02,
        hasty=0.02,
    ),
    _Wanted(
        id="confident-wrong",
        found=lambda it: it.ways[FINISHED].score.confident_wrong,
        careful=0.025,
        hasty=0.035,
    ),
    _Wanted(
        id="overstated",
        found=lambda it: it.ways[FINISHED].overstated,
        careful=0.03,
        hasty=0.03,
    ),
    _Wanted(id="senseless", found=lambda it: it.senseless, careful=0, hasty=0),
)


def goals(quality: Quality) -> tuple[Goal, ...]:
    """All goals, once for each kind of gardener."""
    return tuple(_goals(quality))


def _goals(quality: Quality) -> Iterator[Goal]:
    for wanted in WANTED:
        for reader in quality.readers:
            bound = {"careful": wanted.careful, "hasty": wanted.hasty}[reader.reader]
            if bound is not None:
                yield Goal(
                    id=wanted.id,
                    reader=reader.reader,
                    found=wanted.found(reader),
                    bound=bound,
                    at_least=wanted.at_least,
                )
