"""What to do: the first step that is best for everything that may be the matter, and which
steps of a plan are open.

A spray waits for the check that could prove us wrong. Where one cause is named, its own
first step is taken, unless that could harm under the others. Else the step of highest
value: P(right) - HARM x P(harmful). If that one is wrong for the cause that is named, it is
the one for what is on no list.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bedside.model.records import Control, DisprovingCheck, Plant
from bedside.reason import scale
from bedside.reason.evidence import Evidence, Findings, StepTable, Table
from bedside.reason.ranking import SAME, Headline, Ranking, headline


@dataclass(frozen=True, kw_only=True, slots=True)
class Gate:
    """Whether a step is open, and what it waits for."""

    open: bool
    check: str  # passed, failed, open (not looked yet), none (the cause has no check)
    sure: bool
    needed: float  # share of the cause, 0 to 1


def check_state(check: DisprovingCheck | None, findings: Findings) -> str:
    """What the findings say of a cause's disproving check."""
    if check is None:
        return "none"
    said = findings.get(check.sign)
    if said is None and set(check.told_by) & set(findings.values()):
        return "passed"
    if said in check.passes:
        return "passed"
    return "failed" if said in check.fails else "open"


def spray_tiers(
    plant: Plant, controls: Mapping[str, Control]
) -> Mapping[str, frozenset[str]]:
    """For each cause, the tiers of spray that its plan has."""
    return {
        cause.id: frozenset(
            controls[step.control].tier
            for step in cause.plan
            if step.control in controls
            and controls[step.control].tier in scale.NEEDED_SHARE
        )
        for cause in plant.causes.values()
    }


def gate(
    check: DisprovingCheck | None, tier: str, findings: Findings, share: float
) -> Gate:
    """Open every tier that harms nothing; open a spray only if the check has passed and the
    cause's share is high enough (Pauker and Kassirer's threshold, `scale.NEEDED_SHARE`)."""
    state = check_state(check, findings)
    needed = scale.NEEDED_SHARE.get(tier, 0.0)
    sure = share >= needed
    gated = tier in scale.NEEDED_SHARE
    return Gate(
        open=not gated or (sure and state == "passed"),
        check=state,
        sure=sure,
        needed=needed,
    )


FAMILY, NOTHING = -1, -2  # what is named where it is no cause


@dataclass(frozen=True, kw_only=True, slots=True)
class Choice:
    """A first step and the chances (summing to 1) that it is right, wasted or harmful."""

    step: str
    right: float
    wasted: float
    harmful: float


def choose_first_step(evidence: Evidence, ranking: Ranking, findings: Findings) -> Choice:
    """The step to take now. A plant without first steps is a fault in the records."""
    head = headline(evidence, ranking)
    named = named_place(evidence, head)
    blocked = np.array([closed_steps(evidence, findings, named)])
    shares = ranking.vector[np.newaxis]
    (place,) = chosen_steps(evidence, shares, np.array([named]), blocked)
    return _choice(evidence.steps[place], ranking.vector)


def named_place(evidence: Evidence, head: Headline) -> int:
    """The place of the cause that is named; FAMILY or NOTHING where none is."""
    if head.kind == "cause":
        return evidence.causes.index(head.id)
    return FAMILY if head.kind == "family" else NOTHING


def closed_steps(evidence: Evidence, findings: Findings, named: int) -> list[bool]:
    """Which steps are senseless after some findings, while a cause is named.

    Those that look at something that was told, with no words for the answer; and to leave
    all as it is, once the look that could disprove the named cause speaks against it.
    """
    check = evidence.checks.get(evidence.causes[named]) if named >= 0 else None
    failed = check_state(check, findings) == "failed"
    return [_asks_again(it, findings) or (failed and it.idle) for it in evidence.steps]


def _asks_again(step: StepTable, findings: Findings) -> bool:
    if step.asks.isdisjoint(findings):
        return False
    said = {findings[sign] for sign in step.asks if findings.get(sign) is not None}
    return not said <= step.told


def chosen_steps(
    evidence: Evidence,
    shares: Table,
    named: NDArray[np.int_],
    blocked: NDArray[np.bool_],
) -> NDArray[np.int_]:
    """The place of the step for each of m rankings (m x causes).

    `named` is the place of the cause that each names, FAMILY or NOTHING; `blocked` (m x
    steps) the steps that it may not take. A step that leaves all as it is goes with a named
    cause or family only, and only if it is right for most.
    """
    right = np.array([step.right & ~step.harms for step in evidence.steps], dtype=float)
    harms = np.array([step.harms for step in evidence.steps], dtype=float)
    good, bad = shares @ right.T, shares @ harms.T
    idle = np.array([step.idle for step in evidence.steps])
    blocked = blocked | (idle & (good < scale.IDLE_FROM))
    out = blocked | (idle & (named == NOTHING)[:, np.newaxis])
    value = np.where(out, -np.inf, np.round(good - scale.HARM * bad, SAME))
    best = np.argmax(value, axis=1)
    may = ~blocked & (bad <= scale.HARM_BORNE)
    for row, cause in enumerate(named.tolist()):
        if cause >= 0:
            own, dearest = evidence.own[cause], int(best[row])
            other = dearest if dearest in own or evidence.ask is None else evidence.ask
            best[row] = next((step for step in own if may[row, step]), other)
    return np.asarray(best)


def _choice(step: StepTable, vector: Table) -> Choice:
    right = float(vector[step.right & ~step.harms].sum())
    harmful = float(vector[step.harms].sum())
    wasted = max(0.0, 1 - right - harmful)
    return Choice(step=step.id, right=right, wasted=wasted, harmful=harmful)
