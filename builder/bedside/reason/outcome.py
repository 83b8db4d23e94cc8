"""What one set of findings comes to: the one place that decides what a result says.

Pages, replies, the command line and the report all say what an `Outcome` holds; none of
them ranks, names or chooses by itself. `reason.js` composes the same for findings that only
a browser knows.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np

from bedside.model.records import DisprovingCheck
from bedside.reason import scale
from bedside.reason.arrival import Arrived
from bedside.reason.evidence import ANYWHERE, Context, Evidence, Findings
from bedside.reason.findings import can_be_seen, open_signs
from bedside.reason.next_look import gains
from bedside.reason.ranking import (
    SAME,
    Headline,
    Ranking,
    headline,
    rank,
    ranked,
    start,
)
from bedside.reason.scale import sureness
from bedside.reason.steps import (
    Choice,
    check_state,
    choose_first_step,
    chosen_steps,
    closed_steps,
    named_place,
)


@dataclass(frozen=True, kw_only=True, slots=True)
class Then:
    """What one more answer would make of the matter."""

    answer: str
    chance: float
    head: Headline
    step: str


@dataclass(frozen=True, kw_only=True, slots=True)
class LookOffer:
    """One more thing to look at, because it can change what is named or what to do."""

    sign: str
    answers: tuple[Then, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class CheckOutcome:
    """The look that could prove the named cause wrong.

    Its answers by what would then be named: `fits` the same cause, `other` another one,
    `unsure` the same but less surely, or nothing. Empty once it was told. There is no check
    where no answer could change anything.
    """

    state: str  # passed, failed, open
    fits: tuple[Then, ...] = ()
    unsure: tuple[Then, ...] = ()
    other: tuple[Then, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Reason:
    """An answer that speaks for the first cause, or against it."""

    sign: str
    answer: str
    supports: bool


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Outcome:
    """Everything one result says, as ids and numbers."""

    findings: Findings
    ranking: Ranking
    head: Headline
    step: Choice
    look: LookOffer | None
    check: CheckOutcome | None  # only where one cause is named
    also: tuple[str, ...]  # causes that are not named and have a fair share
    reasons: tuple[Reason, ...]  # none while nothing is named


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class _Stand:
    """Where somebody stands: what was found, and how one more answer would be ranked."""

    evidence: Evidence
    findings: Findings
    ranking: Ranking
    after: Callable[[str, str], Ranking]
    may_repeat: bool = False  # a check may be asked of somebody who could not tell before

    def then(self, sign: str, answer: str) -> Then:
        """What would be named and done if this were answered, whatever was before."""
        given = {**self.findings, sign: answer}
        ranking = self.after(sign, answer)
        column = self.evidence.answers[answer][1]
        read = self.evidence.signs[sign].read[:, column]
        return Then(
            answer=answer,
            chance=float(self.ranking.vector @ read),
            head=headline(self.evidence, ranking),
            step=choose_first_step(self.evidence, ranking, given).step,
        )

    def each(self, sign: str) -> tuple[Then, ...]:
        """The same for every answer of a sign."""
        return tuple(self.then(sign, it) for it in self.evidence.signs[sign].answers)


def outcome(evidence: Evidence, findings: Findings, context: Context = ANYWHERE) -> Outcome:
    """Decide everything that a result says about some findings."""
    stand = _free_stand(evidence, findings, context)
    sign = _offered(stand, context)
    look = LookOffer(sign=sign, answers=stand.each(sign)) if sign else None
    return _outcome(stand, look)


def outcome_on_arrival(evidence: Evidence, come: Arrived) -> Outcome:
    """The same for all who come to a place of the tree by its links; no look is offered."""

    def after(sign: str, answer: str) -> Ranking:
        column = evidence.answers[answer][1]
        return ranked(evidence, come.ranking.vector * evidence.signs[sign].read[:, column])

    # What was asked is known to have been asked, whatever was answered.
    asked = {**dict.fromkeys(come.asked), **come.findings}
    stand = _Stand(evidence=evidence, findings=asked, ranking=come.ranking, after=after)
    return _outcome(stand, None)


def _outcome(stand: _Stand, look: LookOffer | None) -> Outcome:
    evidence, findings, ranking = stand.evidence, stand.findings, stand.ranking
    head = headline(evidence, ranking)
    step = choose_first_step(evidence, ranking, findings)
    named = head.kind != "open"
    return Outcome(
        findings=findings,
        ranking=ranking,
        head=head,
        step=step,
        look=look,
        check=_check(stand, head, step),
        also=also_possible(evidence, ranking, findings, head),
        reasons=reasons(evidence, ranking.top, findings) if named else (),
    )


def offered_sign(evidence: Evidence, findings: Findings) -> str:
    """The most telling look that can change the cause named first or the first step, as its
    sign; empty where none is offered."""
    return _offered(_free_stand(evidence, findings, ANYWHERE), ANYWHERE)


def _offered(stand: _Stand, context: Context) -> str:
    evidence, findings = stand.evidence, stand.findings
    enough = len(findings) >= scale.MOST_LOOKS + scale.MORE_LOOKS
    if enough or stand.ranking.top_share >= scale.SURE_ENOUGH:
        return ""
    head = headline(evidence, stand.ranking)
    step = choose_first_step(evidence, stand.ranking, findings).step
    barred = _barred(evidence, step)
    telling = (
        sign
        for sign in _worth_a_look(evidence, findings, context)
        if sign not in barred and _change(stand, sign, head, step) >= scale.LEAST_CHANGE
    )
    return next(telling, "")


def _free_stand(evidence: Evidence, findings: Findings, context: Context) -> _Stand:
    def after(sign: str, answer: str) -> Ranking:
        return rank(evidence, {**findings, sign: answer}, context)

    return _Stand(
        evidence=evidence,
        findings=findings,
        ranking=rank(evidence, findings, context),
        after=after,
        may_repeat=True,
    )


def _worth_a_look(
    evidence: Evidence, findings: Findings, context: Context
) -> tuple[str, ...]:
    # In the order of `looks`, without ranking what each answer would leave.
    bits = gains(evidence, findings, context)
    worth = {
        sign: bits[sign] * (1 - evidence.signs[sign].cant_tell)
        for sign in open_signs(evidence, findings)
    }
    telling = (sign for sign in worth if worth[sign] >= scale.LEAST_WORTH)
    return tuple(sorted(telling, key=lambda sign: -round(worth[sign], SAME)))


def also_possible(
    evidence: Evidence, ranking: Ranking, findings: Findings, head: Headline
) -> tuple[str, ...]:
    """Causes with a fair share beside what is named, best first."""
    named = {"cause": (head.id,), "family": head.within, "open": ()}[head.kind]
    fair = (
        cause
        for cause in ranking.causes
        if cause not in named
        and ranking.share(cause) >= least_share(evidence, findings, cause)
    )
    found = tuple(fair)[: scale.MOST_ALSO]
    # Answers that deny everything still deserve to be told what comes nearest.
    return found or (ranking.first(2) if head.kind == "open" else ())


def least_share(evidence: Evidence, findings: Findings, cause: str) -> float:
    """The share from which a cause is listed: more if an answer denies it outright."""
    denied = denies(evidence, findings, cause)
    return scale.DENIED_SHOWN_FROM if denied else scale.SHOWN_FROM


def denies(evidence: Evidence, findings: Findings, cause: str) -> bool:
    """Whether some answer is hardly ever seen with a cause that speaks of its sign."""
    row = evidence.causes.index(cause)
    return any(
        said is not None
        and bool(evidence.signs[sign].speaks[row])
        and evidence.signs[sign].share[row, evidence.answers[said][1]] < scale.DENIED_BELOW
        for sign, said in findings.items()
    )


def reasons(evidence: Evidence, lead: str, findings: Findings) -> tuple[Reason, ...]:
    """The answers that are clearly more, or less, likely with a cause than otherwise."""
    row = evidence.causes.index(lead)
    found = []
    for sign, said in findings.items():
        if said is not None and evidence.signs[sign].speaks[row]:
            times = _times_as_likely(evidence, row, said)
            if times >= scale.SPEAKS_FROM or times <= 1 / scale.SPEAKS_FROM:
                found.append(Reason(sign=sign, answer=said, supports=times > 1))
    return tuple(found)


def _times_as_likely(evidence: Evidence, row: int, answer: str) -> float:
    sign, column = evidence.answers[answer]
    seen = evidence.signs[sign].read[:, column]
    rest = start(evidence).copy()
    rest[row] = 0.0
    return float(seen[row] * rest.sum() / (seen @ rest))


def _check(stand: _Stand, head: Headline, step: Choice) -> CheckOutcome | None:
    evidence, findings = stand.evidence, stand.findings
    check = evidence.checks.get(head.id) if head.kind == "cause" else None
    if check is None:
        return None
    state = check_state(check, findings)
    if state != "open":
        return CheckOutcome(state=state)
    unasked = dict(findings)
    if stand.may_repeat:
        unasked.pop(check.sign, None)
    may_look = check.sign not in _barred(evidence, step.step)
    if not (may_look and can_be_seen(evidence, unasked, check.sign)):
        return None
    return _sorted_answers(check, head, stand.each(check.sign))


def _sorted_answers(
    check: DisprovingCheck, head: Headline, then: tuple[Then, ...]
) -> CheckOutcome | None:
    stays = [it for it in then if it.head.kind == "cause" and it.head.id == head.id]
    leaves = [it for it in then if _names_another(it.head, head.id)]
    fits = [it for it in stays if it.answer in check.passes]
    now = sureness(head.share).tenths
    # What leaves the same cause as sure as it is tells nothing, so it is not listed.
    unsure = [
        it
        for it in then
        if it not in fits
        and it not in leaves
        and (it not in stays or sureness(it.head.share).tenths < now)
    ]
    if not (fits or leaves or unsure):
        return None
    return CheckOutcome(
        state="open", fits=tuple(fits), unsure=tuple(unsure), other=tuple(leaves)
    )


def _names_another(head: Headline, cause: str) -> bool:
    if head.kind == "family":
        return cause not in head.within
    return head.kind == "cause" and head.id != cause


def _change(stand: _Stand, sign: str, head: Headline, step: str) -> float:
    # The chance that a look changes what is named or done. Many looks may be tried before
    # one is offered, so the steps of all answers are chosen in one go.
    evidence, table = stand.evidence, stand.evidence.signs[sign]
    rankings = [stand.after(sign, answer) for answer in table.answers]
    heads = [headline(evidence, ranking) for ranking in rankings]
    given = [{**stand.findings, sign: answer} for answer in table.answers]
    named = [named_place(evidence, it) for it in heads]
    closed = map(partial(closed_steps, evidence), given, named)
    steps = chosen_steps(
        evidence,
        np.stack([ranking.vector for ranking in rankings]),
        np.array(named),
        np.array(list(closed)),
    )
    other = [
        evidence.steps[place].id != step or (it.kind, it.id) != (head.kind, head.id)
        for place, it in zip(steps, heads, strict=True)
    ]
    return float((stand.ranking.vector @ table.read)[other].sum())


def _barred(evidence: Evidence, step: str) -> frozenset[str]:
    return next(it.rules_out for it in evidence.steps if it.id == step)
