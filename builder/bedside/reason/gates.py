"""Which steps of a plan are open: a spray waits for the check that could prove us wrong."""

from collections.abc import Mapping
from dataclasses import dataclass

from bedside.model.records import Control, DisprovingCheck, Plant
from bedside.reason import scale
from bedside.reason.findings import Findings


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
