"""The parts of a result below its head: first step, reasons, plan, what was told."""

from collections.abc import Mapping

from bedside.model.records import TICKS, TIERS, Cause, Control, PlanStep, Plant, Sign
from bedside.pages.frame.addresses import control_address, question_address
from bedside.pages.frame.desk import PlantDesk, Words
from bedside.pages.frame.views import (
    ClosedView,
    ReasonView,
    RungStepView,
    RungView,
    StepView,
    Told,
)
from bedside.reason import scale
from bedside.reason.evidence import Findings
from bedside.reason.findings import format_fragment
from bedside.reason.outcome import Outcome
from bedside.reason.steps import gate
from bedside.reason.weigh import shares_of_words


def step_view(desk: PlantDesk, found: Outcome) -> StepView:
    """The one thing to do now."""
    step = desk.plant.first_steps[found.step.step]
    likeliest = [desk.plant.causes[id_] for id_ in found.ranking.first(2)]
    return StepView(
        do=step.says(found.findings.values()),
        how=tuple(claim.say for claim in step.how),
        control=control_address(step.control) if step.control else "",
        for_all=found.head.kind != "cause"
        and all(step.id in (it.first_step, *it.also_right) for it in likeliest),
    )


def told_views(desk: PlantDesk, findings: Findings, words: Words) -> tuple[Told, ...]:
    """What was answered, each with the fragment that leaves it out."""
    return tuple(
        Told(
            question=desk.plant.signs[sign].question,
            answer=says_of(desk.plant.signs[sign], said) if said else words["cant_tell"],
            sign=sign,
            address=question_address(desk.plant, sign),
            change=format_fragment({s: a for s, a in findings.items() if s != sign}),
        )
        for sign, said in findings.items()
    )


def says_of(sign: Sign, answer: str) -> str:
    """The words of one answer."""
    return next(each.says for each in sign.all_answers if each.id == answer)


def word_for(cause: Cause, sign: Sign, answer: str) -> str:
    """How often the cause shows the answer; empty where it says nothing about the sign."""
    words = cause.evidence.get(sign.id)
    if not words:
        return ""
    if answer in words:
        return words[answer]
    column = [each.id for each in sign.all_answers].index(answer)
    share = float(shares_of_words(sign, words)[column])
    return next(word for least, word in scale.WORD_FROM if share >= least)


def reasons(
    plant: Plant, found: Outcome, words: Words
) -> tuple[tuple[ReasonView, ...], tuple[ReasonView, ...]]:
    """What speaks for the leading cause, and what against it."""
    lead = plant.causes[found.ranking.top]
    sides: tuple[list[ReasonView], list[ReasonView]] = ([], [])
    for reason in found.reasons:
        sign = plant.signs[reason.sign]
        word = word_for(lead, sign, reason.answer)
        if word in (scale.SUPPORTS if reason.supports else scale.OPPOSES):
            says = finding_words(sign, reason.answer)
            view = ReasonView(says=says, how=words["frequency"][word])
            sides[0 if reason.supports else 1].append(view)
    return tuple(sides[0]), tuple(sides[1])


def finding_words(sign: Sign, answer: str) -> str:
    """A finding that can stand alone: "none of these" needs its question before it."""
    says = says_of(sign, answer)
    is_none = sign.none is not None and sign.none.id == answer
    return f"{sign.question} {says}" if is_none else says


def rung_views(
    cause: Cause, controls: Mapping[str, Control], found: Outcome, words: Words
) -> tuple[RungView, ...]:
    """The ladder of a cause's plan, gentlest first; a shut rung says what it waits for."""
    by_tier: dict[str, list[RungStepView]] = {}
    for control_id, steps in plan_steps(cause).items():
        control = controls[control_id]
        by_tier.setdefault(control.tier, []).append(rung_step(control, steps))
    share = found.ranking.share(cause.id)
    to_check = found.check is not None and found.check.state == "open"

    def rung(tier: str) -> RungView:
        shut = not gate(cause.check, tier, found.findings, share).open
        return RungView(
            tier=tier,
            name=words["tiers"][tier],
            check_first=shut and to_check,
            ask_first=shut and not to_check,
            steps=tuple(by_tier[tier]),
        )

    return tuple(rung(tier) for tier in TIERS if tier in by_tier)


def plan_steps(cause: Cause) -> dict[str, tuple[PlanStep, ...]]:
    """A cause's plan by control: one may stand in it at two times, and is named once."""
    found: dict[str, tuple[PlanStep, ...]] = {}
    for step in cause.plan:
        found[step.control] = (*found.get(step.control, ()), step)
    return found


def rung_step(control: Control, steps: tuple[PlanStep, ...] = ()) -> RungStepView:
    """One control on the ladder, as and when a plan uses it, with what closes it."""
    closing = [tick for tick in TICKS if tick in control.closed_when]
    said = " ".join(it for step in steps for it in (step.do, step.when) if it)
    if not any(step.do for step in steps):
        said = f"{control.in_short} {said}".strip()
    return RungStepView(
        name=control.name,
        address=control_address(control.id),
        in_short=said,
        closed=tuple(ClosedView(tick=t, say=control.closed_when[t].say) for t in closing),
        ticks=" ".join(f"x-{tick}" for tick in closing),
    )
