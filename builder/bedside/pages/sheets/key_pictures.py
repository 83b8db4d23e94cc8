"""Pictures in the white beside short rows: a picture takes no room and covers no word."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

WIDTH, HEIGHT = 12.0, 9.0  # millimetres
CLEAR = 3.0  # between words and a picture
APART = 0.6  # between two pictures


@dataclass(frozen=True, kw_only=True, slots=True)
class Line:
    """Words in a column, from the top of it: where they stand, how far they reach.

    `middle` is where the picture of these words would have its own; none for no picture.
    """

    top: float
    bottom: float
    reach: float
    middle: float | None = None
    is_big: bool = False


def illustrated(lines: Sequence[Line], width: float, height: float) -> frozenset[int]:
    """Which lines have room for their picture; those with much below them choose first."""
    wanting = [at for at, line in enumerate(lines) if line.middle is not None]
    taken: dict[int, tuple[float, float]] = {}
    for at in sorted(wanting, key=lambda it: (not lines[it].is_big, it)):
        middle = lines[at].middle or 0.0
        top, bottom = middle - HEIGHT / 2, middle + HEIGHT / 2
        covered = any(
            line.reach + CLEAR > width - WIDTH for line in _across(lines, top, bottom)
        )
        met = any(
            top < below + APART and above < bottom + APART
            for above, below in taken.values()
        )
        if top >= 0 and bottom <= height and not covered and not met:
            taken[at] = top, bottom
    return frozenset(taken)


def _across(lines: Iterable[Line], top: float, bottom: float) -> Iterator[Line]:
    return (line for line in lines if line.top < bottom and line.bottom > top)
