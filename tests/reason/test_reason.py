"""Ranking, looks, first steps, sureness and gates on small plants made for each case."""

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from bedside.model.records import PlanStep, Plant, Sign
from bedside.reason import scale
from bedside.reason.evidence import (
    Context,
    Evidence,
    assumed,
    exact,
    misread,
    shares_of_words,
    weigh,
)
from bedside.reason.findings import Note, findings_of, format_fragment, open_signs
from bedside.reason.outcome import outcome
from bedside.reason.ranking import families, headline, rank, two_troubles
from bedside.reason.scale import sureness
from bedside.reason.steps import check_state, choose_first_step, gate, spray_tiers
from tests.factories import make_cause, make_check, make_control, make_plant, make_sign
from tests.fragments import parse_fragment
from tests.made_up_plants import made_up_plant, plant_of
from tests.reason.looks import looks

LEAF = make_sign("leaf", ("holes", "spots"), none="leaf-fine")
STEM = make_sign("stem", ("soft", "firm"), ease="fair")
HEAD = make_sign("head", ("black", "brown"), needs={"leaf": ("holes",)})


def bites_and_rots() -> Plant:
    """Two biters in one family, a rot, and what is not on the list."""
    return plant_of(
        (LEAF, STEM, HEAD),
        (
            make_cause(
                "moth", family="biters", first_step="pick",
                evidence={"leaf": {"holes": "always"}, "head": {"black": "usually"}},
            ),
            make_cause(
                "beetle", family="biters", first_step="pick",
                evidence={"leaf": {"holes": "always"}, "head": {"brown": "usually"}},
            ),
            make_cause(
                "rot", first_step="dry", harmed_by=("pick",), common="rare",
                evidence={"leaf": {"spots": "usually"}, "stem": {"soft": "always"}},
            ),
            make_cause("unlisted", kind="unlisted", common="rare", first_step="ask"),
        ),
    )  # fmt: skip


@pytest.fixture(scope="module")
def evidence() -> Evidence:
    return weigh(bites_and_rots())


@pytest.mark.parametrize(
    ("words", "shares"),
    [
        ({"holes": "always"}, [0.97, 0.01, 0.03]),  # "none" takes the .03 that is left
        ({"holes": "usually"}, [0.78, 0.01, 0.22]),
        ({"holes": "usually", "spots": "usually"}, [0.78, 0.78, 0.01]),
        ({"leaf-fine": "always"}, [0.01, 0.01, 0.97]),
        ({"holes": "sometimes", "leaf-fine": "usually"}, [0.35, 0.01, 0.78]),
    ],
)
def test_words_become_shares(words: dict[str, str], shares: list[float]) -> None:
    """Answers without a word are never seen; "none of these" takes what is left."""
    expected = np.array(shares) / sum(shares)
    assert shares_of_words(LEAF, words) == pytest.approx(expected, abs=1e-12)


def test_misreading_caps_what_one_yes_or_no_can_say() -> None:
    """A sure answer read right 79 times in 100 speaks at most 3.76 to 1: a / (1 - a)."""
    read = misread(np.array([[1.0, 0.0], [0.0, 1.0]]), 0.79)
    assert read[0, 0] / read[1, 0] == pytest.approx(3.7619, abs=1e-4)
    assert read.sum(axis=1) == pytest.approx([1, 1])


@pytest.mark.parametrize(
    ("right", "answers", "cap"), [(0.79, 3, 7.5238), (0.90, 2, 9), (0.95, 2, 19)]
)
def test_misreading_caps_what_one_of_many_answers_can_say(
    right: float, answers: int, cap: float
) -> None:
    """With k answers the cap is a (k - 1) / (1 - a)."""
    read = misread(np.eye(answers), right)
    assert read[0, 0] / read[1, 0] == pytest.approx(cap, abs=1e-3)


def test_a_telltale_answer_is_seldom_given_by_mistake() -> None:
    """Read for another a quarter as often; what that leaves goes to the other mistakes."""
    read = misread(np.eye(3), 0.79, np.array([0.25, 1.0, 1.0]))
    assert read.sum(axis=1) == pytest.approx([1, 1, 1])
    assert read.diagonal() == pytest.approx([0.79] * 3)
    assert read[1] == pytest.approx([0.21 * 0.25 / 1.25, 0.79, 0.21 * 1 / 1.25])
    assert read[0] == pytest.approx([0.79, 0.105, 0.105])
    alike = misread(np.eye(3), 0.79, np.ones(3))
    assert alike == pytest.approx(misread(np.eye(3), 0.79))


def test_rows_are_whole_billionths_that_sum_to_one() -> None:
    """Rounded shares lose nothing: what rounding leaves goes to the largest remainders."""
    rows = exact(np.array([[1.0, 1.0, 1.0], [2.0, 3.0, 7.0]]))
    parts = np.rint(rows * 1e9).astype(int)
    assert parts.sum(axis=1).tolist() == [10**9, 10**9]
    assert rows == pytest.approx(parts / 1e9, abs=0)


def test_no_sign_is_trusted_above_the_published_mean(evidence: Evidence) -> None:
    """An easy sign is read with .91 by the careful but weighed with .79."""
    leaf = evidence.signs["leaf"]
    assert leaf.accuracy == pytest.approx(0.91)
    assert leaf.read == pytest.approx(misread(leaf.share, 0.79), abs=1e-9)


def test_a_cause_that_says_nothing_keeps_its_share(evidence: Evidence) -> None:
    """A silent cause has the average row, so that one answer leaves its share as it was."""
    for sign in evidence.signs.values():
        for answer in sign.answers:
            ranking = rank(evidence, {sign.id: answer})
            assert ranking.share("unlisted") == pytest.approx(1 / 10, abs=1e-8)


def test_what_was_found_moves_the_cause_that_shows_it(evidence: Evidence) -> None:
    """A soft stem and spots make the rot first, although it is rare."""
    assert rank(evidence, {}).top == "beetle"
    assert rank(evidence, {"leaf": "spots", "stem": "soft"}).top == "rot"


def test_cant_tell_changes_nothing(evidence: Evidence) -> None:
    """A sign that was asked and could not be told leaves every share as it was."""
    told = rank(evidence, {"stem": "soft"})
    assert rank(evidence, {"stem": "soft", "leaf": None}).vector is told.vector


def test_signs_of_one_group_count_as_their_geometric_mean() -> None:
    """Two signs that say the same thing are not evidence twice."""
    alike = {"group": "colour"}
    signs = (
        make_sign("one", ("a1", "b1"), **alike),
        make_sign("two", ("a2", "b2"), **alike),
    )
    causes = [
        make_cause(
            name, evidence={"one": {f"{x}1": "usually"}, "two": {f"{x}2": "usually"}}
        )
        for name, x in (("left", "a"), ("right", "b"))
    ]
    grouped = weigh(plant_of(signs, causes))
    once = rank(grouped, {"one": "a1"}).share("left")
    assert rank(grouped, {"one": "a1", "two": "a2"}).share("left") == pytest.approx(once)
    assert rank(grouped, {"one": "a1", "two": "b2"}).share("left") == pytest.approx(0.5)


def test_where_and_when_multiply_commonness() -> None:
    """A zone and a season weigh by their word; not knowing one is the mean over it."""
    table = {"north": {"spring": "common", "autumn": "not-recorded"}}
    causes = (make_cause("local", where_when=table), make_cause("anywhere"))
    evidence = weigh(plant_of((LEAF,), causes))
    for context, factor in [
        (Context(zone="north", season="spring"), 2.0),
        (Context(zone="north", season="autumn"), 0.15),
        (Context(zone="north"), (2.0 + 0.15) / 2),
        (Context(season="spring"), 2.0),
        (Context(zone="nowhere", season="spring"), 1.0),
        (Context(), 1.0),
        (Context(zone="north", season="spring", equal=True), 1.0),
    ]:
        share = rank(evidence, {}, context).share("local")
        assert share / (1 - share) == pytest.approx(factor, abs=1e-8)


def test_commonness_can_be_set_aside(evidence: Evidence) -> None:
    """With all causes equally common, no finding means equal shares."""
    assert rank(evidence, {}, Context(equal=True)).shares == pytest.approx([0.25] * 4)


def test_a_family_is_named_when_its_members_are_even(evidence: Evidence) -> None:
    """Holes mean a biter, which one is not clear; a black head makes it the moth."""
    holes = rank(evidence, {"leaf": "holes"})
    best = headline(evidence, holes)
    assert (best.kind, best.id, best.within) == ("family", "biters", ("beetle", "moth"))
    assert best.share == pytest.approx(holes.share("beetle") + holes.share("moth"))
    assert families(evidence, holes)[0].share == best.share
    named = headline(evidence, rank(evidence, {"leaf": "holes", "head": "black"}))
    assert (named.kind, named.id) == ("cause", "moth")


def test_nothing_is_named_when_nothing_stands_out() -> None:
    """Three equal causes without a family stay open."""
    causes = [make_cause(name) for name in ("one", "two", "three")]
    evidence = weigh(plant_of((LEAF,), causes))
    ranking = rank(evidence, {})
    assert ranking.open
    assert headline(evidence, ranking).kind == "open"
    assert ranking.first(2) == ("one", "three")  # equals come in the order of their ids


def test_a_look_is_offered_only_where_it_can_be_had(evidence: Evidence) -> None:
    """What a sign needs must have been found, and nothing is asked twice."""
    assert open_signs(evidence, {}) == ("leaf", "stem")
    assert open_signs(evidence, {"leaf": "spots"}) == ("stem",)
    assert open_signs(evidence, {"leaf": "holes", "stem": None}) == ("head",)


def test_a_look_says_what_each_answer_would_change(evidence: Evidence) -> None:
    """The chances of the answers sum to 1; the mean of what they give is what is now."""
    now = rank(evidence, {"leaf": "holes"})
    for look in looks(evidence, {"leaf": "holes"}):
        assert sum(answer.chance for answer in look.answers) == pytest.approx(1)
        mean = sum(answer.chance * answer.ranking.vector for answer in look.answers)
        assert mean == pytest.approx(now.vector)


def test_a_look_is_worth_less_when_many_cannot_tell(evidence: Evidence) -> None:
    """Worth is the gain times the share of gardeners who can tell."""
    for look in looks(evidence, {}):
        cant_tell = evidence.signs[look.sign].cant_tell
        assert look.worth == pytest.approx(look.gain * (1 - cant_tell))


def test_the_first_step_is_right_for_most_and_harms_almost_none(evidence: Evidence) -> None:
    """Picking serves both biters until the rot, which picking harms, is likely enough."""
    holes = choose_first_step(evidence, rank(evidence, {"leaf": "holes"}), {})
    assert holes.step == "pick"
    assert holes.right + holes.wasted + holes.harmful == pytest.approx(1)
    spots = rank(evidence, {"leaf": "spots", "stem": "soft"})
    assert choose_first_step(evidence, spots, {}).step == "dry"


# Bands of ICD 203; its two highest are one here, and n in 10 rounds halves up. A number has
# the word that the least share rounded to it has earned.
SURENESS = [
    (1.0, "very-likely", 9), (0.95, "very-likely", 9), (0.8501, "very-likely", 9),
    (0.8499, "likely", 8), (0.80, "likely", 8), (0.65, "likely", 7), (0.5501, "likely", 6),
    (0.5499, "about-even", 5), (0.45, "about-even", 5), (0.4499, "unlikely", 4),
    (0.2501, "unlikely", 3), (0.2499, "very-unlikely", 2), (0.05, "very-unlikely", 1),
    (0.0499, "almost-no-chance", 0), (0.0, "almost-no-chance", 0),
]  # fmt: skip


@pytest.mark.parametrize(("share", "word", "tenths"), SURENESS)
def test_sureness_has_a_word_and_a_number(share: float, word: str, tenths: int) -> None:
    """The share is rounded first; word and n in 10 follow ICD 203, never 10 in 10."""
    shown = sureness(share)
    assert (shown.word, shown.tenths) == (word, tenths)


def test_numbers_and_words_of_sureness_never_fall_as_the_share_rises() -> None:
    """More sure is never shown as less sure."""
    order = [word for _, word in reversed(scale.BANDS)]
    shown = [sureness(n / 1000) for n in range(1001)]
    assert [s.tenths for s in shown] == sorted(s.tenths for s in shown)
    assert [order.index(s.word) for s in shown] == sorted(
        order.index(s.word) for s in shown
    )


def test_each_tenth_has_one_word_and_no_word_says_too_much() -> None:
    """No two words stand beside one number, and no share has a word above its own band."""
    words: dict[int, set[str]] = {}
    for n in range(10001):
        shown = sureness(n / 10000)
        words.setdefault(shown.tenths, set()).add(shown.word)
        edge = next(edge for edge, word in scale.BANDS if word == shown.word)
        assert n / 10000 >= edge - 1e-9
    assert sorted(words) == list(range(10))
    assert all(len(found) == 1 for found in words.values())


@pytest.mark.parametrize(
    ("tier", "findings", "share", "is_open"),
    [
        ("hand", {}, 0.0, True),
        ("look", {"leaf": "spots"}, 0.1, True),
        ("narrow-spray", {"leaf": "holes"}, 0.50, True),
        ("narrow-spray", {"leaf": "holes"}, 0.49, False),
        ("narrow-spray", {}, 0.99, False),
        ("narrow-spray", {"leaf": "spots"}, 0.99, False),
        ("narrow-spray", {"leaf": None}, 0.99, False),
        ("last-resort", {"leaf": "holes"}, 0.74, False),
        ("last-resort", {"leaf": "holes"}, 0.75, True),
    ],
)
def test_a_spray_waits_for_its_check_and_for_sureness(
    tier: str, findings: dict[str, str | None], share: float, is_open: bool
) -> None:
    """A spray opens only when the check has passed and the share is reached (R31)."""
    assert gate(make_check("leaf"), tier, findings, share).open is is_open


def test_a_cause_without_a_check_never_opens_a_spray() -> None:
    """Without a look that could disprove the cause there is nothing to pass."""
    assert check_state(None, {}) == "none"
    assert not gate(None, "narrow-spray", {}, 1.0).open


@pytest.mark.parametrize(
    ("text", "findings", "notes"),
    [
        ("#holes.stem.black", {"leaf": "holes", "stem": None, "head": "black"}, []),
        ("", {}, []),
        ("#...", {}, []),
        ("holes.nosuch", {"leaf": "holes"}, [("unknown", "nosuch")]),
        ("holes.holes", {"leaf": "holes"}, [("repeated", "holes")]),
        ("holes.leaf", {"leaf": "holes"}, [("repeated", "leaf")]),
        ("holes.spots.soft", {"stem": "soft"},
         [("contradictory", "holes"), ("contradictory", "spots")]),
        ("spots.black", {"leaf": "spots"}, [("unfit", "black")]),
        ("black", {"head": "black"}, []),
        ("leaf.head", {"leaf": None, "head": None}, []),
        ("<script>.%00.HOLES", {},
         [("malformed", "<script>"), ("malformed", "%00"), ("malformed", "HOLES")]),
        ("constructor.holes", {"leaf": "holes"}, [("unknown", "constructor")]),
        ("x" * 99, {}, [("malformed", "x" * 40)]),
    ],
)  # fmt: skip
def test_an_address_may_hold_anything(
    evidence: Evidence,
    text: str,
    findings: dict[str, str | None],
    notes: list[tuple[str, str]],
) -> None:
    """What is not understood, said twice or contradicts itself is left out with a note."""
    parsed = parse_fragment(evidence, text)
    assert parsed.findings == findings
    assert parsed.notes == tuple(Note(kind=kind, token=token) for kind, token in notes)


def test_an_endless_address_is_cut_off(evidence: Evidence) -> None:
    """Past 200 parts the rest is one note."""
    parsed = findings_of(evidence, ["nosuch"] * 5000)
    assert len(parsed.notes) == 201
    assert parsed.notes[-1].kind == "malformed"


def test_findings_written_to_an_address_come_back(evidence: Evidence) -> None:
    """Writing and reading a fragment gives the same findings."""
    findings = {"leaf": "holes", "stem": None, "head": "brown"}
    assert format_fragment(findings) == "holes.stem.brown"
    assert parse_fragment(evidence, "#holes.stem.brown").findings == findings


def test_many_findings_do_not_run_out_of_digits() -> None:
    """Six hundred signs answered against a cause leave it a share above zero."""
    signs = [make_sign(f"s{n}", (f"s{n}-a", f"s{n}-b")) for n in range(600)]
    causes = [
        make_cause(name, evidence={f"s{n}": {f"s{n}-{x}": "always"} for n in range(600)})
        for name, x in (("left", "a"), ("right", "b"))
    ]
    evidence = weigh(plant_of(signs, causes))
    half = {f"s{n}": f"s{n}-{'a' if n % 2 else 'b'}" for n in range(600)}
    assert rank(evidence, half).share("left") == pytest.approx(0.5)
    most = {f"s{n}": f"s{n}-{'a' if n > 150 else 'b'}" for n in range(600)}
    assert 0 < rank(evidence, most).share("right") < 1e-100


def test_two_equal_plants_give_equal_tables() -> None:
    """Weighing does not depend on the order in which causes were read."""
    plant = made_up_plant(5)
    turned = plant_of(tuple(plant.signs.values()), tuple(plant.causes.values())[::-1])
    assert weigh(turned).causes == weigh(plant).causes
    assert np.array_equal(weigh(turned).grid, weigh(plant).grid)


def test_accuracy_falls_with_the_number_of_answers() -> None:
    """A hundredth is lost for each answer above two."""
    assert scale.accuracy("easy", 2) == 0.92
    assert math.isclose(scale.accuracy("fair", 6), 0.75)
    assert scale.trusted("hard", 2) == 0.66


def moth_and_rust() -> Evidence:
    """Two common causes that speak of signs of their own, and one that fits neither."""
    signs = (LEAF, STEM, make_sign("dust", ("orange", "clean")))
    causes = (
        make_cause("moth", evidence={"leaf": {"holes": "usually"},
                                     "dust": {"clean": "always"}}),
        make_cause("rust", evidence={"leaf": {"leaf-fine": "usually"},
                                     "dust": {"orange": "always"}}),
        make_cause("heat", evidence={"leaf": {"spots": "usually"},
                                     "dust": {"clean": "always"}}),
        make_cause("unlisted", kind="unlisted", common="rare"),
    )  # fmt: skip
    return weigh(plant_of(signs, causes))


def test_nothing_found_leaves_two_troubles_as_likely_as_before() -> None:
    """Before any finding one plant in ten is taken to have two troubles."""
    assert two_troubles(moth_and_rust(), {}).share == pytest.approx(scale.TWO_AT_ONCE)


def test_two_troubles_explain_what_no_single_one_shows() -> None:
    """Holes and orange dust are a moth and a rust; holes without dust a moth alone."""
    evidence = moth_and_rust()
    both = two_troubles(evidence, {"leaf": "holes", "dust": "orange"})
    assert set(both.pairs[0].causes) == {"moth", "rust"}
    assert both.share > scale.TWO_AT_ONCE
    assert two_troubles(evidence, {"leaf": "holes", "dust": "clean"}).share < both.share


def test_what_is_not_on_the_list_is_in_no_pair() -> None:
    """A cause that speaks of nothing explains nothing beside another."""
    found = two_troubles(moth_and_rust(), {"leaf": "holes"})
    assert all("unlisted" not in pair.causes for pair in found.pairs)


def test_only_the_sprays_of_a_plan_count() -> None:
    """A plan of one hand control and one spray has one tier that a gate can open."""
    controls = {
        "pick-off": make_control("pick-off", tier="hand"),
        "soap": make_control("soap", tier="narrow-spray"),
    }
    steps = tuple(
        PlanStep(control=name, do="", when="", sources=()) for name in ("pick-off", "soap")
    )
    plant = plant_of((LEAF,), (make_cause("moth", plan=steps), make_cause("rust")))
    assert spray_tiers(plant, controls) == {
        "moth": frozenset({"narrow-spray"}), "rust": frozenset(),
    }  # fmt: skip


NORMAL = make_sign("feel", ("firm", "soft"), none="odd", normal="firm")


def with_normal(sign: Sign, **more: Any) -> Evidence:
    """A cause that mentions the sign, one that does not, one that is on no list."""
    rot = make_cause("rot", evidence={"feel": {"soft": "always"}})
    slug = make_cause("slug", evidence=more)
    rest = make_cause("unlisted", kind="unlisted", common="common")
    return weigh(make_plant([sign, make_sign("other", ("a", "b"))], [rot, slug, rest]))


def test_a_cause_that_does_not_mention_a_sign_shows_the_normal_answer() -> None:
    """Exactly as if its grower had written "usually"; what is on no list says nothing."""
    found = with_normal(NORMAL)
    written = with_normal(replace(NORMAL, normal=""), feel={"firm": "usually"})
    assert np.array_equal(found.signs["feel"].share, written.signs["feel"].share)
    assert found.signs["feel"].speaks.tolist() == [True, False, False]
    for answer in ("firm", "soft", "odd"):
        ranking = rank(found, {"feel": answer})
        assert ranking.share("unlisted") == pytest.approx(1 / 3)
    assert rank(found, {"feel": "firm"}).top == "slug"
    assert rank(found, {"feel": "soft"}).top == "rot"


def test_without_a_normal_answer_a_silent_cause_says_nothing() -> None:
    """As before: no answer moves what does not speak of its sign."""
    found = with_normal(replace(NORMAL, normal=""))
    for answer in ("firm", "soft", "odd"):
        assert rank(found, {"feel": answer}).share("slug") == pytest.approx(1 / 3)


def test_what_is_assumed_is_no_reason() -> None:
    """Nothing that a grower did not write is shown as what speaks for a cause."""
    assert assumed(NORMAL, make_cause("slug")) == {"firm": "usually"}
    assert assumed(NORMAL, make_cause("rot", evidence={"feel": {"soft": "rarely"}})) == {}
    assert assumed(NORMAL, make_cause("rest", kind="unlisted")) == {}
    shown = outcome(with_normal(NORMAL), {"feel": "firm"})
    assert shown.head.id in ("", "slug")
    assert not [it for it in shown.reasons if it.answer == "firm"]


def test_a_letter_need_say_no_more_than_a_plant_has_signs_for() -> None:
    """The bar rises with the number of signs, up to the one that was measured."""
    bars = [scale.letters_of(signs) for signs in range(1, 50)]
    for key in ("telling", "fewNamed", "few"):
        assert [it[key] for it in bars] == sorted(it[key] for it in bars)
        assert bars[0][key] >= 1
    assert bars[scale.MANY_SIGNS - 1 :] == [scale.LETTERS] * (50 - scale.MANY_SIGNS)
    assert bars[2]["first"] == bars[2]["fewNamed"] == 1
