"""The grower's outline of questions to a tree whose questions and ends have names.

In: the data of a tree.yaml whose shape is right. Out: `Tree`. A question is named after its
sign and an end after its first cause; where an earlier branch has the name, the nearest
answer before that makes it new is added. Names stand in addresses, so they are made in the
order of reading, and nowhere else.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from bedside.model.records import OTHERWISE, End, Question, Tree

Path = tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class _Place:
    """One question or end: where it stands in the outline, and what stands there."""

    path: Path
    data: Any

    @property
    def name(self) -> str:
        return self.sign or self.shows[0]

    @property
    def sign(self) -> str:
        return next(iter(self.data)) if isinstance(self.data, dict) else ""

    @property
    def shows(self) -> Path:
        return (self.data,) if isinstance(self.data, str) else tuple(self.data)

    @property
    def ways(self) -> dict[str, "_Place"]:
        ways = self.data[self.sign] if self.sign else {}
        below = (*self.path, self.sign)
        return {way: _Place(path=(*below, way), data=to) for way, to in ways.items()}


def tree_of(file: str, outline: Mapping[str, Any]) -> Tree:
    """Name every question and every end of an outline."""
    places = list(_reading(_Place(path=(), data=outline)))
    names = _names(places)
    questions = [_question(place, names) for place in places if place.sign]
    ends = [
        End(id=names[place.path], path=place.path, shows=place.shows)
        for place in places
        if not place.sign
    ]
    return Tree(
        file=file,
        first=names[()],
        questions={question.id: question for question in questions},
        ends={end.id: end for end in ends},
    )


def _reading(first: _Place) -> Iterator[_Place]:
    # In the order of the lines; a loop, so that no outline is too deep.
    waiting = [first]
    while waiting:
        place = waiting.pop()
        yield place
        waiting += reversed(place.ways.values())


def _names(places: Iterable[_Place]) -> dict[Path, str]:
    names: dict[Path, str] = {}
    taken: set[str] = set()
    for place in places:
        free = (it for it in _possible(place) if it not in taken)
        names[place.path] = next(free)
        taken.add(names[place.path])
    return names


def _possible(place: _Place) -> Iterator[str]:
    # The bare name, then with each answer before, nearest first, then with all of them.
    # `otherwise` is no answer: the question it was said to speaks for it.
    yield place.name
    asked, said = place.path[0::2], place.path[1::2]
    before = [
        sign if answer == OTHERWISE else answer
        for sign, answer in zip(asked, said, strict=True)
    ]
    yield from (f"{place.name}/{answer}" for answer in reversed(before))
    yield f"{place.name}/{'-'.join(before)}"
    number = 2
    while True:
        yield f"{place.name}/{'-'.join(before)}-{number}"
        number += 1


def _question(place: _Place, names: Mapping[Path, str]) -> Question:
    leads = {way: names[to.path] for way, to in place.ways.items()}
    return Question(
        id=names[place.path],
        sign=place.sign,
        path=place.path,
        otherwise=leads.pop(OTHERWISE, ""),
        ways=leads,
    )
