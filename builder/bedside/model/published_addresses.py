"""The record of addresses.yaml: what was ever published, and what became of it.

Links are mailed and printed, so the list only grows. An address is kept here as it is
everywhere else: without the slash it begins with in the file.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from bedside.model.library import Library

FILE = "addresses.yaml"

ByPlant = Mapping[str, Mapping[str, str]]


@dataclass(frozen=True, kw_only=True, slots=True)
class Promised:
    """Everything published. `ended` says a line about what has no heir."""

    pages: tuple[str, ...] = ()
    answers: Mapping[str, Mapping[str, tuple[str, ...]]]  # plant -> sign -> answers
    moved_pages: Mapping[str, str]
    ended_pages: Mapping[str, str]
    moved_answers: ByPlant
    ended_answers: ByPlant

    def heir(self, page: str) -> str | None:
        """Follow a page to where it is now; nothing if the moves go round in a ring."""
        return followed(self.moved_pages, page)

    def heirs(self, plant: str) -> dict[str, str]:
        """Where each moved id of a plant leads in the end; rings are left out."""
        moves = self.moved_answers.get(plant, {})
        ends = {old: followed(moves, old) for old in moves}
        return {old: new for old, new in ends.items() if new is not None}


def followed(moves: Mapping[str, str], name: str) -> str | None:
    """Follow a name through moves to the last; nothing if they go round in a ring."""
    seen = {name}
    while name in moves:
        name = moves[name]
        if name in seen:
            return None
        seen.add(name)
    return name


def is_promised(library: Library) -> bool:
    """Tell whether anything was published yet."""
    listed = library.documents.get(FILE)
    return listed is not None and bool(listed.data.get("pages"))


def promised_of(library: Library) -> Promised:
    """Read what was promised; without a file nothing was."""
    return promised_in(library.documents[FILE].data if FILE in library.documents else {})


def promised_in(data: Mapping[str, Any]) -> Promised:
    """Read the values of the file."""
    moved, ended = data.get("moved", {}), data.get("ended", {})
    return Promised(
        pages=tuple(map(bare, data.get("pages", ()))),
        answers={
            plant: {sign: tuple(answers) for sign, answers in signs.items()}
            for plant, signs in data.get("answers", {}).items()
        },
        moved_pages={bare(old): bare(new) for old, new in moved.get("pages", {}).items()},
        ended_pages={bare(old): say for old, say in ended.get("pages", {}).items()},
        moved_answers=moved.get("answers", {}),
        ended_answers=ended.get("answers", {}),
    )


def bare(address: str) -> str:
    """An address as the builder knows it."""
    return address.removeprefix("/")
