"""First steps against the arithmetic: each comes first for somebody."""

from collections.abc import Iterator

from bedside.checks.material import Fault, Faults, Material
from bedside.model.records import Plant
from bedside.reason.evidence import Evidence, Findings
from bedside.reason.findings import format_fragment, makes_sense
from bedside.reason.next_look import next_look
from bedside.reason.ranking import rank
from bedside.reason.steps import choose_first_step
from bedside.reason.weigh import weigh


def step_never_first(material: Material) -> Faults:
    """A cause's first step comes first for the usual answers of some cause that has it."""
    for plant in material.plants:
        evidence = weigh(plant)
        first_of: dict[str, list[str]] = {}
        for cause in plant.causes.values():
            if cause.kind != "unlisted":  # what is on no list has no usual answers
                first_of.setdefault(cause.first_step, []).append(cause.id)
        for step, causes in first_of.items():
            told = [it for cause in causes for it in _usual(plant, evidence, cause)]
            shown = [_step(evidence, findings) for findings in told]
            if step not in shown:
                file = f"{plant.id}/first_steps.yaml"
                yield Fault(
                    place=material.library.place(file, step, key=True),
                    message=f"'{step}' never comes first, not for {' or '.join(causes)}",
                    hint=f"after {format_fragment(told[0])} it is '{shown[0]}'; mend what "
                    f"the records say of harm or of these answers, or name another step",
                )


def _step(evidence: Evidence, findings: Findings) -> str:
    return choose_first_step(evidence, rank(evidence, findings), findings).step


def _usual(plant: Plant, evidence: Evidence, cause: str) -> Iterator[Findings]:
    """What somebody with a cause usually tells: on a walk, and of all that it shows."""
    yield _walked(plant, evidence, cause)
    yield _all_told(plant, evidence, cause)


def _walked(plant: Plant, evidence: Evidence, cause: str) -> Findings:
    findings: dict[str, str | None] = {}
    while (look := next_look(evidence, plant.tree, findings)) is not None:
        findings[look.sign] = _likeliest(evidence, cause, look.sign)
    return findings


def _all_told(plant: Plant, evidence: Evidence, cause: str) -> Findings:
    findings: dict[str, str | None] = {}
    shown = plant.causes[cause].evidence
    while may := [sign for sign in shown if makes_sense(evidence, findings, sign)]:
        findings[may[0]] = _likeliest(evidence, cause, may[0])
    return findings


def _likeliest(evidence: Evidence, cause: str, sign: str) -> str:
    table = evidence.signs[sign]
    return table.answers[int(table.read[evidence.causes.index(cause)].argmax())]
