"""What a place knows of those who come to it by several walks."""

import numpy as np

from builder.assemble import Library
from builder.compile.arrivals import tree_graph
from builder.graph import in_order
from builder.model import Plant
from builder.reason.arrival import arrived
from builder.reason.evidence import weigh
from builder.reason.looks import looks, looks_after
from builder.reason.ranking import rank
from builder.reason.readers import Crowd
from builder.reason.walks import walk


def mossbell(library: Library) -> Plant:
    return library.knowledge.plants["mossbell"]


def test_a_place_weighs_every_walk_that_leads_to_it(toy: Library) -> None:
    """The sum from question to question is the sum over all walks, one by one."""
    plant = mossbell(toy)
    evidence = weigh(plant)
    came: dict[str, list[np.ndarray]] = {}
    for stand in walk(evidence, plant.tree, [Crowd(name="trusted", says=evidence.grid)]):
        came.setdefault(stand.node, []).append(stand.reach[0])
    several = {place: sum(reach) for place, reach in came.items() if len(reach) > 1}
    found = arrived(evidence, plant.tree, in_order(tree_graph(plant.tree)))
    assert found.keys() == several.keys() != set()
    for place, reach in several.items():
        weights = evidence.prior * reach
        assert np.allclose(found[place].ranking.vector, weights / weights.sum(), atol=1e-12)


def test_what_some_were_asked_is_not_offered_again(toy: Library) -> None:
    """Every sign asked on some walk to a place is known as asked there."""
    plant = mossbell(toy)
    evidence = weigh(plant)
    found = arrived(evidence, plant.tree, in_order(tree_graph(plant.tree)))
    for stand in walk(evidence, plant.tree, [Crowd(name="trusted", says=evidence.grid)]):
        if stand.node in found:
            assert set(stand.findings) <= found[stand.node].asked


def test_a_look_after_a_ranking_is_the_look_after_its_findings(toy: Library) -> None:
    """Without partners in a group, a ranking says all that its findings said."""
    plant = mossbell(toy)
    evidence = weigh(plant)
    sign = next(
        sign for sign in evidence.signs.values() if not sign.group and not sign.needs
    )
    findings = {sign.id: sign.answers[0]}
    known = {
        look.sign: look
        for look in looks(evidence, findings)
        if not evidence.signs[look.sign].group
    }
    for look in looks_after(evidence, rank(evidence, findings), known):
        assert abs(look.worth - known[look.sign].worth) < 1e-12
        for ours, theirs in zip(look.answers, known[look.sign].answers, strict=True):
            assert np.allclose(ours.ranking.vector, theirs.ranking.vector, atol=1e-12)
