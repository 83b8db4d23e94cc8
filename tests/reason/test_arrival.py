"""What a page knows of those who come to it by its links alone."""

from collections.abc import Mapping

import numpy as np
import pytest

from bedside.model.library import Library
from bedside.model.records import OTHERWISE, Plant, Tree
from bedside.pages.frame.desk import PlantDesk, desk
from bedside.reason.arrival import arrived, chance_of, led
from bedside.reason.evidence import Evidence, Table, weigh
from bedside.reason.outcome import outcome_on_arrival
from tests.made_up_plants import made_up_plant, sensitive_plant
from tests.shipped import PLANT


@pytest.fixture(params=["toy", "real", "made up", "made up again"])
def plant(request: pytest.FixtureRequest, toy: Library, real: Library) -> Plant:
    plants = {
        "toy": toy.knowledge.plants["mossbell"],
        "real": real.knowledge.plants[PLANT],
        "made up": made_up_plant(3),
        "made up again": sensitive_plant(4),
    }
    return plants[request.param]


def by_each_walk(evidence: Evidence, tree: Tree) -> Mapping[str, Table]:
    """The chance to come to each place with each cause, walk by walk, answer by answer."""
    reach = {
        place: np.zeros(len(evidence.causes)) for place in (*tree.questions, *tree.ends)
    }
    waiting: list[tuple[str, Table]] = [(tree.first, np.ones(len(evidence.causes)))]
    while waiting:
        place, here = waiting.pop()
        reach[place] += here
        if place in tree.questions:
            question = tree.questions[place]
            sign = evidence.signs[question.sign]
            for answer in (*sign.answers, None):
                share = chance_of(sign, (answer,))
                waiting.append((question.after(answer), here * share))
    return reach


def test_a_place_weighs_every_walk_that_leads_to_it(plant: Plant) -> None:
    """What is summed from question to question is the sum over all walks, one by one."""
    evidence = weigh(plant)
    found = arrived(evidence, plant.tree)
    one_by_one = by_each_walk(evidence, plant.tree)
    assert found.keys() == one_by_one.keys()
    for place, reach in one_by_one.items():
        assert np.allclose(found[place].reach, reach, atol=1e-12)
        weights = evidence.prior * reach
        assert np.allclose(found[place].ranking.vector, weights / weights.sum(), atol=1e-12)
    at_ends = sum(found[end].reach for end in plant.tree.ends)
    assert np.allclose(at_ends, 1.0)  # everybody comes to one end


def test_a_page_knows_the_answers_on_its_way(plant: Plant) -> None:
    """An answer with a line of its own is known; of `otherwise`, only that it was asked."""
    tree = plant.tree
    for place, come in arrived(weigh(plant), tree).items():
        path = (tree.questions.get(place) or tree.ends[place]).path
        way = list(zip(path[0::2], path[1::2], strict=True))
        assert come.asked == tuple(sign for sign, _ in way), place
        assert come.findings == {
            sign: answer for sign, answer in way if answer != OTHERWISE
        }, place


def test_the_ways_of_a_question_share_out_its_answers(plant: Plant) -> None:
    """Each answer, and "I can't tell", leads one way; together they are everybody."""
    evidence = weigh(plant)
    for question in plant.tree.questions.values():
        sign = evidence.signs[question.sign]
        ways = led(question, sign)
        assert sorted(map(str, (it for answers, _ in ways for it in answers))) == sorted(
            map(str, (*sign.answers, None))
        )
        assert np.allclose(sum(chance_of(sign, answers) for answers, _ in ways), 1.0)


def test_what_was_asked_on_the_way_is_not_asked_again(real: Library) -> None:
    """No check and no step of an end asks what its visitors were asked before."""
    made: PlantDesk = desk(real.knowledge.plants[PLANT], real.knowledge.controls_of(PLANT))
    for end in made.plant.tree.ends:
        come = made.arrived[end]
        found = outcome_on_arrival(made.evidence, come)
        assert found.look is None
        if found.check and found.check.state == "open":
            check = made.evidence.checks[found.head.id]
            assert check.sign not in come.asked, end


def test_no_way_rules_a_cause_out(plant: Plant) -> None:
    """One slip must be survivable with scripts off too: every cause may come anywhere."""
    for place, come in arrived(weigh(plant), plant.tree).items():
        assert come.reach.min() > 0, place
        assert come.reach.max() <= 1, place
