"""What the page of a place shows: dates in words, and the table its script reads."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from bedside.model.records import Claim
from bedside.model.season import DAYS, Place, SeasonKnowledge
from bedside.pages.frame.citing import Citation
from bedside.pages.frame.dates import in_words, span_in_words
from bedside.pages.season.months import MonthView, WaitTable
from bedside.pages.season.year_drawing import Windows, draw
from bedside.pages.season.year_layout import YearDrawing, lying, standing
from bedside.reason.season.usual_year import InsectYear, task_window

FEET = 3.28084


@dataclass(frozen=True, kw_only=True, slots=True)
class FrostView:
    kind: str
    last: str
    first: str
    after_new_year: bool
    days: int


@dataclass(frozen=True, kw_only=True, slots=True)
class HatchView:
    number: int
    likely: str
    hatch: str
    young: str


@dataclass(frozen=True, kw_only=True, slots=True)
class InsectView:
    """One insect's year in words. `kind` is empty where nothing is in print."""

    id: str
    name: str
    address: str
    kind: str
    says: Claim
    may_not_come: bool
    room: int
    hatches: tuple[HatchView, ...]  # those whose ranges do not meet
    blurred_from: str
    last_useful: str


@dataclass(frozen=True, kw_only=True, slots=True)
class TaskView:
    name: str
    when: str
    say: Claim


@dataclass(frozen=True, kw_only=True, slots=True)
class PlaceView:
    id: str
    name: str
    state: str
    state_name: str
    elevation_ft: int
    frost: FrostView
    insects: tuple[InsectView, ...]
    tasks: tuple[TaskView, ...]
    months: tuple[MonthView, ...]
    drawings: tuple[YearDrawing, ...]
    waits: tuple[WaitTable, ...]
    method: tuple[Claim, ...]
    credits: tuple[Claim, ...]
    calendar: str
    data: Markup
    sources: Mapping[str, Citation]
    reviewed: str


def windows_of(place: Place, season: SeasonKnowledge) -> Windows:
    """The tasks of a place: name, first day, last day."""
    found = ((task.name, task_window(task, place)) for task in season.tasks)
    return tuple((name, *window) for name, window in found if window)


def drawings_of(
    place: Place, season: SeasonKnowledge, years: Sequence[InsectYear]
) -> tuple[YearDrawing, ...]:
    """The year lying and standing."""
    tasks = windows_of(place, season)
    wide, tall = lying(len(years), len(tasks)), standing(len(years))
    return draw(place, years, tasks, wide), draw(place, years, tasks, tall)


def frost_view(place: Place) -> FrostView:
    """Usual frost in words."""
    frost = place.frost
    return FrostView(
        kind=frost.kind,
        last=in_words(frost.last),
        first=in_words(frost.first),
        after_new_year=frost.first >= DAYS,
        days=frost.first - frost.last if frost.kind == "dates" else 0,
    )


def insect_view(year: InsectYear, address: str) -> InsectView:
    """One insect's year in words."""
    insect, start = year.insect, year.start
    return InsectView(
        id=insect.id,
        name=insect.name,
        address=address,
        kind=start.kind if start else "",
        says=start.say if start else insect.elsewhere,
        may_not_come=bool(start and start.may_not_come),
        room=year.room,
        hatches=tuple(
            HatchView(
                number=it.number,
                likely=in_words(it.hatch.likely),
                hatch=span_in_words(it.hatch.low, it.hatch.high),
                young=span_in_words(it.hatch.low, it.young_until.high),
            )
            for it in year.apart
        ),
        blurred_from="" if year.all_ages_from is None else in_words(year.all_ages_from),
        last_useful=_last(year),
    )


def _last(year: InsectYear) -> str:
    shown = year.last_useful is not None and year.generations
    return in_words(year.last_useful) if shown and year.last_useful else ""


def task_views(place: Place, season: SeasonKnowledge) -> tuple[TaskView, ...]:
    """Every task of a place, by the day it begins."""
    found = [(task_window(task, place), task) for task in season.tasks]
    dated = [(window, task) for window, task in found if window]
    dated.sort(key=lambda item: item[0][0] % DAYS)
    return tuple(
        TaskView(name=task.name, when=span_in_words(*window), say=task.say)
        for window, task in dated
    )
