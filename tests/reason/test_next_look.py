"""The next question: what makes sense, the tree before the arithmetic, near before far."""

from dataclasses import replace
from typing import Any

import pytest

from bedside.model.records import Plant
from bedside.reason import scale
from bedside.reason.evidence import Context, Evidence, Findings, weigh
from bedside.reason.findings import makes_sense, open_signs
from bedside.reason.next_look import (
    Next,
    gains,
    in_tree,
    most_telling,
    nearness,
    next_look,
    standing,
)
from bedside.reason.ranking import rank
from tests.factories import make_cause, make_sign, make_tree
from tests.made_up_plants import plant_of, sensitive_plant

OUTLINE = {
    "leaf": {
        "holes": {"trace": {"slime": "slug", "otherwise": "moth"}},
        "otherwise": {
            "dust": {"rubs": "rust", "otherwise": {"root": {"otherwise": "rot"}}}
        },
    }
}
SIGNS = (
    make_sign("dust", ("rubs", "stays"), not_after=("holes", "root")),
    make_sign("leaf", ("holes", "spots")),
    make_sign("root", ("firm", "soft"), looked_at="root"),
    make_sign("trace", ("slime", "pellets"), needs={"leaf": ("holes",)}),
    make_sign("weather", ("wet", "dry"), looked_at="memory"),
)
SHOWN = {
    "moth": {"leaf": "holes", "trace": "pellets", "weather": "dry"},
    "slug": {"leaf": "holes", "trace": "slime", "weather": "wet"},
    "rust": {"leaf": "spots", "dust": "rubs", "root": "firm"},
    "rot": {"leaf": "spots", "dust": "stays", "root": "soft"},
}
CAUSES = tuple(
    make_cause(name, evidence={sign: {answer: "usually"} for sign, answer in shown.items()})
    for name, shown in SHOWN.items()
)


def bed(**changes: Any) -> Plant:
    """Bites, rust and a rot; dust is not asked after holes, nor once the root was told."""
    return replace(plant_of(SIGNS, CAUSES), **{"tree": make_tree(OUTLINE), **changes})


@pytest.fixture(scope="module")
def evidence() -> Evidence:
    return weigh(bed())


@pytest.mark.parametrize(
    ("sign", "findings", "sensible"),
    [
        ("leaf", {}, True),
        ("leaf", {"leaf": "holes"}, False),  # asked
        ("leaf", {"leaf": None}, False),  # asked, "I can't tell"
        ("trace", {}, False),  # what it needs is not known
        ("trace", {"leaf": None}, False),
        ("trace", {"leaf": "spots"}, False),
        ("trace", {"leaf": "holes"}, True),
        ("leaf", {"trace": "slime"}, False),  # known from what needs it
        ("dust", {"leaf": "spots"}, True),
        ("dust", {"leaf": None}, True),
        ("dust", {"leaf": "holes"}, False),  # made senseless by one answer
        ("dust", {"root": "firm"}, False),  # ... by any answer of a sign
        ("dust", {"root": None}, True),  # but not by "I can't tell"
    ],
)
def test_a_question_makes_sense_or_not(
    evidence: Evidence, sign: str, findings: Findings, sensible: bool
) -> None:
    """Not what was asked, what lacks its need, or what an answer has made silly."""
    assert makes_sense(evidence, findings, sign) is sensible
    assert (sign in open_signs(evidence, findings)) is sensible


@pytest.mark.parametrize(
    ("findings", "question"),
    [
        ({}, "leaf"),
        ({"leaf": "holes"}, "trace"),
        ({"leaf": None}, "dust"),  # "I can't tell" goes the way of every other answer
        ({"leaf": "spots", "dust": "stays"}, "root"),
        (
            {"dust": "stays"},
            "leaf",
        ),  # found before it was asked: the tree begins all the same
        ({"root": "soft", "leaf": "spots"}, ""),  # dust is senseless, root is answered
        ({"leaf": "holes", "trace": "slime"}, ""),
        ({"leaf": "spots", "dust": "rubs"}, ""),
    ],
)
def test_findings_lead_to_a_place_of_the_tree(
    evidence: Evidence, findings: Findings, question: str
) -> None:
    """An answered question leads on by its answer, a senseless one by `otherwise`."""
    assert in_tree(evidence, bed().tree, findings) == question


def test_a_senseless_question_is_passed_by_otherwise() -> None:
    """What stands below `otherwise` of a skipped question is asked next, not its ways."""
    rest = {"weather": {"otherwise": "rot"}}
    below = {"dust": {"rubs": "rust", "stays": "rot", "otherwise": rest}}
    plant = bed()
    tree = make_tree({"leaf": {"otherwise": below}})
    evidence = weigh(plant)
    assert in_tree(evidence, tree, {"leaf": "spots"}) == "dust"
    assert in_tree(evidence, tree, {"leaf": "holes"}) == "weather"


def test_the_tree_leads_even_where_another_look_tells_more() -> None:
    """The first question is the grower's, not the one with the most bits."""
    plant = bed(tree=make_tree({"weather": {"otherwise": "moth"}}))
    evidence = weigh(plant)
    bits = gains(evidence, {})
    assert bits["leaf"] > bits["weather"]
    assert next_look(evidence, plant.tree, {}) == Next(sign="weather", question="weather")


def test_the_arithmetic_finishes_where_the_tree_has_ended(evidence: Evidence) -> None:
    """After the tree's last question comes the most telling look, which none asks."""
    tree = make_tree({"leaf": {"otherwise": "moth"}})
    found = next_look(evidence, tree, {"leaf": "holes"})
    assert found == Next(sign="trace", question="")
    assert found.sign == most_telling(evidence, {"leaf": "holes"})


def test_questions_are_named_by_where_they_stand_in_the_tree(evidence: Evidence) -> None:
    """A sign that is asked in two branches is a question of its own in each."""
    tree = make_tree(
        {"leaf": {"holes": {"weather": {"otherwise": "moth"}},
                  "otherwise": {"weather": {"otherwise": "rot"}}}}
    )  # fmt: skip
    first = next_look(evidence, tree, {"leaf": "holes"})
    other = next_look(evidence, tree, {"leaf": "spots"})
    assert first is not None
    assert other is not None
    assert first.sign == other.sign == "weather"
    assert first.question != other.question
    assert {first.question, other.question} <= set(tree.questions)


def test_a_walk_stops_when_it_is_sure_enough() -> None:
    """From nine in ten on nothing is asked, although the tree goes on."""
    plant = bed(causes={
        it.id: replace(it, common="very-common" if it.id == "rust" else "rare")
        for it in CAUSES
    })  # fmt: skip
    evidence = weigh(plant)
    before, sure = {"leaf": "spots"}, {"leaf": "spots", "dust": "rubs"}
    assert rank(evidence, before).top_share < scale.SURE_ENOUGH
    assert rank(evidence, sure).top_share >= scale.SURE_ENOUGH
    rest = {"dust": {"otherwise": {"root": {"otherwise": "rot"}}}}
    tree = make_tree({"leaf": {"otherwise": rest}})
    assert next_look(evidence, tree, before) == Next(sign="dust", question="dust")
    assert next_look(evidence, tree, sure) is None


def test_where_and_when_count_for_sureness_and_for_the_next_look() -> None:
    """A cause that is common here may be sure where it would be open elsewhere."""
    table = {"north": {"spring": "not-recorded"}}
    causes = {
        it.id: replace(it, where_when={} if it.id == "rust" else table) for it in CAUSES
    }
    plant = bed(causes=causes)
    evidence, found = weigh(plant), {"leaf": "spots", "dust": "rubs"}
    assert next_look(evidence, plant.tree, found) is not None
    here = Context(zone="north", season="spring")
    assert next_look(evidence, plant.tree, found, here) is None


def test_a_walk_has_seven_looks_at_most() -> None:
    """However little was told: seven signs asked, and the result comes."""
    plant = sensitive_plant(1, causes=20, signs=30)
    evidence = weigh(plant)
    findings: dict[str, str | None] = {}
    while look := next_look(evidence, plant.tree, findings):
        findings[look.sign] = None
    assert len(findings) == scale.MOST_LOOKS == 7


def test_a_look_that_tells_next_to_nothing_is_not_asked() -> None:
    """A sign of which one cause speaks alone moves nothing, so the result comes first."""
    moth, *others = CAUSES
    spoken = {**moth.evidence, "stem": {"stiff": "always"}}
    causes = (replace(moth, evidence=spoken), *others)
    signs = (SIGNS[1], make_sign("stem", ("limp", "stiff")))
    evidence, found = weigh(plant_of(signs, causes)), {"leaf": "holes"}
    assert open_signs(evidence, found) == ("stem",)
    assert gains(evidence, found)["stem"] < scale.LEAST_WORTH
    assert next_look(evidence, make_tree({"leaf": {"otherwise": "moth"}}), found) is None


def alike(**places: str) -> Evidence:
    """Two causes and signs that all tell as much, looked at in the places given."""
    signs = [
        make_sign(name, (f"{name}-a", f"{name}-b"), looked_at=place)
        for name, place in places.items()
    ]
    causes = [
        make_cause(cause, evidence={name: {f"{name}-{x}": "usually"} for name in places})
        for cause, x in (("left", "a"), ("right", "b"))
    ]
    return weigh(plant_of(signs, causes))


@pytest.mark.parametrize(
    ("stands", "asked"),
    [("root", "low"), ("leaf", "high"), ("inside", "high"), ("flower", "high")],
)
def test_of_looks_that_tell_as_much_the_nearest_is_asked(stands: str, asked: str) -> None:
    """Where one stands comes before the place beside it, and that before the rest."""
    evidence = alike(at=stands, around="bed", high="leaf", low="root")
    assert most_telling(evidence, {"at": None}) == asked


def test_nearness_is_the_same_there_and_back() -> None:
    """Same place, beside, far; memory is near everywhere, and so is all before a look."""
    assert nearness("leaf", "leaf") == scale.NEAR
    assert nearness("", "root") == scale.NEAR
    assert nearness("root", "memory") == scale.NEAR
    assert nearness("leaf", "root") == nearness("root", "leaf") == scale.FAR
    assert nearness("foot", "root") == nearness("root", "foot") == scale.BESIDE
    assert scale.NEAR > scale.BESIDE > scale.FAR > 0


def test_what_is_far_is_asked_if_it_tells_much_more() -> None:
    """Nearness weighs, it does not rule out."""
    signs = (
        make_sign("at", ("at-a", "at-b")),
        make_sign("near", ("near-a", "near-b")),
        make_sign("far", ("far-a", "far-b"), looked_at="root"),
    )
    causes = [
        make_cause(
            cause,
            evidence={
                "near": {f"near-{x}": "usually", f"near-{y}": "sometimes"},
                "far": {f"far-{x}": "always"},
            },
        )
        for cause, x, y in (("left", "a", "b"), ("right", "b", "a"))
    ]
    assert most_telling(weigh(plant_of(signs, causes)), {"at": None}) == "far"


def test_who_was_asked_from_memory_stands_where_they_looked_before(
    evidence: Evidence,
) -> None:
    """The last look counts; what was told from memory took nobody anywhere."""
    assert standing(evidence, {}) == ""
    assert standing(evidence, {"root": "firm", "leaf": "spots"}) == "leaf"
    assert standing(evidence, {"leaf": "spots", "root": None, "weather": "wet"}) == "root"
    assert standing(evidence, {"weather": "wet"}) == ""


def test_a_sign_that_many_cannot_tell_is_worth_less() -> None:
    """Of two signs that tell as much, the one that more people can tell is asked."""
    plain, hard = alike(one="leaf", two="leaf"), alike(one="leaf", two="leaf")
    signs = {**hard.signs, "one": replace(hard.signs["one"], cant_tell=0.5)}
    assert most_telling(plain, {}) == "one"  # equals come in the order of the signs
    assert most_telling(replace(hard, signs=signs), {}) == "two"


def test_the_same_findings_always_lead_to_the_same_look() -> None:
    """Weighed anew, a walk asks the same things in the same order."""
    plant = sensitive_plant(4, causes=20, signs=25)

    def asked() -> list[str]:
        evidence, findings = weigh(plant), dict[str, str | None]()
        while look := next_look(evidence, plant.tree, findings):
            findings[look.sign] = evidence.signs[look.sign].answers[-1]
        return list(findings)

    assert asked() == asked()
    assert len(asked()) > 3
