"""Where the marks of the pictures of quality go; the template says with which pen.

All shares are 0 to 1. A picture's sheet is in units of its viewBox, down and to the right.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import sqrt

WIDTH, HEIGHT = 320, 190
LEFT, RIGHT, TOP, BOTTOM = 26, 216, 10, 164
LABEL_APART = 15
SIDE = 200
EDGE = 26
LARGEST = 9.0


@dataclass(frozen=True, kw_only=True, slots=True)
class Line:
    """One way of asking: its points, and where its name stands."""

    id: str
    points: str
    dots: tuple[tuple[float, float], ...]
    end: float
    label: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Curves:
    """Right first steps against the number of looks."""

    width: int
    height: int
    left: int
    right: int
    bottom: int
    looks: tuple[tuple[int, float], ...]  # number, x
    tens: tuple[tuple[int, float], ...]  # of ten gardeners, y
    lines: tuple[Line, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Dots:
    """Shown "n in 10" against what is true; on the slope both agree."""

    side: int
    edge: int
    ticks: tuple[tuple[int, float, float], ...]  # of ten, x, y
    sets: tuple[tuple[str, tuple[tuple[float, float, float], ...]], ...]  # x, y, radius


@dataclass(frozen=True, kw_only=True, slots=True)
class Tens:
    """Ten gardeners, shared out; `hundred` holds the same of a hundred."""

    right: int
    wasted: int
    harmful: int
    hundred: tuple[int, int, int]


def tens(right: float, wasted: float, harmful: float) -> Tens:
    """Share ten figures out so that they come nearest; the three shares sum to 1."""
    ten = shared_out((right, wasted, harmful), 10)
    hundred = shared_out((right, wasted, harmful), 100)
    return Tens(
        right=ten[0], wasted=ten[1], harmful=ten[2],
        hundred=(hundred[0], hundred[1], hundred[2]),
    )  # fmt: skip


def shared_out(shares: Sequence[float], count: int) -> tuple[int, ...]:
    """Whole numbers that sum to `count`: the largest remainders are rounded up."""
    exact = [share * count / sum(shares) for share in shares]
    whole = [int(each) for each in exact]
    order = sorted(range(len(exact)), key=lambda at: whole[at] - exact[at])
    for at in order[: count - sum(whole)]:
        whole[at] += 1
    return tuple(whole)


def curves(lines: Mapping[str, Sequence[float]]) -> Curves:
    """Put lines into one picture; a line of one value is drawn all the way across."""
    longest = max(map(len, lines.values())) - 1
    ends = {name: _y(values[-1]) for name, values in lines.items()}
    labels = spread(ends)
    return Curves(
        width=WIDTH,
        height=HEIGHT,
        left=LEFT,
        right=RIGHT,
        bottom=BOTTOM,
        looks=tuple((n, _x(n, longest)) for n in range(longest + 1)),
        tens=tuple((n, _y(n / 10)) for n in (0, 5, 10)),
        lines=tuple(
            Line(
                id=name,
                points=" ".join(f"{x:g},{y:g}" for x, y in _points(values, longest)),
                dots=_points(values, longest) if len(values) > 1 else (),
                end=ends[name],
                label=labels[name],
            )
            for name, values in lines.items()
        ),
    )


def spread(ends: Mapping[str, float]) -> dict[str, float]:
    """Move names apart, from the top down, so that none covers another."""
    order = sorted(ends, key=ends.__getitem__)
    found = dict(ends)
    for above, below in pairwise(order):
        found[below] = max(found[below], found[above] + LABEL_APART)
    return {name: round(found[name], 1) for name in ends}


def dots(sets: Mapping[str, Sequence[tuple[int, float, float]]]) -> Dots:
    """Put rows of (tenths shown, share true, share of gardeners) on a square."""
    return Dots(
        side=SIDE,
        edge=EDGE,
        ticks=tuple((n, _over(n / 10), _up(n / 10)) for n in range(0, 11, 2)),
        sets=tuple(
            (name, tuple(_dot(*row) for row in rows)) for name, rows in sets.items()
        ),
    )


def _dot(tenths: int, true: float, gardeners: float) -> tuple[float, float, float]:
    # The area says how many gardeners are shown this.
    radius = round(LARGEST * sqrt(gardeners / 0.25), 1)
    return _over(tenths / 10), _up(true), min(max(radius, 2.5), LARGEST)


def _points(values: Sequence[float], longest: int) -> tuple[tuple[float, float], ...]:
    if len(values) == 1:
        return (_x(0, longest), _y(values[0])), (_x(longest, longest), _y(values[0]))
    return tuple((_x(n, longest), _y(value)) for n, value in enumerate(values))


def _x(looks: int, longest: int) -> float:
    return round(LEFT + 6 + (RIGHT - LEFT - 6) * looks / max(longest, 1), 1)


def _y(share: float) -> float:
    return round(BOTTOM - (BOTTOM - TOP) * share, 1)


def _over(share: float) -> float:
    return round(EDGE + (SIDE - EDGE - 10) * share, 1)


def _up(share: float) -> float:
    return round(SIDE - EDGE - (SIDE - EDGE - 10) * share, 1)
