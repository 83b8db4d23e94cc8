"""The grower's records against the arithmetic: ends of the tree, and first steps.

An end names what its answers make likeliest, and each first step comes first for somebody.
Where records and arithmetic do not agree, one of them is wrong, and only the grower can say
which: this is advice to look, not an order to bend the end.
"""

from collections.abc import Iterator
from itertools import chain

from bedside.checks.material import Fault, Faults, Material
from bedside.model.records import Plant
from bedside.problems import WARNING
from bedside.reason import scale
from bedside.reason.arrival import weighed_ends
from bedside.reason.evidence import Evidence, Findings, weigh
from bedside.reason.findings import format_fragment, makes_sense
from bedside.reason.next_look import usual_walk
from bedside.reason.ranking import rank
from bedside.reason.steps import choose_first_step


def wrong_end(material: Material) -> Faults:
    """An end names the cause that is likeliest for those who come there."""
    for plant in (it for it in material.plants if not it.tree.proposed):
        for end, ranking in weighed_ends(weigh(plant), plant.tree):
            # Where nothing on the list fits, nothing on the list should come first.
            listed = [it for it in end.shows if plant.causes[it].kind != "unlisted"]
            # What has less is not named there, and says nothing against the end.
            names = ranking.top_share >= scale.SHOWN_AT_END
            if names and listed and ranking.top not in end.shows:
                best = max(listed, key=ranking.share)
                yield Fault(
                    place=material.library.place(plant.tree.file, *end.path),
                    message=f"'{ranking.top}' comes first here ({ranking.top_share:.2f}), "
                    f"before '{best}' ({ranking.share(best):.2f})",
                    hint=f"after {', '.join(end.path[1::2])}. Is what these causes say of "
                    "the answers right? Then would you say so too? Mend what is wrong, and "
                    "leave what is right: this is advice, and both are shown",
                    level=WARNING,
                )


def step_never_first(material: Material) -> Faults:
    """A cause's first step comes first for the usual answers of some cause that has it."""
    for plant in material.plants:
        evidence = weigh(plant)
        first_of: dict[str, list[str]] = {}
        for cause in plant.causes.values():
            if cause.kind != "unlisted":  # what is on no list has no usual answers
                first_of.setdefault(cause.first_step, []).append(cause.id)
        for step, causes in first_of.items():
            told = (it for cause in causes for it in _usual(plant, evidence, cause))
            first = next(told)
            if all(_step(evidence, it) != step for it in chain([first], told)):
                file = f"{plant.id}/first_steps.yaml"
                shown = _step(evidence, first)
                yield Fault(
                    place=material.library.place(file, step, key=True),
                    message=f"'{step}' never comes first, not for {' or '.join(causes)}",
                    hint=f"after {format_fragment(first)} it is '{shown}'. Mend what the "
                    "records say of harm or of these answers if it is wrong; else leave it",
                    level=WARNING,
                )


def _step(evidence: Evidence, findings: Findings) -> str:
    return choose_first_step(evidence, rank(evidence, findings), findings).step


def _usual(plant: Plant, evidence: Evidence, cause: str) -> Iterator[Findings]:
    """What somebody with a cause usually tells: on a walk, and of all that it shows."""
    yield usual_walk(evidence, plant.tree, cause)
    yield _all_told(plant, evidence, cause)


def _all_told(plant: Plant, evidence: Evidence, cause: str) -> Findings:
    findings: dict[str, str | None] = {}
    shown = plant.causes[cause].evidence
    while may := [sign for sign in shown if makes_sense(evidence, findings, sign)]:
        findings[may[0]] = _likeliest(evidence, cause, may[0])
    return findings


def _likeliest(evidence: Evidence, cause: str, sign: str) -> str:
    table = evidence.signs[sign]
    return table.answers[int(table.read[evidence.causes.index(cause)].argmax())]
