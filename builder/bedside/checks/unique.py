"""What may be there only once: ids in links, questions, addresses."""

from collections.abc import Callable, Iterable, Iterator
from typing import TypeVar

from bedside.checks.material import Fault, Faults, Material
from bedside.model.library import Use, uses_in
from bedside.model.records import Cause, Plant, Sign, Topic
from bedside.problems import WARNING
from bedside.read.drafts import is_draft
from bedside.read.drawing import PARTS

T = TypeVar("T")
R = TypeVar("R", Cause, Sign, Topic)


def clashing_answer(material: Material) -> Faults:
    """Answer ids are unique in a plant, and none is the id of a sign: links hold both."""
    for plant in material.plants:
        taken = {it.id: f"the name of the sign {it.file}" for it in plant.signs.values()}
        for use in _answer_ids(material, plant):
            if use.name in taken:
                yield Fault(
                    place=use.place,
                    message=f"the id '{use.name}' is taken",
                    hint=f"it is {taken[use.name]}; give this answer another",
                )
            place = use.place
            first = f"an answer in {place.file}, line {place.line}"
            taken.setdefault(use.name, first)


def same_question(material: Material) -> Faults:
    """No two signs of a plant ask in the same words: a page is known by its heading."""
    for plant in material.plants:
        for sign, first in _again(
            _by_age(material, plant.signs.values()), lambda it: it.question
        ):
            yield Fault(
                place=material.library.place(sign.file, "question"),
                message="another sign asks the same question",
                hint=f"it is in {first.file}; say how this one differs",
            )


def same_short_address(material: Material) -> Faults:
    """No two causes have the same short address for print."""
    printed = [it for it in _by_age(material, material.causes) if it.short]
    for cause, first in _again(printed, lambda it: it.short):
        yield Fault(
            place=material.library.place(cause.file, "short"),
            message=f"the short address '{cause.short}' is taken",
            hint=f"it is that of {first.file}; write another here",
        )


def same_cause(material: Material) -> Faults:
    """No two plants have a cause of the same id: the id is the address of its page."""
    for cause, first in _again(_by_age(material, material.causes), lambda it: it.id):
        yield Fault(
            place=material.library.place(cause.file),
            message=f"another plant has a cause called '{cause.id}'",
            hint=f"it is {first.file}; rename the newer one to "
            f"PLANT-{cause.id}.yaml, for instance",
        )


def same_cause_name(material: Material) -> Faults:
    """No two causes are called the same: lists and search show both."""
    causes = _by_age(material, material.causes)
    for cause, first in _again(causes, lambda it: it.name.lower()):
        yield Fault(
            place=material.library.place(cause.file, "name"),
            message=f"another cause is called '{cause.name}'",
            hint=f"it is {first.file}; say the plant in the name of the newer one",
            level=WARNING,
        )


def same_drawing(material: Material) -> Faults:
    """No two plants have a drawing of the same name, `parts` apart: lists show both."""
    drawn = ((plant.id, it) for plant in material.plants for it in plant.drawings)
    for (plant_id, name), (first, _) in _again(drawn, lambda it: it[1]):
        if name != PARTS:
            yield Fault(
                place=material.library.place(f"{plant_id}/drawings/{name}.svg"),
                message=f"{first} has a drawing called '{name}' too",
                hint=f"rename the newer one to PLANT-{name}.svg, for instance",
            )


def same_name_twice(material: Material) -> Faults:
    """No source, control or topic of a plant has the id of another one."""
    for kind in ("sources", "control", "topic"):
        named = (
            (it, name)
            for it in sorted(material.documents(kind), key=lambda it: it.plant)
            for name in (it.data if kind == "sources" else (it.id,))
        )
        for (document, name), (first, _) in _again(named, lambda it: it[1]):
            path = (name,) if kind == "sources" else ()
            yield Fault(
                place=document.place(*path, key=True),
                message=f"'{name}' is in {first.file} already",
                hint=f"rename this one, for instance to '{document.plant}-{name}';"
                " lines for a shared control stand in control_lines.yaml",
            )


def same_address(material: Material) -> Faults:
    """No two topics have the same address."""
    topics = _by_age(material, material.library.knowledge.topics.values())
    for topic, first in _again(topics, lambda it: it.address):
        yield Fault(
            place=material.library.place(topic.file, "address"),
            message=f"the address '{topic.address}' is taken",
            hint=f"it is that of {first.file}; write another here",
        )


def zone_overlap(material: Material) -> Faults:
    """No state is in two zones."""
    zones = material.library.knowledge.zones.values()
    states = ((zone.id, *it) for zone in zones for it in enumerate(zone.states))
    for (zone_id, number, state), (first, *_) in _again(states, lambda it: it[2]):
        yield Fault(
            place=material.library.place("zones.yaml", "zones", zone_id, "states", number),
            message=f"{state} is in two zones",
            hint=f"it is in '{first}' already: take it out of one of them",
        )


def _by_age(material: Material, records: Iterable[R]) -> list[R]:
    """Records with the newest last: a draft is newer, and so is what was looked over later.

    Whoever has written something twice shall change what nobody has seen yet.
    """
    documents = material.library.documents

    def age(record: R) -> tuple[bool, str, str]:
        data = documents[record.file].data
        return is_draft(documents[record.file]), str(data.get("reviewed", "")), record.file

    return sorted(records, key=age)


def _again(things: Iterable[T], name: Callable[[T], str]) -> Iterator[tuple[T, T]]:
    """Each thing whose name an earlier one has, and the first that has it."""
    first: dict[str, T] = {}
    for it in things:
        if name(it) in first:
            yield it, first[name(it)]
        first.setdefault(name(it), it)


def _answer_ids(material: Material, plant: Plant) -> Iterator[Use]:
    for sign in _by_age(material, plant.signs.values()):
        document = material.library.documents[sign.file]
        for pattern in ("answers.*.id", "none.id"):
            yield from uses_in(document, pattern)
