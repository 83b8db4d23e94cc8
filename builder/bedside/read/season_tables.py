"""Rows of the climate tables to records, and a problem for every cell that cannot be right.

Tables have no schema, so what a schema would say of a record is said here: a number where a
number belongs, a day that exists, a low that is not above its high, a place that is in the
list.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

from bedside.language.days import day_number
from bedside.model.library import Document
from bedside.model.season import DAYS, FREEZES, Frost
from bedside.problems import Problem, did_you_mean, problem_at

Value = TypeVar("Value")
Row = Mapping[str, str]

STATION_COLUMNS = (
    "place", "station", "city", "state", "lat", "lon", "elev_m", "last_freeze",
    "first_freeze", "freezes", "freeze_km", "spread_percent", "gdd50f_1981_2010",
)  # fmt: skip
HIGHS = tuple(f"tmax_f_{month}" for month in range(1, 13))
LOWS = tuple(f"tmin_f_{month}" for month in range(1, 13))
NORMAL_COLUMNS = ("place", *HIGHS, *LOWS)
ZIP_COLUMNS = (
    "zip3", "state", "place", "place_km", "last_freeze", "first_freeze", "freezes",
    "freeze_km", "freeze_elev_m",
)  # fmt: skip
STATE_COLUMNS = ("state", "name")
COLDEST_F, HOTTEST_F = -60.0, 130.0


@dataclass(kw_only=True, slots=True)
class Cells:
    """One row while it is being read: gives its cells as values, and collects what is
    wrong.
    """

    document: Document
    at: int
    problems: list[Problem]

    @property
    def row(self) -> Row:
        """The row as text by column."""
        row: Row = self.document.data[self.at]
        return row

    def report(self, column: str, code: str, message: str, hint: str = "") -> None:
        """Add a problem at one cell."""
        place = self.document.place(self.at, column)
        self.problems.append(problem_at(place, code, message, hint))

    def number(self, column: str, low: float, high: float) -> float:
        """A number from `low` to `high`; 0 and a problem if it is not."""
        text = self.row[column]
        try:
            value = float(text)
        except ValueError:
            self.report(
                column, "not-a-number", f"'{text}' is not a number", "write it as 12.5"
            )
            return 0.0
        if not low <= value <= high:
            self.report(
                column, "out-of-range", f"{text} is not between {low:g} and {high:g}",
                "look the number up again",
            )  # fmt: skip
            return 0.0
        return value

    def day(self, column: str) -> int:
        """The number of a day written month-day; 0 and a problem if it does not exist."""
        text = self.row[column]
        month, dash, day = text.partition("-")
        if dash and month.isdecimal() and day.isdecimal():
            try:
                return day_number(int(month), int(day))
            except ValueError as error:
                self.report(column, "no-such-day", f"{text}: {error}", "write it as 05-31")
                return 0
        self.report(column, "no-such-day", f"'{text}' is not a day", "write it as 05-31")
        return 0

    def known(self, column: str, known: Mapping[str, object]) -> str:
        """The id in a cell; a problem if it is not among `known`."""
        text = self.row[column]
        if text not in known:
            self.report(
                column, "unknown-place", f"nothing is called '{text}'",
                did_you_mean(text, known) or "add it to its table, or correct it here",
            )  # fmt: skip
        return text

    def frost(self) -> Frost:
        """Usual frost; a first freeze earlier in the calendar than the last is after New
        Year.
        """
        kind = self.row["freezes"]
        if kind not in FREEZES:
            self.report(
                "freezes", "unknown-word", f"'{kind}' is none of {', '.join(FREEZES)}"
            )
        if kind != "dates":
            return Frost(kind=kind)
        last, first = self.day("last_freeze"), self.day("first_freeze")
        return Frost(kind=kind, last=last, first=first + (DAYS if first <= last else 0))


def each_row(document: Document, problems: list[Problem]) -> Iterator[Cells]:
    """Every row of a table in turn."""
    for at in range(len(document.data)):
        yield Cells(document=document, at=at, problems=problems)


def keyed(
    document: Document, column: str, make: Callable[[Cells], Value], problems: list[Problem]
) -> dict[str, Value]:
    """Records by the id in `column`, which must not stand there twice."""
    found: dict[str, Value] = {}
    for cells in each_row(document, problems):
        id_ = cells.row[column]
        if id_ in found:
            cells.report(
                column, "written-twice", f"'{id_}' has a row already", "delete one"
            )
        found[id_] = make(cells)
    return found


def temperatures(cells: Cells) -> tuple[Sequence[float], Sequence[float]]:
    """Twelve lows and twelve highs, Fahrenheit."""
    before = len(cells.problems)
    lows = [cells.number(column, COLDEST_F, HOTTEST_F) for column in LOWS]
    highs = [cells.number(column, COLDEST_F, HOTTEST_F) for column in HIGHS]
    for month, (low, high) in enumerate(zip(lows, highs, strict=True), 1):
        # A cell that is no temperature can't be compared as well.
        if low > high and len(cells.problems) == before:
            cells.report(
                f"tmin_f_{month}", "low-above-high",
                f"the low of month {month} ({low:g}) is above its high ({high:g})",
                "swap the two or look them up again",
            )  # fmt: skip
    return lows, highs
