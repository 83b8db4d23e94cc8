"""What may be there only once: ids in links, questions, addresses."""

from collections.abc import Iterator

from bedside.checks.material import Fault, Faults, Material
from bedside.checks.uses import Use, uses_in
from bedside.model.records import Plant
from bedside.read.drawing import PARTS


def clashing_answer(material: Material) -> Faults:
    """Answer ids are unique in a plant, and none is the id of a sign: links hold both."""
    for plant in material.plants:
        taken = {sign.id: f"the sign in {sign.file}" for sign in plant.signs.values()}
        for use in _answer_ids(material, plant):
            if use.name in taken:
                yield Fault(
                    place=use.place,
                    message=f"the id '{use.name}' is taken",
                    hint=f"it is already {taken[use.name]}; give this answer another",
                )
            taken.setdefault(use.name, f"an answer in {use.document.file}")


def same_question(material: Material) -> Faults:
    """No two signs of a plant ask in the same words: a page is known by its heading."""
    for plant in material.plants:
        asked: dict[str, str] = {}
        for sign in plant.signs.values():
            if sign.question in asked:
                yield Fault(
                    place=material.library.place(sign.file, "question"),
                    message="another sign asks the same question",
                    hint=f"it is in {asked[sign.question]}; say how this one differs",
                )
            asked.setdefault(sign.question, sign.file)


def same_short_address(material: Material) -> Faults:
    """No two causes have the same short address for print."""
    taken: dict[str, str] = {}
    for plant in material.plants:
        for cause in plant.causes.values():
            if cause.short in taken:
                yield Fault(
                    place=material.library.place(cause.file, "short"),
                    message=f"the short address '{cause.short}' is taken",
                    hint=f"it is that of {taken[cause.short]}",
                )
            if cause.short:
                taken.setdefault(cause.short, cause.file)


def same_cause(material: Material) -> Faults:
    """No two plants have a cause of the same id: the id is the address of its page."""
    taken: dict[str, str] = {}
    for plant in material.plants:
        for cause in plant.causes.values():
            if cause.id in taken:
                yield Fault(
                    place=material.library.place(cause.file),
                    message=f"another plant has a cause called '{cause.id}'",
                    hint=f"it is {taken[cause.id]}; rename the newer one to "
                    f"PLANT-{cause.id}.yaml, for instance",
                )
            taken.setdefault(cause.id, cause.file)


def same_drawing(material: Material) -> Faults:
    """No two plants have a drawing of the same name, `parts` apart: lists show both."""
    taken: dict[str, str] = {}
    for plant in material.plants:
        for name in plant.drawings:
            if name in taken and name != PARTS:
                yield Fault(
                    place=material.library.place(f"{plant.id}/drawings/{name}.svg"),
                    message=f"{taken[name]} has a drawing called '{name}' too",
                    hint=f"rename the newer one to PLANT-{name}.svg, for instance",
                )
            taken.setdefault(name, plant.id)


def same_address(material: Material) -> Faults:
    """No two topics have the same address."""
    taken: dict[str, str] = {}
    for topic in material.library.knowledge.topics.values():
        if topic.address in taken:
            yield Fault(
                place=material.library.place(topic.file, "address"),
                message=f"the address '{topic.address}' is taken",
                hint=f"it is that of {taken[topic.address]}",
            )
        taken.setdefault(topic.address, topic.file)


def zone_overlap(material: Material) -> Faults:
    """No state is in two zones."""
    taken: dict[str, str] = {}
    for zone in material.library.knowledge.zones.values():
        for number, state in enumerate(zone.states):
            if state in taken:
                path = ("zones", zone.id, "states", number)
                yield Fault(
                    place=material.library.place("zones.yaml", *path),
                    message=f"{state} is in two zones",
                    hint=f"it is in '{taken[state]}' already",
                )
            taken.setdefault(state, zone.id)


def _answer_ids(material: Material, plant: Plant) -> Iterator[Use]:
    for document in material.documents("sign", plant.id):
        for pattern in ("answers.*.id", "none.id"):
            yield from uses_in(document, pattern)
