"""The key on paper: measure its rows, place each, print; say what was in the way."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import islice
from typing import Any

from bedside.cache import digest
from bedside.model.library import Library
from bedside.model.records import Plant
from bedside.pages.sheets.key_layout import (
    COLUMNS,
    SIDES,
    SMALLEST,
    Line,
    Measured,
    Piece,
    Plan,
    Tall,
    illustrated,
    planned,
)
from bedside.pages.sheets.key_words import FOOT, Branch, KeyWords, branches_of, key_of
from bedside.pages.sheets.printing import WHOLE, Desk, Printed, measure_key, print_key
from bedside.problems import WARNING, Problem
from bedside.read.sheet_theme import SheetTheme

MOST_AIR = 1.2  # millimetres; more between two rows would tear them apart
Data = dict[str, Any]


@dataclass(frozen=True, kw_only=True, slots=True)
class Found:
    """What was measured at one size of type, millimetres: heads, and rows by branch."""

    size: float
    heads: Sequence[Data]
    rows: Sequence[Sequence[Data]]
    agains: Sequence[Sequence[Data]]  # what stands over a column that begins with a row
    tail: float
    air: float  # between two rows
    downs: Sequence[float]  # where columns begin on the first side, and on every other

    def measured(self, words: KeyWords) -> Measured:
        """The heights alone, for a plan."""
        foot = words.paper.height - FOOT
        return Measured(
            size=self.size,
            rooms=tuple(foot - down for down in self.downs),
            branches=tuple(
                Tall(
                    head=head["height"],
                    rows=tuple(it["text"] + self.air for it in rows),
                    more=tuple(it["height"] for it in agains),
                    tail=self.tail,
                    depths=tuple(row.depth for row in branch.rows),
                    is_else=branch.head.dashed,
                    firsts=tuple(row.is_first for row in branch.rows),
                )
                for head, rows, agains, branch in zip(
                    self.heads, self.rows, self.agains, words.branches, strict=True
                )
            ),
        )


def sides_of(words: KeyWords, found: Found, plan: Plan) -> list[Data]:
    """Every side with its columns."""
    return [_Side(words, found, plan, number).data() for number in range(plan.sides)]


class _Side:
    """One side of paper."""

    def __init__(self, words: KeyWords, found: Found, plan: Plan, number: int) -> None:
        self.words, self.found, self.plan, self.number = words, found, plan, number
        self.columns = plan.columns[number * COLUMNS : (number + 1) * COLUMNS]
        self.room = found.measured(words).room(number * COLUMNS)

    def data(self) -> Data:
        """All that stands on it."""
        here = {it.branch for column in self.columns for it in column if not it.start}
        others = [it for at, it in enumerate(self.words.branches) if at not in here]
        columns = [
            [self._piece(piece, at) for piece in column]
            for at, column in enumerate(self.columns)
        ]
        for column in columns:
            self._loosen(column)
        self._air(columns)
        for column in columns:
            for row in self._with_pictures(column):
                row["shown"] = True
        return {
            "note": self.words.note(others, self.number, self.plan.sides),
            "down": self.words.paper.height - FOOT - self.room,
            "columns": columns,
        }

    def _piece(self, piece: Piece, column: int) -> Data:
        branch, sizes = self.words.branches[piece.branch], self.found.rows[piece.branch]
        rows = [
            {
                **self.words.row(row),
                **sizes[at],
                "height": sizes[at]["text"] + self.found.air,
                "main": row.is_main,
                "big": row.way.is_big,
                "shown": False,
            }
            for at, row in enumerate(branch.rows)
        ]
        is_cut = piece.stop < len(branch.rows)
        to = None if column + 1 < COLUMNS else self.number + 2
        return {
            **self._over(piece, branch),
            "rows": rows[piece.start : piece.stop],
            "tail": self.words.tail(to) if is_cut else "",
            "tail_height": self.found.tail if is_cut else 0.0,
        }

    def _over(self, piece: Piece, branch: Branch) -> Data:
        at, start = piece.branch, piece.start
        head = {**self.words.head(branch.head), **self.found.heads[at]}
        if not start:
            return {"head": head, "again": None}
        again = self.words.again(branch, branch.rows[start])
        return {"head": None, "again": {**again, **self.found.agains[at][start]}}

    def _loosen(self, column: list[Data]) -> None:
        """Give a main answer a second line where that makes room for its picture."""
        for row in _rows(column):
            if not row["main"] or not row["big"] or self._has_picture(column, row):
                continue
            tight, loose = {**row}, row["loose"]
            row.update({**loose, "height": loose["text"] + self.found.air, "on_two": True})
            if not self._has_picture(column, row) or _height(column) > self.room:
                row.update({**tight, "on_two": False})

    def _air(self, columns: Sequence[list[Data]]) -> None:
        """Share what the fullest column leaves out over its rows, and as much elsewhere."""
        most = MOST_AIR
        for column in columns:
            rows = len(list(_rows(column)))
            most = min(most, (self.room - _height(column)) / max(rows, 1))
        for column in columns:
            for row in _rows(column):
                row["height"] += max(most, 0.0)

    def _has_picture(self, column: list[Data], row: Data) -> bool:
        return any(it is row for it in self._with_pictures(column))

    def _with_pictures(self, column: list[Data]) -> list[Data]:
        rows = [row for piece in column for row in ({}, *piece["rows"])]
        shown = illustrated(list(_lines(column)), self.words.column, self.room)
        return [rows[at] for at in shown]


def _rows(column: Sequence[Data]) -> Iterator[Data]:
    for piece in column:
        yield from piece["rows"]


def _over(piece: Data) -> Data:
    over: Data = piece["head"] or piece["again"]
    return over


def _height(column: Sequence[Data]) -> float:
    rows = [row["height"] for row in _rows(column)]
    others = [_over(it)["height"] + it["tail_height"] for it in column]
    return float(sum(rows) + sum(others))


def _lines(pieces: Sequence[Data]) -> Iterator[Line]:
    """Every head and row of a column with its place, for the pictures."""
    top = 0.0
    for piece in pieces:
        over = _over(piece)
        yield Line(top=top, bottom=top + over["height"], reach=over["reach"])
        top += over["height"]
        for row in piece["rows"]:
            yield Line(
                top=top, bottom=top + row["text"], reach=row["reach"],
                middle=top + row["middle"] if row["main"] else None, is_big=row["big"],
            )  # fmt: skip
            top += row["height"]
        top += piece["tail_height"]


@dataclass(frozen=True, kw_only=True, slots=True)
class KeyPrinted:
    """A printed key: how many sides it takes, and its size of type in points."""

    printed: Printed
    sides: int
    size: float


def key_jobs(library: Library, plant: Plant, theme: SheetTheme) -> tuple[KeyWords, ...]:
    """What a plant's key says, once for each paper."""
    desk, first = Desk(library=library, plant=plant, theme=theme), key_of(plant)
    branches = branches_of(first)
    return tuple(
        KeyWords(desk=desk, paper=paper, first=first, branches=branches) for paper in WHOLE
    )


def key_of_key(words: KeyWords) -> str:
    """One name for all that goes into one key."""
    theme = words.desk.theme
    parts = (words.paper, words.sheet(SMALLEST), theme.words, words.branches,
             _day(words.desk.plant))  # fmt: skip
    return digest((theme.key.encode(), theme.type, *(repr(it).encode() for it in parts)))


def print_key_job(words: KeyWords) -> KeyPrinted:
    """Print one key."""
    sheet = KeySheet(words)
    plan = planned(sheet.measured)
    printed = print_key(sheet.document(plan), words.desk.theme)
    return KeyPrinted(printed=printed, sides=plan.sides, size=plan.size)


def key_faults(words: KeyWords, made: KeyPrinted) -> Iterator[Problem]:
    """What a grower should know of a key: that it has more than one sheet, or none."""
    library, file = words.desk.library, words.desk.plant.tree.file
    what = f"the key on {words.paper.name}"
    if made.printed.refused:
        yield library.problem(
            file, (), "key-refused", f"{what}: {made.printed.refused}",
            "use letters that our fonts have, and give each drawing its words",
        )  # fmt: skip
    if made.sides > SIDES:
        yield library.problem(
            file, (), "key-long",
            f"{what} takes {made.sides} sides, and one sheet has {SIDES}",
            "all are printed; for one sheet, ask fewer questions or use fewer words",
            level=WARNING,
        )  # fmt: skip


def _day(plant: Plant) -> str:
    return max(it.reviewed for it in plant.causes.values())


class KeySheet:
    """One key on its way to paper; each size of type is measured once."""

    def __init__(self, words: KeyWords) -> None:
        self.words = words
        self._found: dict[float, Found] = {}

    def measured(self, size: float) -> Measured:
        """What all branches need at a size of type."""
        if size not in self._found:
            self._found[size] = self._measure(size)
        return self._found[size].measured(self.words)

    def document(self, plan: Plan) -> Data:
        """All that stands on the paper, each piece with its place."""
        desk, title = self.words.desk, self.words.title(plan.sides)
        day = date.fromisoformat(_day(desk.plant))
        return {
            **self.words.sheet(plan.size),
            "title": title,
            "date": [day.year, day.month, day.day],
            "document": desk.words["key"]["document"].format(
                title=title, nursery=desk.knowledge.nursery.name
            ),
            "sides": sides_of(self.words, self._found[plan.size], plan),
        }

    def _measure(self, size: float) -> Found:
        words, every = self.words, self.words.branches
        # Rows of one question are the same there: they are measured once.
        agains = [[words.again(it, row) for row in it.rows] for it in every]
        unlike = list({str(it): it for one in agains for it in one}.values())
        found = measure_key(
            {
                **words.sheet(size),
                "heads": [words.head(it.head) for it in every],
                "rows": [words.row(row) for it in every for row in it.rows],
                "agains": unlike,
                # The most that a side may have to say of the others.
                "notes": [words.note(every, number, SIDES) for number in range(SIDES)],
                "tail": words.tail(None),
            },
            words.desk.theme,
        )
        rows = iter(found["rows"])
        return Found(
            size=size,
            heads=found["heads"],
            rows=[list(islice(rows, len(it.rows))) for it in every],
            agains=[[found["agains"][unlike.index(it)] for it in one] for one in agains],
            tail=found["tail"],
            air=found["air"],
            downs=found["downs"],
        )
