"""Records that nobody uses."""

from bedside.checks.material import Fault, Faults, Material
from bedside.checks.uses import source_uses, uses_of
from bedside.problems import WARNING

# Kinds of sources that stand for the lack of one, and so may go unused.
NO_PUBLICATION = ("common-practice", "memory", "judgement")


def unused_source(material: Material) -> Faults:
    """Every publication in sources.yaml is cited by something."""
    used = {use.name for use in source_uses(material)}
    for source in material.library.knowledge.sources.values():
        if source.id not in used and source.kind not in NO_PUBLICATION:
            yield _unused(material, "sources.yaml", source.id, "nothing cites this source")


def unused_control(material: Material) -> Faults:
    """Every control is in a plan, belongs to a first step, or is advised against."""
    used = {use.name for use in uses_of(material, "control")}
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
        hint="use it or take it out",
        level=WARNING,
    )
