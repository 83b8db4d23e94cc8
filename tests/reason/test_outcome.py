"""What a result says: the step, the look, the check, what else, and why."""

import random
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

import pytest

from bedside.model.records import Plant
from bedside.reason import scale
from bedside.reason.arrival import arrived
from bedside.reason.evidence import Context, Evidence, Findings, weigh
from bedside.reason.findings import can_be_seen
from bedside.reason.next_look import most_telling
from bedside.reason.outcome import (
    Outcome,
    Reason,
    Then,
    denies,
    offered_sign,
    outcome,
    outcome_on_arrival,
)
from bedside.reason.ranking import headline, rank
from bedside.reason.scale import sureness
from bedside.reason.steps import choose_first_step
from tests.factories import (
    make_cause,
    make_check,
    make_family,
    make_first_step,
    make_sign,
    make_tree,
)
from tests.made_up_plants import plant_of, sensitive_plant
from tests.reason.looks import looks

SENSITIVE = [sensitive_plant(seed, causes=10, signs=12) for seed in range(4)]
SIGNS = (
    make_sign("leaf", ("holes", "spots"), none="leaf-fine"),
    make_sign("head", ("black", "brown"), needs={"leaf": ("holes",)}),
    make_sign("soil", ("wet", "dry")),
)
MOTH = make_cause(
    "moth", family="biters", first_step="pick",
    evidence={"leaf": {"holes": "always"}, "head": {"black": "always"}},
    check=make_check("head", passes=("black",), fails=("brown",)),
)  # fmt: skip
BEETLE = make_cause(
    "beetle", family="biters", first_step="shake",
    evidence={"leaf": {"holes": "always"}, "head": {"brown": "always"}},
)  # fmt: skip
ROT = make_cause(
    "rot", first_step="dry", harmed_by=("water",),
    evidence={"leaf": {"spots": "usually"}, "soil": {"wet": "always"}},
)  # fmt: skip
THIRST = make_cause(
    "thirst", first_step="water",
    evidence={"leaf": {"spots": "usually"}, "soil": {"dry": "always"}},
)  # fmt: skip
CAUSES = (MOTH, BEETLE, ROT, THIRST)


def bed(*causes: Any, steps: Mapping[str, Mapping[str, Any]] | None = None) -> Plant:
    """Four causes, or others; `steps` changes first steps."""
    plant = plant_of(SIGNS, causes or CAUSES, families={"biters": make_family()})
    changed = {
        name: make_first_step(name, **(steps or {}).get(name, {}))
        for name in plant.first_steps
    }
    return replace(plant, first_steps=changed)


def said(plant: Plant, **findings: str | None) -> Outcome:
    return outcome(weigh(plant), findings)


def situations() -> Iterator[tuple[Evidence, Findings]]:
    """Made-up plants, each with many sets of findings."""
    draw = random.Random(6)
    for plant in SENSITIVE:
        evidence = weigh(plant)
        for _ in range(60):
            signs = draw.sample(sorted(evidence.signs), k=draw.randint(0, 9))
            yield (
                evidence,
                {it: draw.choice((None, *evidence.signs[it].answers)) for it in signs},
            )


def shown(evidence: Evidence, findings: Findings) -> tuple[str, str, str]:
    """What is named and what is to be done."""
    ranking = rank(evidence, findings)
    head = headline(evidence, ranking)
    return head.kind, head.id, choose_first_step(evidence, ranking, findings).step


def changes(evidence: Evidence, findings: Findings, sign: str) -> float:
    """How likely an answer to a sign would change what is shown, by the book."""
    before = shown(evidence, findings)
    chance = rank(evidence, findings).vector @ evidence.signs[sign].read
    return sum(
        float(chance[column])
        for column, answer in enumerate(evidence.signs[sign].answers)
        if shown(evidence, {**findings, sign: answer}) != before
    )


# The look that is offered.


def test_the_look_offered_is_the_most_telling_one_that_can_change_something() -> None:
    """Not worth a look, barred by the step, or of no consequence: the next one is tried."""
    offered = refused = 0
    for evidence, findings in situations():
        *_, step = shown(evidence, findings)
        barred = next(it.rules_out for it in evidence.steps if it.id == step)
        wanted = [
            look.sign
            for look in looks(evidence, findings)
            if look.worth >= scale.LEAST_WORTH
            and look.sign not in barred
            and changes(evidence, findings, look.sign) >= scale.LEAST_CHANGE
        ]
        if rank(evidence, findings).top_share >= scale.SURE_ENOUGH or len(findings) >= 9:
            wanted = []
        offer = outcome(evidence, findings).look
        assert ([offer.sign] if offer else []) == wanted[:1]
        assert offered_sign(evidence, findings) == (offer.sign if offer else "")
        offered += offer is not None
        refused += offer is None
    assert offered > 30
    assert refused > 30


def test_each_answer_of_a_look_says_what_would_be_named_and_done() -> None:
    """The chances sum to 1, and each answer tells what a result would then say."""
    for evidence, findings in situations():
        offer = outcome(evidence, findings).look
        if offer is None:
            continue
        answers = tuple(it.answer for it in offer.answers)
        assert answers == evidence.signs[offer.sign].answers
        assert sum(it.chance for it in offer.answers) == pytest.approx(1)
        for then in offer.answers:
            after = shown(evidence, {**findings, offer.sign: then.answer})
            assert (then.head.kind, then.head.id, then.step) == after


def test_a_look_that_changes_nothing_is_not_offered() -> None:
    """Worth a question, yet whatever is said the same cause is named and the same done."""
    signs = (make_sign("leaf", ("holes", "spots")), make_sign("stem", ("soft", "firm")))
    causes = (
        make_cause("moth", first_step="pick", common="common",
                   evidence={"leaf": {"holes": "always"},
                             "stem": {"soft": "usually", "firm": "sometimes"}}),
        make_cause("rot", first_step="dry", common="common",
                   evidence={"leaf": {"spots": "always"},
                             "stem": {"firm": "usually", "soft": "sometimes"}}),
    )  # fmt: skip
    evidence = weigh(plant_of(signs, causes))
    found = {"leaf": "holes"}
    assert rank(evidence, found).top_share < scale.SURE_ENOUGH
    assert most_telling(evidence, found) == "stem"
    assert outcome(evidence, found).look is None
    assert outcome(evidence, {"leaf": None}).look is not None


def test_a_look_that_the_step_rules_out_is_not_offered() -> None:
    """Who is to leave the leaf alone is not sent to look at its head."""
    assert offered_sign(weigh(bed()), {"leaf": "holes"}) == "head"
    steps = {name: {"rules_out": ("head",)} for name in ("pick", "shake")}
    assert offered_sign(weigh(bed(steps=steps)), {"leaf": "holes"}) != "head"


def test_nothing_is_offered_to_who_is_sure_or_was_asked_nine_times() -> None:
    """Nine in ten is enough, and so are nine looks."""
    signs = [make_sign(f"s{n}", (f"s{n}-a", f"s{n}-b")) for n in range(12)]
    causes = [
        make_cause(name, first_step=name,
                   evidence={sign.id: {f"{sign.id}-{x}": "usually"} for sign in signs})
        for name, x in (("left", "a"), ("right", "b"))
    ]  # fmt: skip
    evidence = weigh(plant_of(signs, causes))
    untold: Findings = {f"s{n}": None for n in range(8)}
    assert outcome(evidence, untold).look is not None
    assert outcome(evidence, {**untold, "s8": None}).look is None
    sure = {f"s{n}": f"s{n}-a" for n in range(3)}
    assert rank(evidence, sure).top_share >= scale.SURE_ENOUGH
    assert outcome(evidence, sure).look is None


# The check of the cause that is named.


def test_answers_of_a_check_are_sorted_by_what_would_be_named() -> None:
    """`fits`: passes and the same cause; `other`: another one; `unsure`: the rest."""
    seen = set[str]()
    for evidence, findings in situations():
        it = outcome(evidence, findings)
        if it.check is None or it.check.state != "open":
            continue
        check = evidence.checks[it.head.id]
        for then in it.check.fits:
            assert then.answer in check.passes
            assert then.head.id == it.head.id
        for then in it.check.other:
            assert then.head.kind != "open"
            assert then.head.id != it.head.id
            assert it.head.id not in then.head.within
        for then in it.check.unsure:
            still = then.head.kind == "open" or it.head.id in (
                then.head.id,
                *then.head.within,
            )
            assert still
            assert then.answer not in check.passes or then.head.id != it.head.id
        groups = {"fits": it.check.fits, "other": it.check.other, "unsure": it.check.unsure}
        answers = [then.answer for group in groups.values() for then in group]
        assert len(answers) == len(set(answers))
        now = sureness(it.head.share).tenths
        for answer in set(evidence.signs[check.sign].answers) - set(answers):
            # Left out: what leaves the same cause named, and as sure as it is.
            given = {**findings, check.sign: answer}
            after = headline(evidence, rank(evidence, given))
            assert after.id == it.head.id
            assert sureness(after.share).tenths >= now
        assert answers
        seen |= {name for name, group in groups.items() if group}
    assert seen == {"fits", "other", "unsure"}


def test_a_check_of_a_named_cause_tells_what_each_answer_would_mean() -> None:
    """The rare beetle is named on a brown head; the moth's head would fit the moth."""
    lone = replace(MOTH, common="very-common", family="")
    plant = bed(lone, replace(BEETLE, family="", common="uncommon"), ROT, THIRST)
    it = said(plant, leaf="holes")
    assert it.head.id == "moth"
    assert it.check is not None

    def told(group: tuple[Then, ...]) -> list[str]:
        return [then.answer for then in group]

    assert (it.check.state, told(it.check.fits)) == ("open", ["black"])
    assert told(it.check.other) + told(it.check.unsure) == ["brown"]


@pytest.mark.parametrize(("head", "state"), [("black", "passed"), ("brown", "failed")])
def test_a_check_that_was_told_is_not_asked_again(head: str, state: str) -> None:
    """Passed or failed, its answers are not laid out anew."""
    lone = replace(MOTH, common="very-common", family="")
    plant = bed(lone, replace(BEETLE, family="", common="rare"), ROT)
    it = said(plant, leaf="holes", head=head)
    assert it.head.id == "moth"
    assert it.check is not None
    assert it.check.state == state
    assert it.check.fits == it.check.unsure == it.check.other == ()


def test_only_a_named_cause_has_a_check() -> None:
    """A family, or nothing named, has none."""
    family = said(bed(), leaf="holes")
    assert (family.head.kind, family.check) == ("family", None)
    assert said(bed()).check is None


def test_a_check_that_makes_no_sense_or_is_barred_is_left_out() -> None:
    """Its need denied, made silly by an answer, or ruled out by the step: no check."""
    for evidence, findings in situations():
        it = outcome(evidence, findings)
        if it.check is None or it.check.state != "open":
            continue
        check = evidence.checks[it.head.id]
        others = {sign: said for sign, said in findings.items() if sign != check.sign}
        assert can_be_seen(evidence, others, check.sign)
        step = next(step for step in evidence.steps if step.id == it.step.step)
        assert check.sign not in step.rules_out
    lone = replace(MOTH, family="", common="very-common")
    rival = replace(BEETLE, family="", common="uncommon")
    assert said(bed(lone, rival, ROT), leaf="holes").check is not None
    untold = said(bed(lone, rival, ROT), head=None, soil="dry")
    assert untold.check is not None  # its need would be seen with it
    barred = bed(lone, rival, ROT, steps={"pick": {"rules_out": ("head",)}})
    assert said(barred, leaf="holes").check is None


def test_who_could_not_tell_may_look_again() -> None:
    """A check that was asked in vain is still the look that could prove us wrong."""
    lone = replace(MOTH, family="", common="very-common")
    rival = replace(BEETLE, family="", common="uncommon")
    it = said(bed(lone, rival, ROT), leaf="holes", head=None)
    assert it.check is not None
    assert it.check.state == "open"


# What else it could be.


def test_what_is_listed_has_a_fair_share_and_is_not_named() -> None:
    """From .05 on, from .20 on if an answer denies it; at most four, best first."""
    denied = 0
    for evidence, findings in situations():
        it = outcome(evidence, findings)
        named = {it.head.id, *it.head.within}
        assert not named & set(it.also)
        assert len(it.also) <= scale.MOST_ALSO
        shares = [it.ranking.share(cause) for cause in it.also]
        assert shares == sorted(shares, reverse=True)
        least = {
            cause: 0.2 if denies(evidence, findings, cause) else 0.05
            for cause in evidence.causes
        }
        wanted = [
            cause
            for cause in it.ranking.causes
            if cause not in named and it.ranking.share(cause) >= least[cause]
        ]
        if not wanted and it.head.kind == "open":
            wanted = list(it.ranking.first(2))  # what comes nearest, if all is denied
        assert list(it.also) == wanted[:4]
        denied += sum(
            0.05 <= it.ranking.share(cause) < least[cause] and cause not in named
            for cause in evidence.causes
        )
    assert denied > 10


def test_an_answer_denies_a_cause_that_hardly_ever_shows_it() -> None:
    """Never seen denies; rarely seen, silence and "I can't tell" do not."""
    seldom = make_cause("seldom", evidence={"leaf": {"holes": "rarely", "spots": "always"}})
    evidence = weigh(bed(*CAUSES, seldom))
    assert denies(evidence, {"leaf": "holes"}, "rot")
    assert not denies(evidence, {"leaf": "holes"}, "moth")
    assert not denies(evidence, {"leaf": "holes"}, "seldom")
    assert not denies(evidence, {"soil": "dry"}, "moth")
    assert not denies(evidence, {"leaf": None}, "rot")


# Why we think so.


def test_reasons_are_answers_clearly_more_or_less_likely_with_the_first_cause() -> None:
    """A fourth more likely speaks for it, as much less against it; between is no reason."""
    it = said(bed(), leaf="holes", head="black", soil="dry")
    assert it.head.id == "moth"
    assert it.reasons == (
        Reason(sign="leaf", answer="holes", supports=True),
        Reason(sign="head", answer="black", supports=True),
    )  # the soil says nothing about a moth
    for evidence, findings in situations():
        it = outcome(evidence, findings)
        if it.head.kind == "open":
            continue
        row = evidence.causes.index(it.ranking.top)
        rest = [at for at in range(len(evidence.causes)) if at != row]
        wanted = {}
        for sign, said_ in findings.items():
            if said_ is not None and evidence.signs[sign].speaks[row]:
                seen = evidence.signs[sign].read[:, evidence.answers[said_][1]]
                prior = evidence.prior[rest]
                times = float(seen[row] / (seen[rest] @ prior / prior.sum()))
                if not 0.8 < times < 1.25:
                    wanted[sign] = times > 1
        assert {it.sign: it.supports for it in it.reasons} == wanted


@pytest.mark.parametrize(("spots", "supports"), [("always", None), ("rarely", False)])
def test_a_reason_speaks_against_the_first_cause_too(
    spots: str, supports: bool | None
) -> None:
    """An answer that the first cause seldom shows is named as one against it."""
    common = make_cause(
        "moth", common="very-common",
        evidence={"leaf": {"holes": "usually", "spots": spots}, "soil": {"wet": "always"}},
    )  # fmt: skip
    other = make_cause(
        "rot", common="rare",
        evidence={"leaf": {"holes": "usually", "spots": "always"},
                  "soil": {"dry": "always"}},
    )  # fmt: skip
    it = said(bed(common, other), leaf="spots", soil="wet")
    assert it.head.id == "moth"
    found = {reason.sign: reason.supports for reason in it.reasons}
    assert found["soil"] is True
    assert found.get("leaf") is supports


def test_nothing_named_gives_no_reasons() -> None:
    """While it is open there is no cause to give reasons for."""
    it = said(bed(), leaf="spots")
    assert it.head.kind == "open"
    assert it.reasons == ()


# The step to take now.


def named_moth(**step: Any) -> Plant:
    """A moth named on holes; `pick` is its own step, changed by `step`."""
    lone = replace(MOTH, family="", common="very-common", also_right=("wait",))
    most = replace(ROT, first_step="dry", also_right=("wait",), harmed_by=("scrape",))
    return bed(lone, most, THIRST, steps={"pick": step})


def test_a_named_cause_gets_its_own_step() -> None:
    """Its own, although another step is right for more of what it may be."""
    it = said(named_moth(), leaf="holes")
    assert it.head.id == "moth"
    assert it.step.step == "pick"
    assert it.step.right == pytest.approx(it.ranking.share("moth"))
    wait = it.ranking.share("moth") + it.ranking.share("rot")
    assert it.step.right < wait


def test_an_own_step_that_may_harm_is_not_taken() -> None:
    """More than two in a hundred under which it harms, and another step is chosen."""
    lone = replace(MOTH, family="", common="very-common", first_step="scrape")
    it = said(bed(replace(lone, also_right=("wait",)), named_moth().causes["rot"], THIRST),
              leaf="holes")  # fmt: skip
    assert it.head.id == "moth"
    assert it.ranking.share("rot") > scale.HARM_BORNE
    assert it.step.step == "wait"
    assert it.step.harmful == 0


def test_a_step_does_not_ask_what_was_told() -> None:
    """A step with a look at the head waits for nobody who has told of it."""
    asks = named_moth(asks=("head",))
    assert said(asks, leaf="holes").step.step == "pick"
    assert said(asks, leaf="holes", head=None).step.step == "pick"
    assert said(asks, leaf="holes", head="black").step.step == "wait"


def test_a_step_with_words_for_what_was_told_stays() -> None:
    """Where the step says something else after that answer, it is taken, and says it."""
    plant = named_moth(asks=("head",), do_after={"black": "Pick the moth."})
    it = said(plant, leaf="holes", head="black")
    assert it.step.step == "pick"
    step = plant.first_steps["pick"]
    assert step.says(it.findings.values()) == "Pick the moth."
    assert step.says(["holes"]) == step.do
    assert said(plant, leaf="holes", head="brown").step.step != "pick"


def test_a_step_that_leaves_all_as_it_is_needs_most_causes_for_it() -> None:
    """Never with nothing named; with a family, from half of the chances on."""
    new = make_cause("new", first_step="leave", evidence={"leaf": {"spots": "usually"}})
    few = bed(replace(ROT, first_step="a"), replace(THIRST, first_step="b"), new,
              steps={"leave": {"idle": True}})  # fmt: skip
    it = said(few, leaf="spots")
    assert it.head.kind == "open"
    best = max(it.ranking.share("rot"), it.ranking.share("thirst"))
    assert best <= it.ranking.share("new") < scale.IDLE_FROM
    assert it.step.step != "leave"
    also = replace(THIRST, first_step="b", also_right=("leave",))
    most = bed(replace(ROT, first_step="a"), also, new, steps={"leave": {"idle": True}})
    assert said(most, leaf="spots").head.kind == "open"
    assert said(most, leaf="spots").step.step != "leave"
    fine = [replace(it, family="biters") for it in (also, new)]
    named = bed(replace(ROT, first_step="a"), *fine, steps={"leave": {"idle": True}})
    assert said(named, leaf="spots").head.kind == "family"
    assert said(named, leaf="spots").step.step == "leave"


def test_harm_outweighs_five_right_steps() -> None:
    """With no cause named, a step that harms is taken for no fewer right ones than five."""
    bathed = replace(THIRST, first_step="bathe", common="very-common")
    harmed = bed(MOTH, BEETLE, bathed, replace(ROT, harmed_by=("bathe",), common="rare"))
    spared = bed(MOTH, BEETLE, bathed, replace(ROT, harmed_by=(), common="rare"))
    for plant, step in ((spared, "bathe"), (harmed, "pick")):
        it = outcome(weigh(plant), {"soil": "wet"})
        assert it.head.kind != "cause"
        assert it.step.step == step
        assert it.ranking.share("thirst") < 5 * it.ranking.share("rot")


# Where and when, and those who come by links alone.


def test_where_and_when_move_all_that_is_said() -> None:
    """A place where the moth is not recorded names the beetle on the same holes."""
    table = {"north": {"spring": "not-recorded"}}
    plant = bed(replace(MOTH, where_when=table), BEETLE, ROT, THIRST)
    evidence = weigh(plant)
    here = outcome(evidence, {"leaf": "holes"}, Context(zone="north", season="spring"))
    assert (here.head.kind, here.head.id, here.step.step) == ("cause", "beetle", "shake")
    assert outcome(evidence, {"leaf": "holes"}).head.kind == "family"


def test_who_comes_by_links_is_shown_what_all_who_come_have() -> None:
    """The ranking is that of the place; no look is offered, and none asked twice."""
    holes = {"head": {"otherwise": "moth"}}
    tree = make_tree({"leaf": {"holes": holes, "otherwise": "rot"}})
    lone = replace(MOTH, family="", common="very-common")
    rival = replace(BEETLE, family="", common="uncommon")
    evidence = weigh(replace(bed(lone, rival, ROT, THIRST), tree=tree))
    come = arrived(evidence, tree)["moth"]
    it = outcome_on_arrival(evidence, come)
    assert it.ranking is come.ranking
    assert it.look is None
    assert it.findings == {"leaf": "holes", "head": None}
    assert it.head.id == "moth"
    assert it.check is None  # the head was asked, whatever was answered
    shorter = make_tree({"leaf": {"holes": "moth", "otherwise": "rot"}})
    open_ = outcome_on_arrival(evidence, arrived(evidence, shorter)["moth"])
    assert open_.check is not None
    assert open_.check.state == "open"
