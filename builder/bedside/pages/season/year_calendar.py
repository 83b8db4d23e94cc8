"""The yearly calendar file of a place: its tasks, its looks, its hatches.

Written as RFC 5545 says it: whole days, CRLF, lines of at most 75 octets. `season.js`
writes the same format in the browser; a test reads both back with an independent parser.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from bedside.language.days import on_calendar
from bedside.model.season import Growth, Place, SeasonKnowledge, Task
from bedside.reason.usual_year import (
    ALL_SEASON,
    LOOK_EVERY,
    Generation,
    InsectYear,
    task_window,
    years_of,
)

LINE_OCTETS = 75
ESCAPES = str.maketrans({"\\": "\\\\", ";": "\\;", ",": "\\,", "\n": "\\n", "\r": ""})


@dataclass(frozen=True, kw_only=True, slots=True)
class Event:
    """Something on whole days from `first` to `last`; `repeat` is the value of an RRULE."""

    uid: str
    first: date
    last: date
    summary: str
    description: str
    repeat: str = ""


def calendar(name: str, events: Iterable[Event], stamp: date) -> bytes:
    """Write a calendar. `stamp` is the date its contents were last changed."""
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//Bedside//Year of a place//EN",
        "CALSCALE:GREGORIAN",
        f"X-WR-CALNAME:{escaped(name)}",
        *(line for event in events for line in _lines(event, stamp)),
        "END:VCALENDAR",
    ]
    return "".join(f"{folded(line)}\r\n" for line in lines).encode()


def _lines(event: Event, stamp: date) -> tuple[str, ...]:
    # The end of a whole-day event is the day after its last.
    end = event.last + timedelta(days=1)
    return (
        "BEGIN:VEVENT",
        f"UID:{event.uid}",
        f"DTSTAMP:{stamp:%Y%m%d}T000000Z",
        f"DTSTART;VALUE=DATE:{event.first:%Y%m%d}",
        f"DTEND;VALUE=DATE:{end:%Y%m%d}",
        *((f"RRULE:{event.repeat}",) if event.repeat else ()),
        f"SUMMARY:{escaped(event.summary)}",
        f"DESCRIPTION:{escaped(event.description)}",
        "TRANSP:TRANSPARENT",
        "END:VEVENT",
    )


def escaped(text: str) -> str:
    """A text value: backslash, semicolon, comma and line ends escaped."""
    return text.translate(ESCAPES)


def folded(line: str) -> str:
    """Break a long line, never inside a character; further lines begin with a space."""
    if len(line.encode()) <= LINE_OCTETS:
        return line
    parts, size = [""], 0
    for character in line:
        octets = len(character.encode())
        if size + octets > LINE_OCTETS:
            parts.append(" ")
            size = 1
        parts[-1] += character
        size += octets
    return "\r\n".join(parts)


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
            uid=f"{_uid(task)}-{at}",
            first=on_calendar(first, growth.calendar_from),
            last=on_calendar(last, growth.calendar_from),
            summary=task.shown,
            description=task.say.say,
            repeat=f"FREQ=YEARLY;COUNT={growth.calendar_years}",
        )
        return
    for year in range(growth.calendar_from, growth.calendar_from + growth.calendar_years):
        begins = on_calendar(first, year)
        yield Event(
            uid=f"{_uid(task)}-{year}-{at}",
            first=begins,
            last=begins,
            summary=task.shown,
            description=task.say.say,
            repeat=f"FREQ=WEEKLY;COUNT={(last - first) // LOOK_EVERY + 1}",
        )


def _uid(task: Task) -> str:
    # Calendars that were taken when the site had one plant go on by the same names.
    return task.id if task.shown == task.name else f"{task.plant}-{task.id}"


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
        description=words["about"].format(look=year.insect.look),
        repeat=f"FREQ=YEARLY;COUNT={growth.calendar_years}",
    )
