"""Made-up gardeners: how they are drawn, what they are asked, and where they come to."""

import numpy as np
import pytest

from bedside.measure.asking import (
    any_order,
    arithmetic_alone,
    at_once,
    every_sign,
    finished,
    parents_first,
    senseless,
    tree_alone,
    two_more,
    walked,
)
from bedside.measure.gardeners import (
    Gardeners,
    careful,
    draw_answers,
    draw_gardeners,
    hasty,
    moved,
    strangers,
)
from bedside.measure.scores import by_links, ends, judged, score, stands
from bedside.model.records import Plant
from bedside.reason import scale
from bedside.reason.evidence import Evidence, Findings, misread, weigh
from bedside.reason.next_look import most_telling
from bedside.reason.outcome import outcome
from bedside.reason.ranking import rank
from tests.factories import make_cause, make_sign, make_tree
from tests.made_up_plants import made_up_plant, plant_of, sensitive_plant


def two_causes() -> Plant:
    """One easy look splits two causes; who can't tell comes where the rot leads."""
    causes = (
        make_cause("moth", evidence={"leaf": {"holes": "always"}}),
        make_cause("rot", evidence={"leaf": {"spots": "always"}}),
    )
    tree = make_tree({"leaf": {"holes": "moth", "otherwise": "rot"}})
    return plant_of((make_sign("leaf", ("holes", "spots")),), causes, tree=tree)


def test_a_hasty_gardener_reads_every_sign_at_the_published_mean() -> None:
    """What the hasty say is the table of what is there, misread with .79."""
    evidence = weigh(made_up_plant(2))
    says = hasty(evidence).says
    for place, sign in enumerate(evidence.signs.values()):
        expected = misread(sign.share, 0.79, sign.mistaken).T
        assert says[place, : len(sign.answers)] == pytest.approx(expected)


def test_a_third_of_the_words_are_moved() -> None:
    """Three in ten words move one step, the same ones whenever the seed is the same."""
    plant = made_up_plant(1, causes=30, signs=30)
    tables = [moved(plant, seed).says for seed in (0, 0, 1)]
    assert np.array_equal(tables[0], tables[1])
    assert not np.array_equal(tables[0], tables[2])
    assert not np.array_equal(tables[0], careful(weigh(plant)).says)


def test_strangers_show_what_is_on_the_list_but_not_together() -> None:
    """A made-up trouble has, for each sign, the row of some cause."""
    evidence = weigh(made_up_plant(6))
    own, strange = careful(evidence).says, strangers(evidence, seed=0).says
    for table, rows in zip(strange, own, strict=True):
        known = {tuple(row) for row in rows.T}
        assert {tuple(row) for row in table.T} <= known


def test_gardeners_say_what_their_crowd_says() -> None:
    """Shares of drawn answers, and of "I can't tell", are those of the crowd's table."""
    evidence = weigh(made_up_plant(2))
    crowd = hasty(evidence)
    truth = np.full(40_000, 3)
    said = draw_answers(evidence, crowd, truth, np.random.default_rng(0))
    for place, sign in enumerate(evidence.signs.values()):
        column = said[sign.id]
        assert np.mean(column < 0) == pytest.approx(sign.cant_tell, abs=0.01)
        told = np.bincount(column[column >= 0], minlength=len(sign.answers))
        wanted = crowd.says[place, : len(sign.answers), 3]
        assert told / told.sum() == pytest.approx(wanted, abs=0.015)


def test_both_crowds_are_the_same_gardeners() -> None:
    """Who reads as well in both crowds says the same: they are drawn with the same dice."""
    evidence = weigh(made_up_plant(2))
    one = draw_gardeners(evidence, careful(evidence), 30)
    other = draw_gardeners(evidence, careful(evidence, name="again"), 30)
    assert one.truth.tolist() == sorted(one.truth.tolist())
    assert all(np.array_equal(one.said[sign], other.said[sign]) for sign in one.said)
    hurried = draw_gardeners(evidence, hasty(evidence), 30)
    same = [np.mean(one.said[sign] == hurried.said[sign]) for sign in one.said]
    assert np.mean(same) > 0.8


def test_everybody_told_by_links_is_weighed_by_what_the_crowd_says() -> None:
    """Hasty gardeners come to the wrong end more often; the end says the same to all."""
    plant = two_causes()
    evidence = weigh(plant)
    right = {}
    for crowd in (careful(evidence), hasty(evidence)):
        places = judged(evidence, by_links(evidence, plant.tree, crowd))
        right[crowd.name] = score(places.verdicts, places.at_end * evidence.prior).first
    tell = 1 - scale.CANT_TELL["easy"]
    shown = 0.79 * 0.97 / 0.98 + 0.21 * 0.01 / 0.98
    assert right["hasty"] == pytest.approx(tell * shown + (1 - tell) / 2)
    assert right["careful"] > right["hasty"]


def test_gardeners_arrive_at_the_ends_in_the_same_shares_as_when_drawn() -> None:
    """The exact chances of links agree with 20,000 gardeners sent down them at random."""
    plant = sensitive_plant(3)
    evidence, tree = weigh(plant), plant.tree
    assert len(tree.ends) > 3
    exact = [
        float(stand.reach @ evidence.prior)
        for stand in by_links(evidence, tree, careful(evidence))
    ]
    draw = np.random.default_rng(1)
    drawn = dict.fromkeys(tree.ends, 0)
    for cause in draw.choice(len(evidence.causes), size=20_000, p=evidence.prior):
        node = tree.first
        while node in tree.questions:
            sign = evidence.signs[tree.questions[node].sign]
            row = misread(sign.share, sign.accuracy, sign.mistaken)[cause]
            answer = sign.answers[int(draw.choice(len(row), p=row / row.sum()))]
            tells = draw.random() >= sign.cant_tell
            node = tree.questions[node].after(answer if tells else None)
        drawn[node] += 1
    found = sorted(count / 20_000 for count in drawn.values())
    assert found == pytest.approx(sorted(exact), abs=0.015)


def test_places_are_who_came_by_and_who_stopped_there() -> None:
    """Of two gardeners with one cause and one with another: shares of each, by place."""
    evidence = weigh(two_causes())
    drawn = Gardeners(truth=np.array([0, 0, 1]), said={})
    walks = ({"leaf": "holes"}, {"leaf": None}, {"leaf": "holes"})
    found = {
        tuple(it.findings.items()): (it.ended, it.reach.tolist())
        for it in stands(evidence, drawn, walks)
    }
    assert found == {
        (): (False, [1.0, 1.0]),
        (("leaf", "holes"),): (True, [0.5, 1.0]),
        (("leaf", None),): (True, [0.5, 0.0]),
    }
    assert [it.reach.tolist() for it in ends(evidence, drawn, walks)] == [
        [0.5, 1.0], [0.5, 0.0],
    ]  # fmt: skip


def garden() -> Plant:
    """Two branches: what is asked of one is senseless, or needs what is not there, in the
    other."""
    signs = (
        make_sign("dust", ("rubs", "stays"), not_after=("holes",)),
        make_sign("head", ("black", "brown"), needs={"worm": ("worm-seen",)}),
        make_sign("leaf", ("holes", "spots")),
        make_sign("worm", ("worm-seen", "no-worm"), not_after=("spots",)),
    )
    shown = {
        "moth": {"leaf": "holes", "worm": "worm-seen", "head": "black"},
        "sawfly": {"leaf": "holes", "worm": "worm-seen", "head": "brown"},
        "slug": {"leaf": "holes", "worm": "no-worm"},
        "rust": {"leaf": "spots", "dust": "rubs"},
        "burn": {"leaf": "spots", "dust": "stays"},
    }
    causes = [
        make_cause(name, evidence={sign: {it: "usually"} for sign, it in said.items()})
        for name, said in shown.items()
    ]
    tree = make_tree({"leaf": {"holes": "moth", "otherwise": "rust"}})
    return plant_of(signs, causes, tree=tree)


def told(**said: str | None) -> tuple[Evidence, Gardeners]:
    """One gardener who says this, and "I can't tell" to all else."""
    evidence = weigh(garden())
    columns = {
        sign: np.array([table.answers.index(said[sign]) if said.get(sign) else -1])
        for sign, table in evidence.signs.items()
    }
    return evidence, Gardeners(truth=np.array([0]), said=columns)


MOTH = {"leaf": "holes", "worm": "worm-seen", "head": "black", "dust": "rubs"}


def test_a_walk_asks_the_tree_and_then_what_tells_most() -> None:
    """The tree alone stops at its end; finished, the walk goes on from there."""
    evidence, drawn = told(**MOTH)
    tree = garden().tree
    assert walked(evidence, drawn, tree_alone(evidence, tree)) == ({"leaf": "holes"},)
    (walk,) = walked(evidence, drawn, finished(evidence, tree))
    assert list(walk.items()) == [
        ("leaf", "holes"), ("worm", "worm-seen"), ("head", "black"),
    ]  # fmt: skip


def test_what_was_asked_last_counts_for_what_is_asked_next() -> None:
    """Findings in another order mean standing elsewhere, and so another next look."""
    places = {"bud": "flower", "foot": "root", "high": "leaf", "low": "root"}
    signs = [
        make_sign(it, (f"{it}-a", f"{it}-b"), looked_at=at) for it, at in places.items()
    ]
    causes = [
        make_cause(name, evidence={it: {f"{it}-{x}": "usually"} for it in places})
        for name, x in (("left", "a"), ("right", "b"))
    ]
    plant = plant_of(signs, causes, tree=make_tree({"bud": {"otherwise": "left"}}))
    ask = finished(weigh(plant), plant.tree)
    assert ask({"bud": None, "foot": None}) == "low"
    assert ask({"foot": None, "bud": None}) == "high"


def test_a_walk_can_go_on_from_where_another_ended() -> None:
    """What was said before stays, and nothing of it is asked again."""
    evidence, drawn = told(**MOTH)
    start = ({"leaf": "holes", "worm": None},)
    (walk,) = walked(evidence, drawn, arithmetic_alone(evidence), start)
    assert walk == {"leaf": "holes", "worm": None}
    assert start == ({"leaf": "holes", "worm": None},)


def test_without_a_tree_the_most_telling_look_is_asked_till_sure_or_seven() -> None:
    """The arithmetic alone asks what `most_telling` says, as long as a whole walk."""
    plant = sensitive_plant(2, causes=20, signs=25)
    evidence = weigh(plant)
    drawn = draw_gardeners(evidence, careful(evidence), 2)
    for walk in walked(evidence, drawn, arithmetic_alone(evidence)):
        items = list(walk.items())
        for looks, (sign, _) in enumerate(items):
            assert sign == most_telling(evidence, dict(items[:looks]))
        assert len(walk) <= scale.MOST_LOOKS
        sure = rank(evidence, walk).top_share >= scale.SURE_ENOUGH
        assert len(walk) == scale.MOST_LOOKS or sure or not most_telling(evidence, walk)


def test_a_result_offers_two_more_looks_at_most() -> None:
    """What is asked beyond a walk is what its result offers, one after the other."""
    plant = sensitive_plant(2, causes=20, signs=25)
    evidence = weigh(plant)
    drawn = draw_gardeners(evidence, careful(evidence), 2)
    before = walked(evidence, drawn, finished(evidence, plant.tree))
    after = walked(evidence, drawn, two_more(evidence), before)
    more = 0
    for walk, longer in zip(before, after, strict=True):
        assert list(longer.items())[: len(walk)] == list(walk.items())
        for looks in range(len(walk), len(longer)):
            offer = outcome(evidence, dict(list(longer.items())[:looks])).look
            assert offer is not None
            assert offer.sign == list(longer)[looks]
            more += 1
        assert len(longer) <= scale.MOST_LOOKS + scale.MORE_LOOKS
    assert more > 0


def test_every_look_that_makes_sense_is_asked_after_what_it_needs() -> None:
    """In the order of the signs, but a need first; nothing that is senseless by then."""
    evidence, drawn = told(**MOTH)
    assert parents_first(evidence) == ("dust", "leaf", "worm", "head")
    (walk,) = every_sign(evidence, drawn, ({"leaf": "holes"},))
    assert list(walk.items()) == [
        ("leaf", "holes"), ("worm", "worm-seen"), ("head", "black"),
    ]  # fmt: skip
    evidence, drawn = told(leaf="spots", worm="worm-seen", head="black", dust="rubs")
    (walk,) = every_sign(evidence, drawn, ({"leaf": "spots"},))
    assert walk == {"leaf": "spots", "dust": "rubs"}


def test_all_looks_at_once_keep_to_needs_alone() -> None:
    """Sense or not, all is asked that can be seen."""
    evidence, drawn = told(**MOTH)
    assert at_once(evidence, drawn) == (
        {"dust": "rubs", "leaf": "holes", "worm": "worm-seen", "head": "black"},
    )
    evidence, drawn = told(leaf="spots", worm="no-worm", head="black")
    assert at_once(evidence, drawn) == ({"dust": None, "leaf": "spots", "worm": "no-worm"},)


def test_what_needs_itself_round_a_corner_is_never_asked() -> None:
    """A ring of needs ends no program: its signs are left out."""
    signs = (
        make_sign("one", ("a1", "b1"), needs={"two": ("a2",)}),
        make_sign("two", ("a2", "b2"), needs={"one": ("a1",)}),
        make_sign("leaf", ("holes", "spots")),
    )
    assert parents_first(weigh(plant_of(signs, [make_cause("rust")]))) == ("leaf",)


def test_looks_in_any_order_are_as_many_and_make_sense() -> None:
    """As many for each gardener as in the other walks, drawn the same each time."""
    plant = sensitive_plant(3)
    evidence = weigh(plant)
    drawn = draw_gardeners(evidence, careful(evidence), 5)
    like = walked(evidence, drawn, tree_alone(evidence, plant.tree))
    found = any_order(evidence, drawn, like)
    assert found == any_order(evidence, drawn, like)
    assert [len(walk) for walk in found] == [len(walk) for walk in like]
    assert senseless(evidence, found) == 0
    assert len({tuple(walk) for walk in found}) > len({tuple(walk) for walk in like})
    for who, walk in enumerate(found):
        answers = drawn.answers(evidence, who)
        assert all(answers[sign] == said for sign, said in walk.items())


def test_questions_that_made_no_sense_are_counted() -> None:
    """Asked without its need, or after an answer that made it silly: each counts once."""
    evidence, _ = told()
    walks: tuple[Findings, ...] = (
        {"leaf": "holes", "dust": "rubs", "head": "black"},  # both
        {"dust": "rubs", "leaf": "holes"},  # dust came first
        {"leaf": "holes", "worm": "worm-seen", "head": None},
    )
    assert senseless(evidence, walks) == 2
