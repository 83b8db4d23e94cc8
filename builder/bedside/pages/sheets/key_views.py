"""The whole tree as one view: what its page and its sheet of paper show alike."""

from collections.abc import Iterator
from dataclasses import dataclass

from bedside.model.records import Answer, Plant
from bedside.pages.frame.addresses import cause_address, question_address
from bedside.pages.frame.views import Named

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
