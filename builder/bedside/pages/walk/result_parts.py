"""The parts of a result, from its head down.

What is known and how sure; the looks that could change it; the first step, reasons, the
plan; what was told. All comes from an `Outcome`; here it is put into the words of
words.json. `result_view.js` puts the browser's outcome into the same words.
"""

from collections.abc import Mapping
from dataclasses import replace

from bedside.model.records import TICKS, TIERS, Cause, Control, PlanStep, Plant, Sign
from bedside.pages.frame.addresses import (
    cause_address,
    control_address,
    plant_address,
    question_address,
)
from bedside.pages.frame.desk import PlantDesk, Words
from bedside.pages.frame.views import (
    AlsoView,
    CheckView,
    ClosedView,
    HeadView,
    LookAnswerView,
    LookView,
    ReasonView,
    RungStepView,
    RungView,
    StepView,
    Told,
)
from bedside.reason import scale
from bedside.reason.evidence import Findings, shares_of_words
from bedside.reason.findings import format_fragment
from bedside.reason.outcome import Outcome, Then, denies, least_share
from bedside.reason.ranking import Headline
from bedside.reason.scale import sureness
from bedside.reason.steps import gate


def sure_words(words: Words, share: float) -> str:
    """A share as one scale's word with its number beside it: "Likely (7 in 10)"."""
    sure = sureness(share)
    form = words["in_ten"] if sure.tenths else words["under_one"]
    return str(form).format(word=words["sureness"][sure.word], tenths=sure.tenths)


def name_of(plant: Plant, head: Headline) -> str:
    """What a headline names, as it stands inside a sentence; empty while open."""
    if head.kind == "cause":
        return plant.causes[head.id].called
    return plant.families[head.id].called if head.kind == "family" else ""


def head_view(desk: PlantDesk, found: Outcome, words: Words) -> HeadView:
    """What the first screen says."""
    plant, head = desk.plant, found.head
    cause = plant.causes[head.id] if head.kind == "cause" else None
    lead = plant.causes[found.ranking.top]
    return HeadView(
        cause=cause is not None,
        family=head.kind == "family",
        open=head.kind == "open",
        named=head.kind != "open",
        name=name_of(plant, head),
        in_short=cause.in_short if cause else "",
        sure="" if head.kind == "open" else sure_words(words, head.share),
        tenths=sureness(head.share).tenths,
        unclear=plant.families[head.id].unclear if head.kind == "family" else "",
        drawing="" if head.kind == "open" else lead.drawing,
    )


def within_views(desk: PlantDesk, found: Outcome, words: Words) -> tuple[AlsoView, ...]:
    """The members of the named family, best first; nothing unless a family is named."""
    # "Which one" needs two to choose from, however small the second.
    shown = [
        cause
        for place, cause in enumerate(found.head.within)
        if place < scale.TO_COMPARE
        or found.ranking.share(cause) >= least_share(desk.evidence, found.findings, cause)
    ]
    first = shown[0] if shown else ""
    return tuple(
        also_view(desk, found, cause, first if cause != first else "", words)
        for cause in shown
    )


def also_views(desk: PlantDesk, found: Outcome, words: Words) -> tuple[AlsoView, ...]:
    """What else it could be: what has a fair share, and always two to compare."""
    shown = (*found.also, *_to_compare(desk, found))
    likeliest = found.ranking.first(2)  # one alone, where a plant has one cause
    top, second = likeliest[0], likeliest[-1]
    return tuple(
        also_view(desk, found, cause, second if cause == top else top, words)
        for cause in shown
    )


def also_view(
    desk: PlantDesk, found: Outcome, id_: str, other: str, words: Words
) -> AlsoView:
    """One cause with its share and the feature that splits it from another."""
    cause = desk.plant.causes[id_]
    share = found.ranking.share(id_)
    return AlsoView(
        name=cause.name,
        address=cause_address(id_),
        sure=sure_words(words, share),
        tenths=sureness(share).tenths,
        split=split_between(desk.plant, other, id_) or cause.in_short,
    )


def split_between(plant: Plant, lead: str, other: str) -> str:
    """The feature that splits two causes, from whichever record says it."""
    for one, two in ((lead, other), (other, lead)):
        for look in plant.causes[one].look_alikes if one else ():
            if look.cause == two:
                return look.split
    return ""


def _to_compare(desk: PlantDesk, found: Outcome) -> tuple[str, ...]:
    # Look-alikes that no answer denies, where too few causes have a fair share.
    named = (found.head.id, *found.head.within, *found.also)
    alike = {look.cause for look in desk.plant.causes[found.ranking.top].look_alikes}
    fill = [
        cause
        for cause in found.ranking.causes
        if cause in alike
        and cause not in named
        and not denies(desk.evidence, found.findings, cause)
    ]
    return tuple(fill[: max(0, scale.TO_COMPARE - len(found.also))])


def look_view(desk: PlantDesk, found: Outcome, words: Words) -> LookView | None:
    """The look that is offered, if one is. Its answers say what they would change."""
    if found.look is None:
        return None
    sign = desk.plant.signs[found.look.sign]
    return LookView(
        question=sign.question,
        where=sign.where,
        answers=tuple(
            _unless_same(answer_view(desk, sign, then, found.findings, words), then, found)
            for then in found.look.answers
        ),
        how_to_check=sign.how_to_check,
    )


def _unless_same(view: LookAnswerView, then: Then, found: Outcome) -> LookAnswerView:
    said = (then.head.kind, then.head.id, sureness(then.head.share).tenths)
    now = (found.head.kind, found.head.id, sureness(found.head.share).tenths)
    return replace(view, then="", sure="") if said == now else view


def check_view(
    desk: PlantDesk, found: Outcome, words: Words, *, on_end: bool
) -> CheckView | None:
    """The look that could prove the named cause wrong, if there is one to take."""
    if found.check is None:
        return None
    check = desk.evidence.checks[found.head.id]
    sign = desk.plant.signs[check.sign]
    rest = {name: said for name, said in found.findings.items() if name != sign.id}

    def views(answers: tuple[Then, ...]) -> tuple[LookAnswerView, ...]:
        return tuple(
            answer_view(desk, sign, then, rest, words, on_end=on_end) for then in answers
        )

    return CheckView(
        do=check.do,
        fits=views(found.check.fits),
        # A name beside these would seem to be what such an answer speaks for.
        unsure=tuple(replace(it, then="", sure="") for it in views(found.check.unsure)),
        other=views(found.check.other),
        if_fails=check.if_fails,
        open=found.check.state == "open",
        passed=found.check.state == "passed",
        failed=found.check.state == "failed",
    )


def answer_view(  # noqa: PLR0913 - one answer, what was known before it, and the words
    desk: PlantDesk,
    sign: Sign,
    then: Then,
    findings: Findings,
    words: Words,
    *,
    on_end: bool = False,
) -> LookAnswerView:
    """One answer of a look, and what it would make of the matter."""
    shown = next(each for each in sign.all_answers if each.id == then.answer)
    named = then.head.kind != "open"
    return LookAnswerView(
        says=shown.says,
        drawing=shown.drawing,
        shows=shown.shows,
        fragment=format_fragment({**findings, sign.id: then.answer}),
        address=_onward(desk, then.head) if on_end else "",
        then=name_of(desk.plant, then.head) if named else words["still_open"],
        sure=sure_words(words, then.head.share) if named else "",
    )


def _onward(desk: PlantDesk, head: Headline) -> str:
    # Without scripts an answer leads to the page of what it points to.
    cause = head.id if head.kind == "cause" else next(iter(head.within), "")
    return cause_address(cause) if cause else plant_address(desk.plant)


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
