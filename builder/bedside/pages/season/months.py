"""The year in words, month by month, and the days from a sight to the next hatch."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from bedside.model.records import Claim
from bedside.model.season import DAYS, Insect, Place, SeasonKnowledge, Span
from bedside.pages.frame.dates import in_words, span_in_words
from bedside.reason.season.accumulation import (
    always,
    before_frost,
    days_of,
    in_season,
    to_next_hatch,
    widened,
)
from bedside.reason.season.daily_normals import MONTH_STARTS, month_and_day
from bedside.reason.season.usual_year import ALL_SEASON, InsectYear, task_window


@dataclass(frozen=True, kw_only=True, slots=True)
class MonthLine:
    """One thing in a month. `kind` picks the words: frost, task, hatch, all ages, last."""

    kind: str
    day: int
    subject: str = ""
    when: str = ""
    say: Claim | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class MonthView:
    name: str
    lines: tuple[MonthLine, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class WaitRow:
    """Days from each sight to the next hatch, if it is seen in the middle of a month."""

    month: str
    days: tuple[str, ...]  # empty: frost or cold comes first


@dataclass(frozen=True, kw_only=True, slots=True)
class WaitTable:
    insect: str
    sights: tuple[str, ...]
    rows: tuple[WaitRow, ...]


def months_of(
    place: Place, season: SeasonKnowledge, years: Sequence[InsectYear]
) -> tuple[MonthView, ...]:
    """The year month by month; months without anything are left out."""
    lines = sorted(
        (
            *_frost_lines(place),
            *_task_lines(place, season),
            *(line for year in years for line in _insect_lines(year)),
        ),
        key=lambda line: line.day % DAYS,
    )
    months = []
    for number in range(1, 13):
        here = tuple(it for it in lines if month_and_day(it.day)[0] == number)
        if here:
            name = in_words(MONTH_STARTS[number - 1]).split()[0]
            months.append(MonthView(name=name, lines=here))
    return tuple(months)


def _frost_lines(place: Place) -> Iterator[MonthLine]:
    if place.frost.kind == "dates":
        for kind, day in (
            ("frost-ends", place.frost.last),
            ("frost-begins", place.frost.first),
        ):
            yield MonthLine(kind=kind, day=day, when=in_words(day))


def _task_lines(place: Place, season: SeasonKnowledge) -> Iterator[MonthLine]:
    for task in season.tasks:
        window = task_window(task, place)
        if window:
            when = span_in_words(*window)
            yield MonthLine(
                kind="task",
                day=_month_of(*window),
                subject=task.name,
                when=when,
                say=task.say,
            )


def _month_of(first: int, last: int) -> int:
    """A day in the month that a task belongs to: its middle, or its start if it is long."""
    return first if last - first > ALL_SEASON else (first + last) // 2


def _insect_lines(year: InsectYear) -> Iterator[MonthLine]:
    name = year.insect.name
    for it in year.apart:
        when = span_in_words(it.hatch.low, it.hatch.high)
        yield MonthLine(kind="hatch", day=it.hatch.low, subject=name, when=when)
    if year.all_ages_from is not None:
        day = year.all_ages_from
        yield MonthLine(kind="all-ages", day=day, subject=name, when=in_words(day))
    if year.generations and year.last_useful is not None:
        day = year.last_useful
        yield MonthLine(kind="last", day=day, subject=name, when=in_words(day))


def wait_table(place: Place, insect: Insect, weather_days: int) -> WaitTable:
    """How many days to wait, for each sight in each month with leaves outdoors."""
    middles = [start + 14 for start in MONTH_STARTS]
    goals = [to_next_hatch(insect, it) for it in insect.sights]
    rows = tuple(
        WaitRow(
            month=in_words(day),
            days=tuple(_wait(place, goal, day, weather_days) for goal in goals),
        )
        for day in middles
        if in_season(place.frost, day)
    )
    return WaitTable(
        insect=insect.name, sights=tuple(it.says for it in insect.sights), rows=rows
    )


def _wait(place: Place, goal: Span, day: int, weather_days: int) -> str:
    bare = days_of(place.warmth, always(day), goal)
    if bare is None or not before_frost(place.frost, day, bare.likely):
        return ""
    hatch = widened(bare, weather_days, day)
    return f"{hatch.low - day} to {hatch.high - day}"
