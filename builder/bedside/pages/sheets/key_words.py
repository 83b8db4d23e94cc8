"""The whole tree as its page and its sheet of paper show it, and what the key says there.

On paper a way is a row. The ways of an answer's question stand one step in; the question
that every other answer leads to goes on at the same depth, because one reads on downwards.
Each row has its own piece of every line that passes it, so a column may end after any row.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from bedside.model.records import Answer, Plant
from bedside.pages.frame.addresses import cause_address, key_address, question_address
from bedside.pages.frame.drawings import standalone
from bedside.pages.frame.views import Named
from bedside.pages.sheets.key_layout import COLUMNS, HEIGHT, SIDES, WIDTH
from bedside.pages.sheets.printing import Desk, Paper, spoken_address

BIG = 4  # ways in a branch that make the answer before it a landmark, worth a picture


@dataclass(frozen=True, kw_only=True, slots=True)
class Way:
    """One answer of a question: it leads to the next question, or to the causes it ends at.

    `says` is empty where the way stands for every other answer.
    """

    says: str
    shows: str
    drawing: str
    ends: tuple[Named, ...]
    asks: "Asked | None"

    @property
    def dashed(self) -> bool:
        """Whether this is the way of every other answer."""
        return not self.says

    @property
    def is_big(self) -> bool:
        """Whether much hangs on this answer."""
        return self.asks is not None and sum(1 for _ in self.asks.all_ways()) >= BIG


@dataclass(frozen=True, kw_only=True, slots=True)
class Asked:
    """A question of the tree with every way that leads on from it."""

    says: str
    address: str
    ways: tuple[Way, ...]

    def all_ways(self) -> Iterator[Way]:
        """Its ways and all that hang on them, in the order of reading."""
        for way in self.ways:
            yield way
            if way.asks:
                yield from way.asks.all_ways()


def key_of(plant: Plant) -> Asked:
    """The tree of a plant, from its first question on."""
    return _asked(plant, plant.tree.first)


def _asked(plant: Plant, name: str) -> Asked:
    question = plant.tree.questions[name]
    sign = plant.signs[question.sign]
    answers = {answer.id: answer for answer in sign.all_answers}
    ways = [_way(plant, answers[said], to) for said, to in question.ways.items()]
    if question.otherwise:
        ways.append(_way(plant, None, question.otherwise))
    return Asked(
        says=sign.question, address=question_address(plant, name), ways=tuple(ways)
    )


def _way(plant: Plant, answer: Answer | None, to: str) -> Way:
    end = plant.tree.ends.get(to)
    causes = [plant.causes[cause] for cause in end.shows] if end else []
    return Way(
        says=answer.says if answer else "",
        shows=answer.shows if answer else "",
        drawing=answer.drawing if answer else "",
        ends=tuple(Named(name=it.name, address=cause_address(it.id)) for it in causes),
        asks=None if end else _asked(plant, to),
    )


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
        Branch(head=way, rows=_lined(list(_rows_of(way.asks, 0)) if way.asks else []))
        for way in first.ways
    )


def _rows_of(asked: Asked, depth: int) -> Iterator[Row]:
    for way in asked.ways:
        first = way is asked.ways[0]
        yield Row(
            way=way, question=asked.says, depth=depth, is_first=first, passing={},
            below=None,
        )  # fmt: skip
        if way.asks:
            yield from _rows_of(way.asks, depth if way.dashed else depth + 1)


def _lined(rows: Sequence[Row]) -> tuple[Row, ...]:
    """Tell each row which lines pass it: from the last row up, as a line knows its end."""
    ahead: dict[int, bool] = {}
    found: list[Row] = []
    for row in reversed(rows):
        passing = {depth: dashed for depth, dashed in ahead.items() if depth < row.depth}
        found.append(replace(row, passing=passing, below=ahead.get(row.depth)))
        ahead = {**passing, row.depth: row.way.dashed}
    return tuple(reversed(found))


# Millimetres. The first question's line runs in the gaps to the left of the columns.
LEFT, RIGHT, TOP, FOOT, GAP = 10.1, 7.0, 7.5, 7.5, 6.5
Data = dict[str, Any]


@dataclass(frozen=True, kw_only=True, slots=True)
class KeyWords:
    """One plant's tree on one paper, in words and pictures."""

    desk: Desk
    paper: Paper
    first: Asked
    branches: tuple[Branch, ...]

    @property
    def pdf(self) -> str:
        """Where the PDF stands on the site."""
        plant = self.desk.plant
        return f"{key_address(plant)}{plant.id}-key-{self.paper.id}.pdf"

    @property
    def column(self) -> float:
        """How wide a column is."""
        return (self.paper.width - LEFT - RIGHT - GAP * (COLUMNS - 1)) / COLUMNS

    def title(self, sides: int) -> str:
        """What a key of so many sides is called."""
        return title_of(self.desk.words["key"], self.desk.plant, sides)

    def sheet(self, size: float) -> Data:
        """What every side has, at a size of type."""
        nursery, words = self.desk.knowledge.nursery, self.desk.words["key"]
        return {
            "lang": self.desk.words["lang"],
            "title": self.title(SIDES),
            "nursery": nursery.name,
            "lines": list(nursery.address),
            "address": spoken_address(self.desk.address(key_address(self.desk.plant))),
            "how": words["how"],
            "care": words["care"],
            "question": self.first.says,
            "size": size,
            "paper": {"width": self.paper.width, "height": self.paper.height},
            "edges": {"left": LEFT, "right": RIGHT, "top": TOP, "gap": GAP},
            "column": self.column,
            "picture": {"width": WIDTH, "height": HEIGHT},
            "colours": self.desk.palette,
            "pictures": self._drawn(),
        }

    def head(self, way: Way) -> Data:
        """An answer of the first question."""
        said = self._way(way)
        return {**said, "says": said["says"][:1].upper() + said["says"][1:]}

    def row(self, row: Row) -> Data:
        """Any other way."""
        lines = [{"depth": it, "dashed": dashed} for it, dashed in row.passing.items()]
        return {
            **self._way(row.way),
            "depth": row.depth,
            "passing": lines,
            "below": row.below,
        }

    def again(self, branch: Branch, row: Row) -> Data:
        """What stands over a column that goes on with a branch, from this row."""
        says = self.desk.words["key"]["again"].format(says=self._says(branch.head))
        return {"says": says, "question": row.question}

    def tail(self, side: int | None) -> str:
        """What stands below a column whose last branch goes on: beside it, or on a side."""
        words = self.desk.words["key"]
        said = words["on_column"] if side is None else words["on_side"]
        return str(said).format(side=side)

    def note(self, others: Sequence[Branch], number: int, sides: int) -> list[str]:
        """Which side this is, and which answers stand elsewhere."""
        if sides == 1:
            return []
        words = self.desk.words["key"]
        answers = "; ".join(self._says(it.head) for it in others)
        said = {"side": number + 1, "sides": sides}
        elsewhere = words["elsewhere" if sides == SIDES else "elsewhere_many"]
        return [
            words["side"].format(**said),
            *([elsewhere.format(answers=answers)] if others else []),
        ]

    def _says(self, way: Way) -> str:
        return way.says or str(self.desk.words["key"]["other"])

    def _way(self, way: Way) -> Data:
        return {
            "says": self._says(way),
            "dashed": way.dashed,
            "question": way.asks.says if way.asks else "",
            "causes": [end.name for end in way.ends],
            "picture": {"name": way.drawing, "alt": way.shows} if way.drawing else None,
        }

    def _drawn(self) -> Data:
        ways = [it.head for it in self.branches]
        ways += [row.way for it in self.branches for row in it.rows if row.is_main]
        names = sorted({way.drawing for way in ways if way.drawing})
        drawings, palette = self.desk.plant.drawings, self.desk.palette
        return {it: standalone(drawings, it, palette) for it in names}


def title_of(words: Mapping[str, Any], plant: Plant, sides: int) -> str:
    """Call a key by its plant; it is on one sheet unless it takes more sides."""
    said = words["title"] if sides <= SIDES else words["title_many"]
    return str(said).format(plant=plant.name.lower())
