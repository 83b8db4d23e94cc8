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
from bedside.reason.season.day_numbers import MONTH_STARTS, month_and_day
from bedside.reason.season.usual_year import ALL_SEASON, InsectYear, task_window

MIDDLE = 14  # of a month, counted from its first day


@dataclass(frozen=True, kw_only=True, slots=True)
class MonthLine:
    """One thing in a month. `kind` picks the words: frost, task, hatch, all ages, last."""

    kind: str
    day: int
    when: str
    subject: str = ""
    say: Claim | None = None


def months_of(
    place: Place, season: SeasonKnowledge, years: Sequence[InsectYear]
) -> dict[str, list[MonthLine]]:
    """The year month by month; months without anything are left out."""
    lines = sorted(
        (
            *_frost_lines(place),
            *_task_lines(place, season),
            *(line for year in years for line in _insect_lines(year)),
        ),
        key=lambda line: line.day % DAYS,
    )
    months: dict[str, list[MonthLine]] = {}
    for line in sorted(lines, key=lambda it: month_and_day(it.day)[0]):
        name = in_words(line.day).split()[0]
        months.setdefault(name, []).append(line)
    return months


def _frost_lines(place: Place) -> Iterator[MonthLine]:
    frost = place.frost
    if frost.kind == "dates":
        for kind, day in (("frost-ends", frost.last), ("frost-begins", frost.first)):
            yield MonthLine(kind=kind, day=day, when=in_words(day))


def _task_lines(place: Place, season: SeasonKnowledge) -> Iterator[MonthLine]:
    for task in season.tasks:
        window = task_window(task, place)
        if window:
            day, when = _month_of(*window), span_in_words(*window)
            yield MonthLine(
                kind="task", day=day, subject=task.name, when=when, say=task.say
            )


def _month_of(first: int, last: int) -> int:
    """A day in the month that a task belongs to: its middle, or its start if it is long."""
    return first if last - first > ALL_SEASON else (first + last) // 2


def _insect_lines(year: InsectYear) -> Iterator[MonthLine]:
    name = year.insect.name
    for it in year.apart:
        when = span_in_words(it.hatch.low, it.hatch.high)
        yield MonthLine(kind="hatch", day=it.hatch.low, subject=name, when=when)
    ages, last = year.all_ages_from, year.last_useful
    if ages is not None:
        yield MonthLine(kind="all-ages", day=ages, subject=name, when=in_words(ages))
    if year.generations and last is not None:
        yield MonthLine(kind="last", day=last, subject=name, when=in_words(last))


def waits_of(place: Place, insect: Insect, weather_days: int) -> dict[str, list[str]]:
    """For the middle of each month with leaves outdoors: how many days to wait from each
    sight to the next hatch; empty where frost or cold comes first."""
    goals = [to_next_hatch(insect, it) for it in insect.sights]
    return {
        in_words(day): [_wait(place, goal, day, weather_days) for goal in goals]
        for day in (start + MIDDLE for start in MONTH_STARTS)
        if in_season(place.frost, day)
    }


def _wait(place: Place, goal: Span, day: int, weather_days: int) -> str:
    bare = days_of(place.warmth, always(day), goal)
    if bare is None or not before_frost(place.frost, day, bare.likely):
        return ""
    hatch = widened(bare, weather_days, day)
    return f"{hatch.low - day} to {hatch.high - day}"
