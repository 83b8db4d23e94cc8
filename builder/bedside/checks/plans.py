"""What we tell people to do: gentlest first, a check that could prove us wrong, safety,
and whom to call.
"""

import re
from collections.abc import Iterable, Mapping

from bedside.checks.material import Fault, Faults, Material
from bedside.model.records import SPRAY_TIERS, TICKS, TIERS, Cause, Control, PlanStep
from bedside.problems import WARNING

FEWEST_LOOK_ALIKES = 2
NEEDED_LINES = ("life", "crisis")
NO_TROUBLE = ("normal", "unlisted")  # kinds of causes that need no plan
# A limit that speaks of a tick gives the reason why the step stays open there.
SPEAKS_OF: Mapping[str, str] = {
    "in-water": r"\b(water|ponds?|streams?|fish)\b",
    "in-bloom": r"\b(bloom\w*|flowers?|bees?|pollinators?)\b",
    "to-eat": r"\b(eat\w*|food|harvest\w*|crops?)\b",
    "children-pets": r"\b(child\w*|pets?|dogs?|cats?)\b",
}


def not_gentlest_first(material: Material) -> Faults:
    """The steps of a plan go from the gentlest tier to the last resort."""
    for cause in material.causes:
        highest = 0
        for number, _, control in _steps(material, cause):
            tier = TIERS.index(control.tier)
            if tier < highest and control.tier != "advised-against":
                yield Fault(
                    place=material.library.place(cause.file, "plan", number, "control"),
                    message=f"'{control.id}' ({control.tier}) comes after "
                    f"a harsher step ({TIERS[highest]})",
                    hint=f"the order is {', '.join(TIERS[:-1])}",
                )
            highest = max(highest, tier)


def advised_against_step(material: Material) -> Faults:
    """No plan and no first step uses what we advise against."""
    for cause in material.causes:
        for number, _, control in _steps(material, cause):
            if control.tier == "advised-against":
                yield Fault(
                    place=material.library.place(cause.file, "plan", number, "control"),
                    message=f"we advise against '{control.id}'",
                    hint="take it out of the plan",
                )


def repeated_step(material: Material) -> Faults:
    """No control stands twice in one plan: the page would show it twice."""
    for cause in material.causes:
        seen: set[str] = set()
        for number, step, _ in _steps(material, cause):
            if step.control in seen:
                yield Fault(
                    place=material.library.place(cause.file, "plan", number, "control"),
                    message=f"'{step.control}' is in the plan already",
                    hint="say both in one step, or make it two controls",
                    level=WARNING,
                )
            seen.add(step.control)


def missing_check(material: Material) -> Faults:
    """Every cause has a look that could prove it wrong."""
    for cause in material.causes:
        if cause.check is None and cause.kind != "unlisted":
            yield Fault(
                place=material.library.place(cause.file, "name", key=True),
                message=f"nothing could prove '{cause.id}' wrong",
                hint="write 'check' with a sign, and the answers that pass and fail",
            )


def idle_check(material: Material) -> Faults:
    """No answer to a check both passes and fails, or passes though the cause denies it."""
    for cause in material.causes:
        if cause.check is None:
            continue
        said = cause.evidence.get(cause.check.sign, {})
        for number, answer in enumerate(cause.check.passes):
            place = material.library.place(cause.file, "check", "passes", number)
            if answer in cause.check.fails:
                yield Fault(
                    place=place,
                    message=f"'{answer}' both passes and fails",
                    hint="take it out of one of the two",
                )
            elif said.get(answer) == "never":
                yield Fault(
                    place=place,
                    message=f"'{answer}' passes, but the evidence says it is never seen",
                    hint="let it fail, or say in the evidence how often it is seen",
                )


def half_check(material: Material) -> Faults:
    """Every answer to a check but "none of these" passes or fails."""
    for plant in material.plants:
        for cause in plant.causes.values():
            check = cause.check
            if check is None or check.sign not in plant.signs:
                continue
            answers = (answer.id for answer in plant.signs[check.sign].answers)
            left = [it for it in answers if it not in (*check.passes, *check.fails)]
            if left:
                yield Fault(
                    place=material.library.place(cause.file, "check", "fails", key=True),
                    message=f"{_quoted(left)} neither passes nor fails",
                    hint="whoever sees it has looked, and is told nothing: say which it is",
                    level=WARNING,
                )


def barred_check(material: Material) -> Faults:
    """No cause's own first step leaves no way to have the look that could disprove it."""
    for plant in material.plants:
        for cause in plant.causes.values():
            step = plant.first_steps.get(cause.first_step)
            if cause.check and step and cause.check.sign in step.rules_out:
                yield Fault(
                    place=material.library.place(cause.file, "check", "sign"),
                    message=f"the first step '{step.id}' rules out a look at "
                    f"'{cause.check.sign}'",
                    hint="check by another sign, or let another step come first",
                )


def few_look_alikes(material: Material) -> Faults:
    """Every cause has at least two look-alikes other than itself."""
    for cause in material.causes:
        others = {it.cause for it in cause.look_alikes} - {cause.id}
        if len(others) < FEWEST_LOOK_ALIKES and cause.kind != "unlisted":
            written = bool(cause.look_alikes)
            yield Fault(
                place=material.library.place(
                    cause.file, "look_alikes" if written else "name", key=True
                ),
                message=f"'{cause.id}' has fewer than two look-alikes",
                hint="name two other causes and the feature that splits each",
            )


def contradicting_steps(material: Material) -> Faults:
    """No cause is harmed by a first step that is right for it."""
    for cause in material.causes:
        for number, step in enumerate(cause.harmed_by):
            if step in (cause.first_step, *cause.also_right):
                yield Fault(
                    place=material.library.place(cause.file, "harmed_by", number),
                    message=f"'{step}' is both right and harmful for '{cause.id}'",
                    hint="take it out here, or out of first_step and also_right",
                )


def thin_cause(material: Material) -> Faults:
    """Every trouble says how to know it and has a plan."""
    for cause in material.causes:
        for key, lines in (("know_it", cause.know_it), ("plan", cause.plan)):
            if not lines and cause.kind not in NO_TROUBLE:
                yield Fault(
                    place=material.library.place(cause.file, "name", key=True),
                    message=f"'{cause.id}' has no '{key}'",
                    hint=f"write '{key}'",
                    level=WARNING,
                )


def unguarded_spray(material: Material) -> Faults:
    """Every spray says how, when, its limits, whom it hurts, and what the label decides."""
    for control in _sprays(material):
        fields = {
            "how": control.how, "when": control.when, "limits": control.limits,
            "hurts": control.hurts, "label": control.label, "active": control.active,
        }  # fmt: skip
        for key, said in fields.items():
            if not said:
                yield Fault(
                    place=material.library.place(control.file, "tier"),
                    message=f"the spray '{control.id}' does not say '{key}'",
                    hint=f"write '{key}'",
                )


def open_spray(material: Material) -> Faults:
    """Every spray closes for each of the four ticks, or a limit or hazard speaks of it."""
    for control in _sprays(material):
        said = " ".join(claim.say for claim in (*control.limits, *control.hurts))
        for tick in TICKS:
            if tick in control.closed_when or re.search(
                SPEAKS_OF[tick], said, re.IGNORECASE
            ):
                continue
            yield Fault(
                place=material.library.place(control.file, "closed_when", key=True),
                message=f"'{control.id}' does not say what holds for '{tick}'",
                hint="write it under 'closed_when', or say why not under 'limits'",
            )


def unexplained_advice(material: Material) -> Faults:
    """What we advise against says why."""
    for control in material.library.knowledge.controls.values():
        if control.tier == "advised-against" and not control.not_recommended:
            yield Fault(
                place=material.library.place(control.file, "tier"),
                message=f"no reason is given against '{control.id}'",
                hint="write 'not_recommended'",
            )


def missing_line(material: Material) -> Faults:
    """Every country says whom to call for a life, and in a crisis."""
    for country in material.library.knowledge.emergencies.countries:
        there = {line.what for line in country.lines}
        for what in NEEDED_LINES:
            if what not in there:
                yield Fault(
                    place=material.library.place(
                        "emergencies.yaml", "countries", country.id, "lines", key=True
                    ),
                    message=f"{country.name} has no line for '{what}'",
                    hint="add it; where there is none of its own, the emergency number",
                )


def _sprays(material: Material) -> tuple[Control, ...]:
    controls = material.library.knowledge.controls.values()
    return tuple(control for control in controls if control.tier in SPRAY_TIERS)


def _steps(material: Material, cause: Cause) -> tuple[tuple[int, PlanStep, Control], ...]:
    """Number the steps of a plan whose control is known."""
    controls = material.library.knowledge.controls
    return tuple(
        (number, step, controls[step.control])
        for number, step in enumerate(cause.plan)
        if step.control in controls
    )


def _quoted(names: Iterable[str]) -> str:
    return " or ".join(f"'{name}'" for name in names)
