"""The parts of a result below its head: first step, look, check, reasons, plan.

`result.js` makes the same choices for findings that no built page has; keep the two alike.
"""

from collections.abc import Mapping

from builder.compile.addresses import (
    control_address,
    question_address,
    result_address,
)
from builder.compile.result_head import Words
from builder.compile.site import PlantDesk
from builder.compile.views import (
    ClosedView,
    ReasonView,
    RungStepView,
    RungView,
    StepView,
    Told,
)
from builder.model import TICKS, TIERS, Cause, Control, PlanStep, Plant, Sign
from builder.reason.evidence import shares_of_words
from builder.reason.findings import Findings, format_fragment
from builder.reason.first_steps import choose_first_step
from builder.reason.gates import gate
from builder.reason.ranking import Ranking
from builder.reason.sureness import sureness

# Shares of an answer nobody gave a word for, read back as the nearest word.
WORD_FROM = ((0.9, "always"), (0.55, "usually"), (0.2, "sometimes"), (0.04, "rarely"))
FOR = ("always", "usually", "sometimes")


def step_view(desk: PlantDesk, ranking: Ranking) -> StepView:
    """The one thing to do now."""
    choice = choose_first_step(desk.evidence, ranking)
    step = desk.plant.first_steps[choice.step]
    right = sum(
        step.id in (cause.first_step, *cause.also_right)
        for cause in (desk.plant.causes[id_] for id_ in ranking.first(2))
    )
    return StepView(
        do=step.do,
        how=tuple(claim.say for claim in step.how),
        by_hand=step.by_hand,
        control=control_address(step.control) if step.control else "",
        for_all=right == 2,
        tenths=sureness(choice.right).tenths,
    )


def told_views(desk: PlantDesk, findings: Findings, words: Words) -> tuple[Told, ...]:
    """What was answered, each with the fragment that leaves it out."""
    return tuple(
        Told(
            question=desk.plant.signs[sign].question,
            answer=says_of(desk.plant.signs[sign], said) if said else words["cant_tell"],
            sign=sign,
            address=asked_at(desk, sign),
            change=format_fragment({s: a for s, a in findings.items() if s != sign}),
        )
        for sign, said in findings.items()
    )


def says_of(sign: Sign, answer: str) -> str:
    """The words of one answer."""
    return next(each.says for each in sign.all_answers if each.id == answer)


def asked_at(desk: PlantDesk, sign: str) -> str:
    """The page that asks a sign; the result's own where no question does."""
    nodes = desk.asked.get(sign, ())
    return question_address(desk.plant, nodes[0]) if nodes else result_address(desk.plant)


def word_for(cause: Cause, sign: Sign, answer: str) -> str:
    """How often the cause shows the answer; empty where it says nothing about the sign."""
    words = cause.evidence.get(sign.id)
    if not words:
        return ""
    if answer in words:
        return words[answer]
    column = [each.id for each in sign.all_answers].index(answer)
    share = float(shares_of_words(sign, words)[column])
    return next((word for least, word in WORD_FROM if share >= least), "never")


def reasons(
    plant: Plant, lead: Cause, findings: Findings, words: Words
) -> tuple[tuple[ReasonView, ...], tuple[ReasonView, ...]]:
    """What speaks for the leading cause, and what against it."""
    sides: tuple[list[ReasonView], list[ReasonView]] = ([], [])
    for id_, said in findings.items():
        word = word_for(lead, plant.signs[id_], said) if said else ""
        if word:
            says = finding_words(plant.signs[id_], said or "")
            reason = ReasonView(says=says, how=words["frequency"][word])
            sides[word not in FOR].append(reason)
    return tuple(sides[0]), tuple(sides[1])


def finding_words(sign: Sign, answer: str) -> str:
    """A finding that can stand alone: "none of these" needs its question before it."""
    says = says_of(sign, answer)
    is_none = sign.none is not None and sign.none.id == answer
    return f"{sign.question} {says}" if is_none else says


def rung_views(
    cause: Cause,
    controls: Mapping[str, Control],
    findings: Findings,
    share: float,
    words: Words,
) -> tuple[RungView, ...]:
    """The ladder of a cause's plan, gentlest first; a closed rung asks for the check."""
    by_tier: dict[str, list[PlanStep]] = {}
    for step in cause.plan:
        by_tier.setdefault(controls[step.control].tier, []).append(step)
    return tuple(
        RungView(
            tier=tier,
            name=words["tiers"][tier],
            shut=not gate(cause.check, tier, findings, share).open,
            steps=tuple(rung_step(controls[step.control]) for step in by_tier[tier]),
        )
        for tier in TIERS
        if tier in by_tier
    )


def rung_step(control: Control) -> RungStepView:
    """One control on the ladder, with the ticks that take it away."""
    closing = [tick for tick in TICKS if tick in control.closed_when]
    return RungStepView(
        name=control.name,
        address=control_address(control.id),
        in_short=control.in_short,
        closed=tuple(ClosedView(tick=t, say=control.closed_when[t].say) for t in closing),
        ticks=" ".join(f"x-{tick}" for tick in closing),
    )
