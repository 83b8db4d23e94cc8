"""The tallies of a season's letters: rows of files that a page saves, and what they say.

A file holds one row a letter, and none of its words. It may have gone through a
spreadsheet: semicolons or tabs, a mark at its start, dates in another form. What can't be
meant is a problem with its line.

How often was the first cause right, and is a cause as common among confirmed letters as its
record says? A letter is evidence of what customers write about, in the places and months
from which they write, and of nothing else. So a change is only proposed, with the letters
it rests on.
"""

import csv
import math
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from bedside.problems import Location, Problem, problem_at
from bedside.reason import scale

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


# A word is proposed if so many letters speak for or against it, and if they are so many
# times as likely under it as under the word that stands there. Basis: judgement.
FEWEST = 5
CLEARLY = 10.0


@dataclass(frozen=True, kw_only=True, slots=True)
class Joined:
    """The letters of some files, each counted once."""

    rows: tuple[Row, ...]
    twice: int  # rows that another file holds as well


@dataclass(frozen=True, kw_only=True, slots=True)
class Share:
    """How many letters of how many."""

    right: int
    of: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Proposal:
    """Another word for how common a cause is, and what it rests on."""

    cause: str
    word: str
    instead: str
    seen: int  # confirmed letters that were of this cause
    of: int  # confirmed letters
    expected: float  # as many as the word that stands there would bring


def joined(files: Iterable[Sequence[Row]]) -> Joined:
    """All rows in the order of their days. What stands in two files is one letter, saved
    twice; rows alike in one file are two letters of one evening."""
    most: Counter[Row] = Counter()
    count = 0
    for rows in files:
        most |= Counter(rows)
        count += len(rows)
    rows = sorted(most.elements(), key=lambda it: it.date)
    return Joined(rows=tuple(rows), twice=count - len(rows))


def by_month(rows: Iterable[Row]) -> Mapping[int, Counter[str]]:
    """The kinds of mail of each month in which letters were answered."""
    counts: dict[int, Counter[str]] = {}
    for row in rows:
        counts.setdefault(row.date.month, Counter())[row.kind] += 1
    return dict(sorted(counts.items()))


def first_right(rows: Iterable[Row]) -> Share:
    """How often the first cause was right, among letters of which the truth is known."""
    told = [row for row in rows if row.truth and row.cause]
    return Share(right=sum(row.truth == row.cause for row in told), of=len(told))


def proposals(rows: Iterable[Row], common: Mapping[str, str]) -> Iterator[Proposal]:
    """Causes of one plant whose share among confirmed letters does not fit their word.

    `common` holds the word of each cause. What is none of ours counts for no cause.
    """
    seen = Counter(row.truth for row in rows if row.truth in common)
    total = sum(seen.values())
    weights = {cause: scale.COMMONNESS[word] for cause, word in common.items()}
    for cause, word in common.items():
        others = sum(weights.values()) - weights[cause]
        shares = {it: weight / (weight + others) for it, weight in scale.COMMONNESS.items()}
        fits = {it: _log_chance(seen[cause], total, share) for it, share in shares.items()}
        best = max(fits, key=lambda it: fits[it])
        expected = total * shares[word]
        enough = max(seen[cause], expected) >= FEWEST
        if enough and best != word and fits[best] - fits[word] >= math.log(CLEARLY):
            yield Proposal(cause=cause, word=word, instead=best, seen=seen[cause], of=total,
                           expected=expected)  # fmt: skip


def _log_chance(seen: int, of: int, share: float) -> float:
    # Of `seen` letters among `of`, but for the factor that is the same for every share.
    if share >= 1:  # a plant with one cause
        return 0.0
    return seen * math.log(share) + (of - seen) * math.log1p(-share)
