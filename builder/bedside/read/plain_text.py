"""What a text file holds, line by line, and what may not stand in any of them."""

import gc
import re
import unicodedata
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

from bedside.model.library import Path, Span, location
from bedside.problems import Problem, problem_at

MAX_PROBLEMS = 25  # of one file; a file with more has one fault that repeats
# Quotes that an office program or a phone types in place of straight ones.
CURLY = re.compile("[\u2018\u2019\u201a-\u201f]")
STRAIGHTEN = (
    "a curly quote stands here; type a straight one (' or \"), or none where none is needed"
)
# What an id looks like, in words.
ID_FORM = "small letters, digits and single hyphens, with a letter first, such as bent-stem"
_SPELLED = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue", "ß": "ss", "æ": "ae", "ø": "o"})
# Control characters, odd line breaks, invisible marks, marks that turn the direction.
HIDDEN = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\xad\u200b\u200e\u200f\u2028-\u202e\u2060-\u206f\ufeff"
    "\ud800-\udfff]"
)


@dataclass(kw_only=True, slots=True)
class Parsed:
    """What one text holds. `data` is only of use while `problems` is empty."""

    file: str
    lines: tuple[str, ...]
    data: Any = None
    keys: dict[Path, Span] = field(default_factory=dict)
    values: dict[Path, Span] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)

    def report(self, span: Span, code: str, message: str, hint: str = "") -> None:
        """Add a problem, up to the bound."""
        if len(self.problems) < MAX_PROBLEMS:
            place = location(self.file, self.lines, span)
            self.problems.append(problem_at(place, code, message, hint))


def split_lines(text: str) -> tuple[str, ...]:
    """Split at new lines only; other line breaks are refused as hidden characters."""
    return tuple(text.split("\n"))


def plain_words(text: str) -> list[str]:
    """Its words in small letters and digits alone, for an id; other letters are spelled."""
    spelled = unicodedata.normalize("NFKD", text.lower().translate(_SPELLED))
    return re.findall(r"[a-z0-9]+", re.sub(r"['’]|[^\x00-\x7f]", "", spelled))


def find_hidden(parsed: Parsed) -> None:
    """Report characters that do not show on a screen."""
    for number, line in enumerate(parsed.lines, start=1):
        for match in HIDDEN.finditer(line):
            report_hidden(parsed, (number, match.start() + 1, 1), match.group())


@contextmanager
def collector_paused() -> Iterator[None]:
    """Keep Python's cycle collector from scanning a growing tree of nodes again and again.

    With it on, ten times the records took twenty-one times as long.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def report_hidden(parsed: Parsed, span: Span, character: str) -> None:
    """Report one character that does not show."""
    parsed.report(
        span,
        "hidden-character",
        f"a character that does not show (U+{ord(character):04X})",
        "delete it; it often comes along when text is pasted",
    )
