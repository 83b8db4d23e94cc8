"""The tree as rows of paper, each with its own piece of every line that passes it.

A way is a row. The ways of an answer's question stand one step in; the question that every
other answer leads to goes on at the same depth, because one reads on downwards. So a column
may end after any row.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from bedside.pages.sheets.key_views import Asked, Way


@dataclass(frozen=True, kw_only=True, slots=True)
class Row:
    """One way on paper, and the lines beside it: depth -> whether it is dashed."""

    way: Way
    question: str  # that it answers
    depth: int
    is_first: bool
    passing: Mapping[int, bool]
    below: bool | None  # whether its own line goes on, and how

    @property
    def is_main(self) -> bool:
        """Whether it may have its picture beside it."""
        return self.depth == 0 and bool(self.way.drawing)


@dataclass(frozen=True, kw_only=True, slots=True)
class Branch:
    """An answer of the first question, and every row that hangs on it."""

    head: Way
    rows: tuple[Row, ...]


def branches_of(first: Asked) -> tuple[Branch, ...]:
    """The tree as rows, an answer of the first question at a time."""
    return tuple(
        Branch(head=way, rows=_lined(list(_rows(way.asks, 0)) if way.asks else []))
        for way in first.ways
    )


def _rows(asked: Asked, depth: int) -> Iterator[Row]:
    for way in asked.ways:
        first = way is asked.ways[0]
        yield Row(
            way=way, question=asked.says, depth=depth, is_first=first, passing={},
            below=None,
        )  # fmt: skip
        if way.asks:
            yield from _rows(way.asks, depth if way.dashed else depth + 1)


def _lined(rows: Sequence[Row]) -> tuple[Row, ...]:
    """Tell each row which lines pass it: from the last row up, as a line knows its end."""
    ahead: dict[int, bool] = {}
    found: list[Row] = []
    for row in reversed(rows):
        passing = {depth: dashed for depth, dashed in ahead.items() if depth < row.depth}
        found.append(replace(row, passing=passing, below=ahead.get(row.depth)))
        ahead = {**passing, row.depth: row.way.dashed}
    return tuple(reversed(found))
