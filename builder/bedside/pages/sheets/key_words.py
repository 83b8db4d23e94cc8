"""What the key says on paper: the tree in, plain data for the template out."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from bedside.model.records import Plant
from bedside.pages.frame.addresses import key_address
from bedside.pages.frame.drawings import standalone
from bedside.pages.sheets.key_columns import COLUMNS, SIDES
from bedside.pages.sheets.key_pictures import HEIGHT, WIDTH
from bedside.pages.sheets.key_rows import Branch, Row
from bedside.pages.sheets.key_views import Asked, Way
from bedside.pages.sheets.sheet_jobs import PAPER_WHITE, Paper
from bedside.pages.sheets.sheet_words import Desk, spoken_address

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
            "colours": {**nursery.light, "paper": PAPER_WHITE},
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
        palette = {**self.desk.knowledge.nursery.light, "paper": PAPER_WHITE}
        ways = [it.head for it in self.branches]
        ways += [row.way for it in self.branches for row in it.rows if row.is_main]
        names = sorted({way.drawing for way in ways if way.drawing})
        return {it: standalone(self.desk.plant.drawings, it, palette) for it in names}


def title_of(words: Mapping[str, Any], plant: Plant, sides: int) -> str:
    """Call a key by its plant; it is on one sheet unless it takes more sides."""
    said = words["title"] if sides <= SIDES else words["title_many"]
    return str(said).format(plant=plant.name.lower())
