"""Where records name other records: one table for what is unknown and what is unused, and
the checks for records that nobody uses.

A place is written like a path: `*` is each item of a list or each value of a mapping, and a
slash at the end means the keys of the mapping rather than its value.
"""

from collections.abc import Iterator, Mapping
from functools import lru_cache
from typing import Any

from bedside.checks.material import Fault, Faults, Material
from bedside.model.library import Document, Use, items_of, uses_in
from bedside.model.library import Path as Steps
from bedside.problems import WARNING

Places = tuple[tuple[str, str], ...]  # kind of file, place in it

USES: Mapping[str, Places] = {
    "sign": (
        ("cause", "evidence/"), ("cause", "check.sign"), ("sign", "needs/"),
        ("first_steps", "*.asks.*"), ("first_steps", "*.rules_out.*"),
    ),
    "cause": (
        ("cause", "look_alikes.*.cause"), ("cases", "*.cause"),
        ("cases", "*.also.*"), ("cases", "*.second"), ("handout", "troubles.*.cause"),
    ),
    "control": (
        ("cause", "plan.*.control"), ("first_steps", "*.control"), ("control_lines", "/"),
    ),
    "first step": (
        ("cause", "first_step"), ("cause", "also_right.*"), ("cause", "harmed_by.*"),
        ("handout", "troubles.*.first_step"),
    ),
    "family": (("cause", "family"),),
    "zone": (
        ("cause", "where_when.zones/"), ("cases", "*.zone"), ("handout", "regions/"),
    ),
    "season": (
        ("cause", "where_when.zones.*/"), ("cases", "*.season"),
    ),
    "drawing": (
        ("sign", "answers.*.drawing"), ("cause", "drawing"), ("cause", "life.*.drawing"),
        ("plant", "drawing"), ("handout", "ruler.*.drawing"),
    ),
}  # fmt: skip


def uses_of(material: Material, what: str) -> Iterator[Use]:
    """Find every place where any file names a record of one kind."""
    for kind, pattern in USES[what]:
        for document in material.documents(kind):
            yield from uses_in(document, pattern)


@lru_cache(maxsize=1)  # three checks ask in turn
def source_uses(material: Material) -> tuple[Use, ...]:
    """Find every source that any record cites."""
    return tuple(
        use
        for document in material.library.documents.values()
        if document.kind not in ("words", "drawing", "services", "sources")
        for use in _cited(document, document.data, ())
    )


def _cited(document: Document, data: Any, path: Steps) -> Iterator[Use]:
    for key, item in items_of(data):
        if key != "from":
            if isinstance(item, (dict, list)):
                yield from _cited(document, item, (*path, key))
        elif isinstance(item, str):
            yield Use(document=document, path=(*path, key), name=item)
        else:
            for number, name in items_of(item):
                if isinstance(name, str):
                    yield Use(document=document, path=(*path, key, number), name=name)


# Kinds of sources that stand for the lack of one, and so may go unused.
NO_PUBLICATION = ("common-practice", "memory", "judgement")


def file_of_source(material: Material, name: str) -> str:
    """Find the file that says what a source is."""
    files = material.documents("sources")
    return next((it.file for it in files if name in it.data), "sources.yaml")


def unused_source(material: Material) -> Faults:
    """Every publication in sources.yaml is cited by something."""
    used = {use.name for use in source_uses(material)}
    for source in material.library.knowledge.sources.values():
        if source.id not in used and source.kind not in NO_PUBLICATION:
            file = file_of_source(material, source.id)
            yield _unused(material, file, source.id, "nothing cites this source")


def unused_control(material: Material) -> Faults:
    """Every control is in a plan, belongs to a first step, or is advised against."""
    uses = uses_of(material, "control")
    used = {it.name for it in uses if it.document.kind != "control_lines"}
    for control in material.library.knowledge.controls.values():
        if control.id not in used and control.tier != "advised-against":
            yield _unused(material, control.file, "name", "no plan has this control")


def unused_first_step(material: Material) -> Faults:
    """Every first step is the right one for some cause."""
    for plant in material.plants:
        used = {
            step
            for cause in plant.causes.values()
            for step in (cause.first_step, *cause.also_right)
        }
        for step in plant.first_steps:
            if step not in used:
                file = f"{plant.id}/first_steps.yaml"
                yield _unused(material, file, step, "no cause has this first step")


def unused_family(material: Material) -> Faults:
    """Every family has at least two causes."""
    for plant in material.plants:
        named = [cause.family for cause in plant.causes.values()]
        for family in plant.families:
            if named.count(family) < 2:
                yield Fault(
                    place=material.library.place(plant.file, "families", family, key=True),
                    message=f"family '{family}' has fewer than two causes",
                    hint="name it in two causes or take it out",
                )


def silent_sign(material: Material) -> Faults:
    """Every sign is spoken of by some cause; else no answer to it tells anything."""
    for plant in material.plants:
        spoken = {sign for cause in plant.causes.values() for sign in cause.evidence}
        for sign in plant.signs.values():
            if sign.id not in spoken:
                yield Fault(
                    place=material.library.place(sign.file, "question", key=True),
                    message=f"no cause speaks of the sign '{sign.id}'",
                    hint="say in the evidence of causes how often each answer is seen",
                )


def _unused(material: Material, file: str, key: str, message: str) -> Fault:
    return Fault(
        place=material.library.place(file, key, key=True),
        message=message,
        hint="use it, take it out, or leave it for later",
        level=WARNING,
    )
