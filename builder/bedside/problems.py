"""What is wrong with the knowledge, where, and what to do about it: the one printed form.

A problem is a value. Checks yield problems and never raise for bad content; an exception
means a fault of our own. Files are named by their path below the knowledge folder.
"""

import difflib
import json
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import groupby

ERROR = "error"
WARNING = "warning"
NOTE = "note"  # worth a line, and never a reason to stop
# A longer line is cut around the place at fault: a huge value must not fill the screen.
SHOWN_WIDTH = 100
# Control characters and marks that turn the writing direction would rewrite the terminal.
UNSHOWABLE = re.compile(
    "[\x00-\x1f\x7f-\x9f\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff\ud800-\udfff]"
)
PAINT = {ERROR: "\x1b[31m", WARNING: "\x1b[33m", NOTE: "\x1b[36m", "end": "\x1b[0m"}
# More warnings of one kind than these are counted, with the first few places.
FULL_AT_MOST, PLACES_SHOWN = 1, 3
# What a run on a code host calls a level, and the marks that it would take for its own.
ANNOTATIONS = {ERROR: "error", WARNING: "warning", NOTE: "notice"}
ESCAPED = str.maketrans({"%": "%25", "\r": "%0D", "\n": "%0A"})
ESCAPED_IN_NAMES = ESCAPED | str.maketrans({":": "%3A", ",": "%2C"})


@dataclass(frozen=True, kw_only=True, slots=True)
class Location:
    """A stretch of one line. Lines and columns start at 1."""

    file: str
    line: int = 1
    column: int = 1
    length: int = 1
    source_line: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Problem:
    """One thing wrong. `code` is words and names the check; `hint` says what to do."""

    file: str
    line: int
    column: int
    length: int
    level: str
    message: str
    code: str
    hint: str = ""
    source_line: str = ""


def problem_at(
    location: Location, code: str, message: str, hint: str = "", *, level: str = ERROR
) -> Problem:
    """Make a problem of a location, a code and words."""
    return Problem(
        file=location.file,
        line=location.line,
        column=location.column,
        length=location.length,
        source_line=location.source_line,
        level=level,
        message=message,
        code=code,
        hint=hint,
    )


def in_order(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """Sort by file, line and column, and keep identical problems once."""
    return tuple(sorted(set(problems), key=_sort_key))


def errors_of(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """The errors among problems, in their order."""
    return tuple(it for it in problems if it.level == ERROR)


def count(problems: Iterable[Problem], level: str) -> int:
    """Count the problems of one level."""
    return sum(problem.level == level for problem in problems)


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """Name the closest known word as a hint, or say nothing.

    A known word that was written whole comes first: in "quite common" it is "common", and
    not "uncommon", which has more of its letters.
    """
    # Difflib takes a time that grows with both lengths: no honest slip is longer than this.
    known, word = list(known), word[:60]
    within = [it for it in known if it != word and _in_words(it) in _in_words(word)]
    close = difflib.get_close_matches(word, known, n=1, cutoff=0.6)
    found = max(within, key=len, default="") or next(iter(close), "")
    return f"did you mean '{found}'?" if found else ""


def listed(names: Iterable[str], most: int = 7) -> str:
    """Name what is known in the order of names, no more than anyone reads."""
    named = sorted(names)
    more = f" and {len(named) - most} more" if len(named) > most else ""
    return ", ".join(named[:most]) + more


def counted(number: int, what: str) -> str:
    """A number and what it counts: "1 page", "2 pages"."""
    return f"{number} {what}" if number == 1 else f"{number} {what}s"


def _in_words(text: str) -> str:
    # Whole words, with a blank on each side of each.
    words = re.findall(r"[^\W_]+", text.lower())
    return f" {' '.join(words)} "


def render(
    problems: Iterable[Problem],
    *,
    files: int | None = None,
    folder: str = "",
    colour: bool = False,
    kinds: Mapping[str, str] | None = None,
) -> str:
    """Print every problem with its line and a mark under the place, then count them.

    `files` is how many files were read, if known; `folder` is put before each file name.
    With `kinds`, words for codes, warnings of which there are many are counted by kind.
    """
    ordered = in_order(problems)
    full, many = (ordered, []) if kinds is None else _by_kind(ordered)
    blocks = [_block(problem, folder, colour) for problem in full]
    blocks += [_counted(it, folder, colour, kinds or {}) for it in many]
    if many:
        blocks.append("each with its place: bedside check --all")
    blocks.append(_summary(ordered, files))
    return "\n\n".join(blocks) + "\n"


def as_json(problems: Iterable[Problem], files: int, folder: str) -> str:
    """Every problem as data, for other programs."""
    ordered = in_order(problems)
    data = {
        "files": files,
        "errors": count(ordered, ERROR),
        "warnings": count(ordered, WARNING),
        "problems": [
            {
                "file": f"{folder}{it.file}", "line": it.line, "column": it.column,
                "length": it.length, "level": it.level, "code": it.code,
                "message": it.message, "hint": it.hint,
            }
            for it in ordered
        ],
    }  # fmt: skip
    return json.dumps(data, ensure_ascii=False, indent=2) + "\n"


def as_annotations(problems: Iterable[Problem], folder: str) -> str:
    """Every problem as a line that a run on a code host shows beside the change."""
    return "".join(f"{_annotation(it, folder)}\n" for it in in_order(problems))


def showable(text: str) -> str:
    """Put a visible mark in place of every character that would not show."""
    return UNSHOWABLE.sub("\N{REPLACEMENT CHARACTER}", text)


def _sort_key(problem: Problem) -> tuple[str, int, int, str, str, str]:
    return (
        problem.file,
        problem.line,
        problem.column,
        problem.level,
        problem.code,
        problem.message,
    )


def _annotation(problem: Problem, folder: str) -> str:
    names: dict[str, str | int] = {
        "file": f"{folder}{problem.file}", "line": problem.line, "col": problem.column,
        "endColumn": problem.column + problem.length, "title": problem.code,
    }  # fmt: skip
    said = "; ".join(filter(None, (problem.message, problem.hint)))
    listed = ",".join(
        f"{key}={str(it).translate(ESCAPED_IN_NAMES)}" for key, it in names.items()
    )
    return f"::{ANNOTATIONS[problem.level]} {listed}::{said.translate(ESCAPED)}"


def _by_kind(
    ordered: tuple[Problem, ...],
) -> tuple[list[Problem], list[tuple[Problem, ...]]]:
    """What is printed in full, and warnings of which there are many of one kind."""
    warnings = sorted((it for it in ordered if it.level == WARNING), key=lambda it: it.code)
    kinds = [tuple(it) for _, it in groupby(warnings, key=lambda it: it.code)]
    many = [it for it in kinds if len(it) > FULL_AT_MOST]
    counted = {it.code for kind in many for it in kind}
    return [it for it in ordered if it.level != WARNING or it.code not in counted], many


def _counted(
    kind: tuple[Problem, ...], folder: str, colour: bool, kinds: Mapping[str, str]
) -> str:
    first, *_ = kind
    said = kinds.get(first.code) or f"times: {first.message}"
    lines = [f"{_level(WARNING, colour)}: {len(kind)} {showable(said)} [{first.code}]"]
    lines += [f"    {folder}{showable(it.file)}:{it.line}" for it in kind[:PLACES_SHOWN]]
    if len(kind) > PLACES_SHOWN:
        lines.append(f"    and {len(kind) - PLACES_SHOWN} more")
    if first.hint and all(it.hint == first.hint for it in kind):
        lines.append(f"    hint: {showable(first.hint)}")
    return "\n".join(lines)


def _level(level: str, colour: bool) -> str:
    return f"{PAINT[level]}{level}{PAINT['end']}" if colour else level


def _block(problem: Problem, folder: str, colour: bool) -> str:
    level = _level(problem.level, colour)
    place = f"{folder}{showable(problem.file)}:{problem.line}:{problem.column}"
    lines = [f"{place}: {level}: {showable(problem.message)} [{problem.code}]"]
    if problem.source_line.strip():
        lines += _marked_line(problem)
    if problem.hint:
        lines.append(f"    hint: {showable(problem.hint)}")
    return "\n".join(lines)


def _marked_line(problem: Problem) -> tuple[str, str]:
    start = problem.column - 1
    cut = max(0, start - SHOWN_WIDTH // 2) if len(problem.source_line) > SHOWN_WIDTH else 0
    shown = showable(problem.source_line[cut : cut + SHOWN_WIDTH]).rstrip()
    # At least one mark, also where something is missing after the end of the line.
    marks = max(1, min(problem.length, len(shown) - (start - cut)))
    return (
        f"{problem.line:>5} | {shown}",
        f"{'':>5} | {' ' * (start - cut)}{'^' * marks}",
    )


def _summary(problems: tuple[Problem, ...], files: int | None) -> str:
    errors, warnings = count(problems, ERROR), count(problems, WARNING)
    touched = len({problem.file for problem in problems if problem.level != NOTE})
    within = f"{touched}" if files is None else f"{touched} of {files}"
    return (
        f"{counted(errors, 'error')}, {counted(warnings, 'warning')} "
        f"in {within} {'file' if within in ('1', '1 of 1') else 'files'}"
    )
