"""The year of a place as one drawing, lying or standing: where every mark goes.

Python says where, the template says what stands there and with which pen. One set of
functions serves both drawings: `along` runs with the year, `across` runs from the frost to
the tasks.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from bedside.language.days import MONTH_LENGTHS, MONTH_STARTS, in_short, within_year
from bedside.model.season import DAYS, Frost, Place
from bedside.pages.frame.desk import View
from bedside.reason.usual_year import ALL_SEASON, InsectYear


@dataclass(frozen=True, kw_only=True, slots=True)
class Layout:
    """Sizes of a drawing, in its own units."""

    id: str
    upright: bool
    start: float  # along: where 1 January begins
    per_day: float
    breadth: float  # across: where the drawing ends
    warmth: tuple[float, float]  # across: from no warmth to the warmest
    tracks: float  # across: where the first insect's base line is
    per_track: float
    arc: float
    tasks: float  # across: where the first task stands
    per_task: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Label:
    x: float
    y: float
    anchor: str
    text: str


def lying(insects: int, tasks: int) -> Layout:
    """A wide strip, months running to the right."""
    first = 150.0
    end = first + 86.0 * (insects - 1) + 30 if insects else 26.0
    return Layout(
        id="wide", upright=False, start=8, per_day=984 / DAYS, breadth=end + 24 * tasks + 6,
        warmth=(92, 34), tracks=first, per_track=86, arc=-30, tasks=end + 14, per_task=24,
    )  # fmt: skip


def standing(insects: int) -> Layout:
    """A tall strip, months running down."""
    first = 98.0 if insects else 44.0
    return Layout(
        id="tall", upright=True, start=34, per_day=2.0, breadth=344,
        warmth=(42, 84), tracks=first, per_track=54, arc=28,
        tasks=first + 54 * insects, per_task=0,
    )  # fmt: skip


# The warmest usual day that a drawing must hold: the whole span between the thresholds.
WARMEST_TENTHS = 180
EVERY_DAYS = 10


Windows = Sequence[tuple[str, int, int]]  # name, first day, last day


def draw(place: Place, years: Sequence[InsectYear], tasks: Windows, to: Layout) -> View:
    """Put the marks of a year into a layout."""
    ending = to.start + DAYS * to.per_day + (8 if to.upright else 0)
    bars, lines, labels = _tasks(tasks, to)
    return {
        "id": to.id,
        "upright": to.upright,
        "width": round(to.breadth if to.upright else ending + 8),
        "height": round(ending if to.upright else to.breadth),
        "start": to.start,
        "per_day": round(to.per_day, 4),
        "months": _months(to),
        "grid": "".join(_line(to, day, day, 26, to.breadth) for day in MONTH_STARTS[1:]),
        "frost": "".join(_box(to, a, b, (26, to.breadth)) for a, b in cold(place.frost)),
        "warmth": _warmth(place, to) if years else "",
        "tracks": [_track(year, at, place, to) for at, year in enumerate(years)],
        "bars": bars,
        "lines": lines,
        "tasks": labels,
    }


def cold(frost: Frost) -> tuple[tuple[int, int], ...]:
    """The days of usual frost, as one or two stretches of the year."""
    if frost.kind == "any-month":
        return ((0, DAYS),)
    if frost.kind != "dates":
        return ()
    if frost.first >= DAYS:
        return ((frost.first - DAYS, frost.last),)
    return ((0, frost.last), (frost.first, DAYS))


def _point(to: Layout, along: float, across: float) -> str:
    x, y = (across, along) if to.upright else (along, across)
    return f"{_number(x)} {_number(y)}"


def _number(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")


def _at(to: Layout, day: float) -> float:
    return to.start + min(max(day, 0), DAYS) * to.per_day


def _line(to: Layout, first: float, last: float, near: float, far: float) -> str:
    return f"M{_point(to, _at(to, first), near)}L{_point(to, _at(to, last), far)}"


def _box(to: Layout, first: float, last: float, across: tuple[float, float]) -> str:
    near, far = across
    corners = ((first, near), (last, near), (last, far), (first, far))
    return "M" + "L".join(_point(to, _at(to, day), side) for day, side in corners) + "Z"


def _label(
    to: Layout, day: float, across: float, text: str, anchor: str = "start"
) -> Label:
    along = _at(to, day)
    x, y = (across, along + 4) if to.upright else (along, across)
    return Label(x=round(x, 1), y=round(y, 1), anchor=anchor, text=text)


def _months(to: Layout) -> tuple[Label, ...]:
    middles = (
        start + length / 2
        for start, length in zip(MONTH_STARTS, MONTH_LENGTHS, strict=True)
    )
    anchor = "start" if to.upright else "middle"
    across = 2 if to.upright else 18
    return tuple(
        _label(to, middle, across, in_short(int(middle)).split()[0], anchor)
        for middle in middles
    )


def _warmth(place: Place, to: Layout) -> str:
    base, top = to.warmth
    days = (*range(0, DAYS, EVERY_DAYS), DAYS - 1)
    tenths = (place.warmth.between(day, day + 1) for day in days)
    sides = (base + (top - base) * tenth / WARMEST_TENTHS for tenth in tenths)
    points = [_point(to, _at(to, day), side) for day, side in zip(days, sides, strict=True)]
    return "M" + "L".join(points)


def _track(year: InsectYear, at: int, place: Place, to: Layout) -> View:
    """One insect's marks, as SVG path data."""
    base = to.tracks + at * to.per_track
    end = place.frost.end
    found = year.generations
    thick = (base, base + 9)
    return {
        "label": _track_label(year, base, to),
        "arcs": "".join(
            _arc(to, one.hatch.likely, two.hatch.likely, base)
            for one, two in pairwise(found)
        ),
        "bars": "".join(
            _box(to, it.hatch.likely, min(it.young_until.likely, end), thick)
            for it in found
        ),
        "ranges": "".join(
            _line(to, it.hatch.low, min(it.young_until.high, end), base + 14, base + 14)
            for it in year.apart
        ),
        "blurred": _blurred(year, to, (base + 10, base + 18), end),
    }


def _track_label(year: InsectYear, base: float, to: Layout) -> Label:
    if to.upright:
        return Label(x=base - 6, y=14, anchor="start", text=year.insect.short_name)
    return Label(x=to.start, y=base - 38, anchor="start", text=year.insect.name)


def _blurred(year: InsectYear, to: Layout, across: tuple[float, float], end: int) -> str:
    if year.start is not None and year.start.kind == "all-year":
        return _box(to, 0, DAYS, across)
    if year.all_ages_from is None:
        return ""
    return _box(to, min(year.all_ages_from, end), end, across)


def _arc(to: Layout, first: float, last: float, base: float) -> str:
    middle = _point(to, _at(to, (first + last) / 2), base + 2 * to.arc)
    start, end = _point(to, _at(to, first), base), _point(to, _at(to, last), base)
    return f"M{start}Q{middle} {end}"


def _tasks(tasks: Windows, to: Layout) -> tuple[str, str, tuple[Label, ...]]:
    """Bars, lines for what is done all season, and names: a row for each task if the strip
    lies, names beside the months if it stands.
    """
    bars, lines, labels = "", "", []
    for row, (name, first, last) in enumerate(sorted(tasks, key=lambda task: task[1])):
        across = to.tasks + row * to.per_task
        stretches = within_year(first, last)
        if last - first > ALL_SEASON:
            side = across + (-8 if to.upright else 12)
            lines += "".join(_line(to, a, b, side, side) for a, b in stretches)
            labels.append(_label(to, first + 12, across + (16 if to.upright else 8), name))
            continue
        for stretch in stretches:
            bars += _box(to, *stretch, (across, across + (4 if to.upright else 7)))
        labels.append(_task_label(to, across, name, max(stretches, key=_length)))
    return bars, lines, tuple(_spaced(labels) if to.upright else labels)


def _spaced(labels: Sequence[Label]) -> Iterator[Label]:
    """Labels down a column, moved on where one would stand on another."""
    free = 0.0
    for label in sorted(labels, key=lambda it: it.y):
        y = max(label.y, free)
        free = y + 16
        yield replace(label, y=round(y, 1))


def _length(stretch: tuple[int, int]) -> int:
    return stretch[1] - stretch[0]


def _task_label(to: Layout, across: float, name: str, bar: tuple[int, int]) -> Label:
    first, last = bar
    if to.upright:
        return _label(to, first + 4, across + 9, name)
    if last > 0.7 * DAYS:
        return _label(to, first - 3, across + 9, name, "end")
    return _label(to, last + 3, across + 9, name)
