"""Rows of the files that the page for letters saves: one a letter, none of its words.

Such a file may have gone through a spreadsheet: semicolons or tabs, a mark at its start,
dates in another form. What can't be meant is a problem with its line.
"""

import csv
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from bedside.problems import Location, Problem, problem_at

COLUMNS = ("date", "place", "month", "plant", "kind", "cause", "confirmed", "was")
CONFIRMED = ("", "yes", "no", "unknown")
SOMETHING_ELSE = "other"  # what it was, where it stands in no record
_MARKS = {b"\xff\xfe": "utf-16", b"\xfe\xff": "utf-16"}
# 2026-07-14, 7/14/2026 as in America, 14.7.2026 as in Europe
_DATES = (
    re.compile(r"(?P<year>\d{4})-(?P<month>\d\d?)-(?P<day>\d\d?)"),
    re.compile(r"(?P<month>\d\d?)/(?P<day>\d\d?)/(?P<year>\d{4})"),
    re.compile(r"(?P<day>\d\d?)\.(?P<month>\d\d?)\.(?P<year>\d{4})"),
)


@dataclass(frozen=True, kw_only=True, slots=True)
class Row:
    """One letter that was answered, and what it proved to be."""

    date: date
    place: str
    month: int | None  # of the letter
    plant: str
    kind: str
    cause: str  # what stood first, empty where nothing was named
    confirmed: str
    was: str

    @property
    def truth(self) -> str:
        """The cause that it was; empty where nobody knows."""
        return {"yes": self.cause, "no": self.was}.get(self.confirmed, "")


def read_rows(
    name: str, content: bytes, causes: Mapping[str, Sequence[str]]
) -> tuple[tuple[Row, ...], tuple[Problem, ...]]:
    """The rows of one file and its bad lines; `causes` are the ids that a plant knows."""
    lines = _decoded(content).splitlines()
    first = lines[0] if lines else ""
    between = max(",;\t", key=first.count)
    table = csv.reader(lines, delimiter=between)
    header = [it.strip().lower() for it in next(table, [])]
    missing = [it for it in COLUMNS if it not in header]
    if missing:
        hint = f"the first line names the columns: {','.join(COLUMNS)}"
        return (), (_at(name, 1, first, f"no column '{missing[0]}'", hint),)
    rows: list[Row] = []
    bad: list[Problem] = []
    for cells in table:
        if not any(map(str.strip, cells)):
            continue
        found = _row(header, cells, causes)
        if isinstance(found, Row):
            rows.append(found)
        else:
            bad.append(_at(name, table.line_num, lines[table.line_num - 1], *found))
    return tuple(rows), tuple(bad)


def _decoded(content: bytes) -> str:
    try:
        return content.decode(_MARKS.get(content[:2], "utf-8-sig"))
    except UnicodeDecodeError:
        return content.decode("latin-1")  # our ids are plain; another column may not be


def _at(name: str, line: int, shown: str, message: str, hint: str) -> Problem:
    place = Location(file=name, line=line, length=len(shown) or 1, source_line=shown)
    return problem_at(place, "bad-row", message, hint)


def _row(
    header: Sequence[str], cells: Sequence[str], causes: Mapping[str, Sequence[str]]
) -> Row | tuple[str, str]:
    if len(cells) < len(header):
        many = f"{len(cells)} cells stand here; the first line names {len(header)} columns"
        return many, "save the file again from the page, or take the line out"
    said = {it: cell.strip() for it, cell in zip(header, cells, strict=False)}
    day, month = _day(said["date"]), _month(said["month"])
    if day is None:
        return f"'{said['date']}' is no date", "write it as 2026-07-14"
    if month == 0:
        return f"'{said['month']}' is no month", "write a number from 1 to 12, or nothing"
    fault = next(_faults(said, causes), None)
    if fault:
        return fault
    return Row(
        date=day,
        place=said["place"],
        month=month,
        plant=said["plant"],
        kind=said["kind"],
        cause=said["cause"],
        confirmed=said["confirmed"].lower(),
        was=said["was"],
    )


def _faults(
    said: Mapping[str, str], causes: Mapping[str, Sequence[str]]
) -> Iterator[tuple[str, str]]:
    confirmed = said["confirmed"].lower()
    if confirmed not in CONFIRMED:
        yield f"confirmed is '{said['confirmed']}'", "write yes, no, unknown, or nothing"
    known = causes.get(said["plant"])
    for column in ("cause", "was"):
        id_ = said[column]
        named = id_ and not (column == "was" and id_ == SOMETHING_ELSE)
        if known is not None and named and id_ not in known:
            yield (
                f"'{id_}' is no cause of {said['plant']}",
                "write the id of its record, the file's name without .yaml",
            )
    if confirmed == "yes" and not said["cause"]:
        yield "yes, but no cause is named", "write the cause, or take the yes out"
    if confirmed == "no" and said["was"] in ("", said["cause"]):
        yield (
            "no, but not what it was",
            f"write a cause under was, or {SOMETHING_ELSE} if it is none of ours",
        )


def _day(written: str) -> date | None:
    for form in _DATES:
        if found := form.fullmatch(written):
            try:
                return date(*(int(found[part]) for part in ("year", "month", "day")))
            except ValueError:
                return None
    return None


def _month(written: str) -> int | None:
    if not written:
        return None
    number = int(written) if re.fullmatch(r"\d\d?", written) else 0
    return number if 1 <= number <= 12 else 0
