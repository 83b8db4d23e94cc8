"""The yearly calendar file of a place: its tasks, its looks, its hatches."""

from collections.abc import Iterator
from datetime import date

from bedside.model.season import Growth, Place, SeasonKnowledge, Task
from bedside.pages.frame.dates import on_calendar
from bedside.pages.season.calendar_file import Event, calendar
from bedside.reason.season.accumulation import LOOK_EVERY
from bedside.reason.season.usual_year import (
    ALL_SEASON,
    Generation,
    InsectYear,
    task_window,
    years_of,
)


def year_file(
    place: Place, season: SeasonKnowledge, host: str, words: dict[str, str]
) -> bytes:
    """Write the calendar. `words` are `name`, `hatch` and `about`, with {slots}."""
    events = sorted(_events(place, season, host, words), key=lambda event: event.uid)
    name = words["name"].format(place=place.name, state=place.state)
    return calendar(name, events, date.fromisoformat(season.growth.reviewed))


def _events(
    place: Place, season: SeasonKnowledge, host: str, words: dict[str, str]
) -> Iterator[Event]:
    for task in season.tasks:
        window = task_window(task, place)
        if window:
            yield from _task_events(task, window, f"{place.id}@{host}", season.growth)
    for year in years_of(place, season):
        # Later generations have no dates worth an entry.
        for generation in year.apart:
            uid = f"{year.insect.id}-{generation.number}-{place.id}@{host}"
            yield _hatch_event(year, generation, uid, season.growth, words)


def _task_events(
    task: Task, window: tuple[int, int], at: str, growth: Growth
) -> Iterator[Event]:
    first, last = window
    if last - first < ALL_SEASON:
        yield Event(
            uid=f"{task.id}-{at}",
            first=on_calendar(first, growth.calendar_from),
            last=on_calendar(last, growth.calendar_from),
            summary=task.name,
            description=task.say.say,
            repeat=f"FREQ=YEARLY;COUNT={growth.calendar_years}",
        )
        return
    for year in range(growth.calendar_from, growth.calendar_from + growth.calendar_years):
        begins = on_calendar(first, year)
        yield Event(
            uid=f"{task.id}-{year}-{at}",
            first=begins,
            last=begins,
            summary=task.name,
            description=task.say.say,
            repeat=f"FREQ=WEEKLY;COUNT={(last - first) // LOOK_EVERY + 1}",
        )


def _hatch_event(
    year: InsectYear,
    generation: Generation,
    uid: str,
    growth: Growth,
    words: dict[str, str],
) -> Event:
    return Event(
        uid=uid,
        first=on_calendar(generation.hatch.low, growth.calendar_from),
        last=on_calendar(generation.hatch.high, growth.calendar_from),
        summary=words["hatch"].format(insect=year.insect.name),
        description=words["about"],
        repeat=f"FREQ=YEARLY;COUNT={growth.calendar_years}",
    )
