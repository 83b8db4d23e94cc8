"""A calendar file as RFC 5545 says it: whole days, CRLF, lines of at most 75 octets.

`assets/season.js` writes the same format in the browser; a test reads both back with an
independent parser.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

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
