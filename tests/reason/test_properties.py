"""Laws of the arithmetic, tried on made-up plants and made-up findings."""

import random
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from typing import TypeVar

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bedside.measure.gardeners import careful, hasty
from bedside.measure.scores import by_links
from bedside.measure.wrong_answers import one_cant_tell, one_wrong_answer
from bedside.model.records import FREQUENCIES, Plant
from bedside.reason import scale
from bedside.reason.evidence import Context, Evidence, weigh
from bedside.reason.findings import findings_of, format_fragment, makes_sense, open_signs
from bedside.reason.next_look import next_look, usual_walk
from bedside.reason.ranking import headline, rank
from bedside.reason.steps import check_state, choose_first_step, gate
from tests.fragments import parse_fragment
from tests.made_up_plants import SEASONS, ZONES, made_up_plant, sensitive_plant
from tests.reason.looks import looks

T = TypeVar("T")
PLANTS = [make(seed) for make in (made_up_plant, sensitive_plant) for seed in range(3)]
WEIGHED = [weigh(plant) for plant in PLANTS]
MOST_ASKED = scale.MOST_LOOKS + 1

# What is drawn never hangs on what was drawn before: only numbers are drawn, and each test
# reads them as signs and answers of the plant at hand. So every case can be drawn again.
places = st.integers(0, len(PLANTS) - 1)
numbers = st.integers(0, 9_999)
pairs = st.lists(st.tuples(numbers, numbers), max_size=12)
seeds = st.integers(0, 2**31)
contexts = st.builds(
    Context,
    zone=st.sampled_from(("", *ZONES)),
    season=st.sampled_from(("", *SEASONS)),
    equal=st.booleans(),
)


Situation = tuple[Plant, Evidence, dict[str, str | None]]
Drawn = Sequence[tuple[int, int]]


def picked(options: Sequence[T], number: int) -> T:
    """One of the options, by any number."""
    return options[number % len(options)]


def said_of(evidence: Evidence, drawn: Drawn) -> dict[str, str | None]:
    """Answers (or "I can't tell") to any signs, each pair of numbers being one."""
    signs = sorted(evidence.signs)
    asked = {picked(signs, sign): answer for sign, answer in drawn}
    return {
        sign: picked((None, *evidence.signs[sign].answers), answer)
        for sign, answer in asked.items()
    }


def situation_of(place: int, drawn: Drawn) -> Situation:
    """A plant, its tables, and what was told of it."""
    return PLANTS[place], WEIGHED[place], said_of(WEIGHED[place], drawn)


situations = st.builds(situation_of, places, pairs)


@given(situations, contexts)
def test_shares_are_above_zero_and_sum_to_one(
    situation: Situation, context: Context
) -> None:
    """No finding rules a cause out (R32)."""
    _, evidence, findings = situation
    shares = rank(evidence, findings, context).shares
    assert min(shares) > 0
    assert abs(sum(shares) - 1) < 1e-9
    assert list(shares) == sorted(shares, reverse=True) or _even(shares)


def _even(shares: Sequence[float]) -> bool:
    # Shares equal to twelve places may come in the order of their ids.
    return all(a > b - 1e-11 for a, b in pairwise(shares))


@given(situations, seeds)
def test_the_order_of_findings_does_not_matter(situation: Situation, seed: int) -> None:
    """The same findings, shuffled, give the same bits."""
    _, evidence, findings = situation
    shuffled = list(findings.items())
    random.Random(seed).shuffle(shuffled)
    assert rank(evidence, dict(shuffled)).shares == rank(evidence, findings).shares


@given(situations, st.lists(numbers, max_size=8))
def test_not_telling_changes_nothing(situation: Situation, drawn: list[int]) -> None:
    """ "I can't tell" leaves every share as it was."""
    _, evidence, findings = situation
    untold = [sign for sign in evidence.signs if sign not in findings]
    asked = [picked(untold, number) for number in drawn] if untold else []
    told = rank(evidence, findings)
    assert rank(evidence, findings | dict.fromkeys(asked)).shares == told.shares


@given(situations, numbers, numbers)
def test_no_answer_lowers_the_rank_of_a_cause_it_supports_most(
    situation: Situation, which: int, how: int
) -> None:
    """A cause that shows an answer most often never falls behind by that answer.

    So for signs without a group; a further sign of a group answered before changes the mean
    of the group and may weaken what its first sign said.
    """
    _, evidence, findings = situation
    free = [s for s in evidence.signs.values() if s.id not in findings and not s.group]
    if not free:
        return
    sign = picked(free, which)
    column = how % len(sign.answers)
    supported = evidence.causes[int(sign.read[:, column].argmax())]
    before = rank(evidence, findings)
    after = rank(evidence, {**findings, sign.id: sign.answers[column]})
    assert after.share(supported) >= before.share(supported) - 1e-12
    ahead = {c for c in after.causes if after.share(c) > after.share(supported) + 1e-11}
    assert all(before.share(c) > before.share(supported) - 1e-11 for c in ahead)


@given(situations, contexts)
@settings(max_examples=60)
def test_looks_are_those_that_can_be_had_and_their_worth_is_never_negative(
    situation: Situation, context: Context
) -> None:
    """Each open sign once, best first, with chances that sum to 1."""
    _, evidence, findings = situation
    found = looks(evidence, findings, context)
    assert sorted(look.sign for look in found) == sorted(open_signs(evidence, findings))
    worths = [look.worth for look in found]
    assert all(a >= b - 1e-11 for a, b in pairwise(worths))
    for look in found:
        assert 0 <= look.worth <= look.gain <= np.log2(len(evidence.causes))
        assert abs(sum(answer.chance for answer in look.answers) - 1) < 1e-9


@given(situations)
def test_a_first_step_is_the_named_causes_own_or_the_one_of_most_value(
    situation: Situation,
) -> None:
    """Its three chances sum to 1. It may not ask again, harm, or do nothing for no reason,
    and beside a cause that is named stands no step that is wrong for it.

    Where all steps are barred, the first stands: a plant is to have one that asks nothing.
    """
    _, evidence, findings = situation
    ranking = rank(evidence, findings)
    choice = choose_first_step(evidence, ranking, findings)
    assert abs(choice.right + choice.wasted + choice.harmful - 1) < 1e-9
    steps = {step.id: step for step in evidence.steps}
    harm = {id_: float(ranking.vector[step.harms].sum()) for id_, step in steps.items()}
    head = headline(evidence, ranking)
    own = evidence.own[evidence.causes.index(head.id)] if head.kind == "cause" else ()
    good = {
        id_: float(ranking.vector[step.right & ~step.harms].sum())
        for id_, step in steps.items()
    }
    said = {answer for answer in findings.values() if answer is not None}
    asks = {
        id_
        for id_, step in steps.items()
        if {it for it in said if evidence.answers[it][0] in step.asks} - step.told
    }
    check = evidence.checks.get(head.id)
    failed = check_state(check, findings) == "failed"
    idle = {
        id_
        for id_, step in steps.items()
        if step.idle and (failed or good[id_] < scale.IDLE_FROM)
    }
    may = [
        id_
        for id_ in (evidence.steps[at].id for at in own)
        if id_ not in asks | idle and harm[id_] <= scale.HARM_BORNE
    ]
    if head.kind == "open":
        idle = {id_ for id_, step in steps.items() if step.idle}
    value = {id_: good[id_] - 5 * harm[id_] for id_ in steps if id_ not in asks | idle}
    if may:
        assert choice.step == may[0]
    elif value:
        most = {id_ for id_, it in value.items() if it >= max(value.values()) - 1e-11}
        its = {evidence.steps[at].id for at in own}
        ask = most if evidence.ask is None else {evidence.steps[evidence.ask].id}
        assert choice.step in (ask if own and not most & its else most)
    else:
        assert choice.step == evidence.steps[0].id


@given(situations, st.lists(st.tuples(numbers, numbers), max_size=3))
def test_no_wrong_answer_opens_a_spray_whose_check_has_not_passed(
    situation: Situation, drawn: Drawn
) -> None:
    """Whatever is answered, an open spray has a passed check behind it (R31, R36)."""
    _, evidence, findings = situation
    signs = sorted(evidence.signs)
    changed = dict(findings)
    for which, how in drawn:
        sign = picked(signs, which)
        changed[sign] = picked(evidence.signs[sign].answers, how)
    ranking = rank(evidence, changed)
    for cause, check in evidence.checks.items():
        for tier in ("narrow-spray", "last-resort"):
            if gate(check, tier, changed, ranking.share(cause)).open:
                assert check_state(check, changed) == "passed"
                assert ranking.share(cause) >= 0.5


@given(situations)
def test_findings_come_back_from_their_address(situation: Situation) -> None:
    """What was written to a link is read from it, but for what denies a need."""
    _, evidence, findings = situation
    parsed = parse_fragment(evidence, "#" + format_fragment(findings))
    dropped = {sign for sign in findings if sign not in parsed.findings}
    assert {note.kind for note in parsed.notes} <= {"unfit"}
    assert len(parsed.notes) == len(dropped)
    assert parsed.findings == {s: a for s, a in findings.items() if s not in dropped}


@given(places, st.text(max_size=300))
def test_any_text_can_be_read_as_an_address(place: int, text: str) -> None:
    """Junk never raises and never becomes a finding that the plant does not have."""
    evidence = WEIGHED[place]
    parsed = parse_fragment(evidence, text)
    for sign, answer in parsed.findings.items():
        assert answer is None or answer in evidence.signs[sign].answers
    assert all(len(note.token) <= 40 for note in parsed.notes)


@given(situations)
def test_reading_findings_twice_changes_nothing(situation: Situation) -> None:
    """Findings that were read once are read the same again."""
    _, evidence, findings = situation
    once = findings_of(evidence, [answer or sign for sign, answer in findings.items()])
    again = findings_of(evidence, [a or s for s, a in once.findings.items()])
    assert again.findings == once.findings
    assert not again.notes


@given(places, seeds, st.sampled_from(FREQUENCIES))
@settings(max_examples=30)
def test_rows_sum_to_one_whatever_the_words(place: int, seed: int, word: str) -> None:
    """Any word on any answer still gives rows above zero that sum to 1 exactly."""
    plant = PLANTS[place]
    rng = np.random.default_rng(seed)
    cause = plant.causes[sorted(plant.causes)[int(rng.integers(len(plant.causes)))]]
    sign = plant.signs[sorted(plant.signs)[int(rng.integers(len(plant.signs)))]]
    words = {sign.id: {sign.answers[0].id: word}}
    changed = replace(cause, evidence={**cause.evidence, **words})
    evidence = weigh(replace(plant, causes={**plant.causes, cause.id: changed}))
    for table in evidence.signs.values():
        parts = np.rint(table.read * 1e9)
        assert (parts.sum(axis=1) == 1e9).all()
        assert (parts > 0).all()


@pytest.mark.parametrize("place", range(len(PLANTS)))
def test_everybody_arrives_by_the_links(place: int) -> None:
    """The chances to reach the ends of a tree sum to 1 for every cause and crowd."""
    evidence, tree = WEIGHED[place], PLANTS[place].tree
    for crowd in (careful(evidence), hasty(evidence)):
        ends = by_links(evidence, tree, crowd)
        assert sum(end.reach for end in ends) == pytest.approx(
            np.ones(len(evidence.causes))
        )
        assert len(ends) == len(tree.ends)


@given(places, st.lists(numbers, min_size=MOST_ASKED, max_size=MOST_ASKED))
@settings(max_examples=60)
def test_every_walk_ends_and_makes_sense(place: int, drawn: list[int]) -> None:
    """Whatever is answered, nothing senseless is asked and seven looks are the most."""
    plant, evidence = PLANTS[place], WEIGHED[place]
    findings: dict[str, str | None] = {}
    for number in drawn:
        look = next_look(evidence, plant.tree, findings)
        if look is None:
            break
        assert makes_sense(evidence, findings, look.sign)
        findings[look.sign] = picked((None, *evidence.signs[look.sign].answers), number)
    assert len(findings) <= scale.MOST_LOOKS
    assert next_look(evidence, plant.tree, findings) is None


@pytest.mark.parametrize("place", range(len(PLANTS)))
def test_one_slip_never_makes_the_truth_impossible(place: int) -> None:
    """One wrong answer, or one less, leaves the true cause a chance above zero (R36)."""
    plant, evidence = PLANTS[place], WEIGHED[place]
    for slips in (
        one_wrong_answer(plant, evidence, {}),
        one_cant_tell(plant, evidence, {}),
    ):
        assert slips.count > 0
        assert slips.possible == 1
    for cause in evidence.causes:
        assert usual_walk(evidence, plant.tree, cause)
