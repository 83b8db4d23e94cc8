"""Which first step is best for everything that may be the matter: decision analysis."""

from dataclasses import dataclass

from builder.reason import scale
from builder.reason.evidence import Evidence, StepTable, Table
from builder.reason.ranking import SAME, Ranking


@dataclass(frozen=True, kw_only=True, slots=True)
class Choice:
    """A first step and the chances (summing to 1) that it is right, wasted or harmful."""

    step: str
    right: float
    wasted: float
    harmful: float
    value: float


def choose_first_step(evidence: Evidence, ranking: Ranking) -> Choice:
    """The step of highest value. A plant without first steps is a fault in the records."""
    return first_step_choices(evidence, ranking)[0]


def first_step_choices(evidence: Evidence, ranking: Ranking) -> tuple[Choice, ...]:
    """All steps, best first: value = P(right) - HARM x P(harmful)."""
    found = [_choice(step, ranking.vector) for step in evidence.steps]
    return tuple(sorted(found, key=lambda choice: -round(choice.value, SAME)))


def _choice(step: StepTable, vector: Table) -> Choice:
    right = float(vector[step.right & ~step.harms].sum())
    harmful = float(vector[step.harms].sum())
    return Choice(
        step=step.id,
        right=right,
        wasted=max(0.0, 1 - right - harmful),
        harmful=harmful,
        value=right - scale.HARM * harmful,
    )
