"""The goals that this project set itself, each beside what is measured."""

from collections.abc import Iterator
from dataclasses import dataclass

from builder.reason.report import Quality, ReaderQuality

OF_MOST_TELLING = 0.95
OF_CEILING = 0.85
LONGEST_WALK = 7
MOST_PAGES = 150
MOST_CONFIDENT_WRONG = 0.05
MOST_OVERSTATED = 0.05


@dataclass(frozen=True, kw_only=True, slots=True)
class Goal:
    """What was wanted and what came out. `reader` is empty where it is no matter of one."""

    id: str
    reader: str
    found: float
    bound: float
    at_least: bool  # else at most

    @property
    def met(self) -> bool:
        return self.found >= self.bound if self.at_least else self.found <= self.bound


def goals(quality: Quality) -> tuple[Goal, ...]:
    """All goals, those for a kind of gardener once for each."""
    found = [
        _goal("longest-walk", quality.longest, LONGEST_WALK),
        _goal("pages", quality.questions + quality.ends, MOST_PAGES),
    ]
    for reader in quality.readers:
        found += _of_reader(reader)
    return tuple(found)


def _of_reader(it: ReaderQuality) -> Iterator[Goal]:
    tree, telling, all_ = it.tree.common, it.most_telling.common, it.everything.common
    for name, bound, other in (
        ("of-most-telling", OF_MOST_TELLING, telling),
        ("of-ceiling", OF_CEILING, all_),
    ):
        for what in ("right", "first"):
            share = getattr(tree, what) / max(getattr(other, what), 1e-12)
            yield _goal(f"{what}-{name}", share, bound, it.reader, at_least=True)
    yield _goal("harmful", tree.harmful, 0.0, it.reader)
    yield _goal("confident-wrong", tree.confident_wrong, MOST_CONFIDENT_WRONG, it.reader)
    if it.reader == "hasty":
        yield _goal("overstated", it.overstated, MOST_OVERSTATED, it.reader)


def _goal(
    name: str, found: float, bound: float, reader: str = "", *, at_least: bool = False
) -> Goal:
    return Goal(id=name, reader=reader, found=found, bound=bound, at_least=at_least)
