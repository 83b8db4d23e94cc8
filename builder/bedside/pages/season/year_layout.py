"""The sheets that a year is drawn on: one lying, one standing."""

from dataclasses import dataclass

from bedside.model.season import DAYS


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


@dataclass(frozen=True, kw_only=True, slots=True)
class Track:
    """One insect's marks, as SVG path data."""

    label: Label
    arcs: str
    bars: str
    ranges: str
    blurred: str


@dataclass(frozen=True, kw_only=True, slots=True)
class YearDrawing:
    id: str
    upright: bool
    width: float
    height: float
    start: float
    per_day: float
    months: tuple[Label, ...]
    grid: str
    frost: str
    warmth: str
    tracks: tuple[Track, ...]
    bars: str
    lines: str
    tasks: tuple[Label, ...]


def lying(insects: int, tasks: int) -> Layout:
    """A wide strip, months running to the right."""
    first = 150.0
    end = first + 86.0 * (insects - 1) + 30
    return Layout(
        id="wide", upright=False, start=8, per_day=984 / DAYS, breadth=end + 24 * tasks + 6,
        warmth=(92, 34), tracks=first, per_track=86, arc=-30, tasks=end + 14, per_task=24,
    )  # fmt: skip


def standing(insects: int) -> Layout:
    """A tall strip, months running down."""
    first = 98.0
    return Layout(
        id="tall", upright=True, start=34, per_day=2.0, breadth=344,
        warmth=(42, 84), tracks=first, per_track=54, arc=28,
        tasks=first + 54 * insects, per_task=0,
    )  # fmt: skip
