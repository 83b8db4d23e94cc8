"""The looks a result still offers: the one that can change it, and the one that could
disprove it, in words."""

from dataclasses import replace

from bedside.model.records import Sign
from bedside.pages.frame.addresses import cause_address, plant_address
from bedside.pages.frame.desk import PlantDesk
from bedside.pages.frame.views import CheckView, LookAnswerView, LookView
from bedside.pages.walk.result_head import Words, name_of, sure_words
from bedside.reason.evidence import Findings
from bedside.reason.findings import format_fragment
from bedside.reason.outcome import Outcome, Then
from bedside.reason.ranking import Headline
from bedside.reason.scale import sureness


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
