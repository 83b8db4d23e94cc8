"""Put every row of the key in its column: a plan and measures in, all of a sheet out."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from bedside.pages.sheets.key_columns import COLUMNS, Measured, Piece, Plan, Tall
from bedside.pages.sheets.key_pictures import Line, illustrated
from bedside.pages.sheets.key_rows import Branch
from bedside.pages.sheets.key_words import FOOT, KeyWords

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
