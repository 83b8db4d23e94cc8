"""The looks a result still offers: the most telling one, and the one that could disprove.

`result.js` makes the same choices for findings that no built page has; keep the two alike.
"""

from builder.compile.addresses import cause_address, plant_address
from builder.compile.result_head import Words, name_of, sure_words
from builder.compile.site import PlantDesk
from builder.compile.views import CheckView, LookAnswerView, LookView
from builder.model import Sign
from builder.reason.arrival import Arrived
from builder.reason.findings import Findings, format_fragment
from builder.reason.gates import check_state
from builder.reason.looks import Look, looks, looks_after
from builder.reason.ranking import Ranking, headline, rank

# A look is offered if it is worth this many bits: less would hardly change the page.
LOOK_FROM_BITS = 0.12
SETTLED = 0.95


def look_view(
    desk: PlantDesk, findings: Findings, ranking: Ranking, words: Words
) -> LookView | None:
    """The most telling look, unless all is settled or the check below asks the same.

    Nor is a look offered after which the page would name the same whatever was seen.
    """
    found = looks(desk.evidence, findings)
    check = desk.plant.causes[ranking.top].check
    head = headline(desk.evidence, ranking)
    named = head.kind == "cause"
    if not found or found[0].worth < LOOK_FROM_BITS or ranking.top_share >= SETTLED:
        return None
    if named and check is not None and check.sign == found[0].sign:
        return None
    look = _look(desk, found[0], findings, words)
    now = name_of(desk.plant, head)
    return look if any(answer.then != now for answer in look.answers) else None


def check_view(
    desk: PlantDesk,
    findings: Findings,
    ranking: Ranking,
    words: Words,
    came: Arrived | None = None,
) -> CheckView | None:
    """The look that could prove the leading cause wrong; only where one cause is named."""
    check = desk.plant.causes[ranking.top].check
    if check is None or headline(desk.evidence, ranking).kind != "cause":
        return None
    state = check_state(check, findings)
    rest = {sign: said for sign, said in findings.items() if sign != check.sign}
    sign = desk.plant.signs[check.sign]
    rows = {
        answer: _answer(desk, sign, answer, rest, words, came)
        for answer in (*check.passes, *check.fails)
    }
    return CheckView(
        do=check.do,
        passes=tuple(rows[answer] for answer in check.passes),
        fails=tuple(rows[answer] for answer in check.fails),
        if_fails=check.if_fails,
        open=state == "open",
        passed=state == "passed",
        failed=state == "failed",
    )


def _look(desk: PlantDesk, look: Look, findings: Findings, words: Words) -> LookView:
    sign = desk.plant.signs[look.sign]
    return LookView(
        question=sign.question,
        where=sign.where,
        answers=tuple(
            _answer(desk, sign, answer.id, findings, words, None)
            for answer in sign.all_answers
        ),
        how_to_check=sign.how_to_check,
    )


def _answer(  # noqa: PLR0913 - one answer, what was known before it, and the words
    desk: PlantDesk,
    sign: Sign,
    answer: str,
    findings: Findings,
    words: Words,
    came: Arrived | None,
) -> LookAnswerView:
    shown = next(each for each in sign.all_answers if each.id == answer)
    given = {**findings, sign.id: answer}
    ranking = _after(desk, came, sign.id, answer) if came else rank(desk.evidence, given)
    head = headline(desk.evidence, ranking)
    named = head.kind != "open"
    return LookAnswerView(
        says=shown.says,
        drawing=shown.drawing,
        shows=shown.shows,
        fragment=format_fragment(given),
        address=_onward(desk, ranking, named) if came else "",
        then=name_of(desk.plant, head) if named else words["still_open"],
        sure=sure_words(words, head.share) if named else "",
    )


def _onward(desk: PlantDesk, ranking: Ranking, named: bool) -> str:
    return cause_address(ranking.top) if named else plant_address(desk.plant)


def _after(desk: PlantDesk, came: Arrived, sign: str, answer: str) -> Ranking:
    (look,) = looks_after(desk.evidence, came.ranking, (sign,))
    return next(each.ranking for each in look.answers if each.answer == answer)
