"""Causes at a place of the tree where several walks meet, weighed by those walks.

What a page built for such a place may say is P(cause | the gardener came here). The chance
to come here is the sum over all walks, skips included. A sign is asked at most once on a
walk, so the sum runs from question to question and never walk by walk.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from builder.model import Tree
from builder.reason.evidence import Evidence, Table
from builder.reason.ranking import Ranking, ranked


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Arrived:
    """The ranking at a place, and the signs that some who come there were asked."""

    ranking: Ranking
    asked: frozenset[str]


def arrived(evidence: Evidence, tree: Tree, order: Iterable[str]) -> Mapping[str, Arrived]:
    """Every place that more than one walk leads to. `order`: each question after all that
    lead to it.
    """
    nobody = np.zeros(len(evidence.causes))
    reach: dict[str, Table] = {tree.first: nobody + 1}
    asked: dict[str, frozenset[str]] = {tree.first: frozenset()}
    walks = {tree.first: 1}
    for place in order:
        if place not in tree.questions:
            continue
        question = tree.questions[place]
        for to, chance in _ways(evidence, tree, place):
            reach[to] = (
                reach.get(to, np.zeros(len(evidence.causes))) + reach[place] * chance
            )
            asked[to] = asked.get(to, frozenset()) | asked[place] | {question.sign}
            walks[to] = walks.get(to, 0) + walks[place]
    return {
        place: Arrived(ranking=ranked(evidence, evidence.prior * reach[place]), asked=signs)
        for place, signs in asked.items()
        if walks[place] > 1
    }


def _ways(evidence: Evidence, tree: Tree, place: str) -> list[tuple[str, Table]]:
    question = tree.questions[place]
    sign = evidence.signs[question.sign]
    said = [
        (question.ways[answer], sign.read[:, column] * (1 - sign.cant_tell))
        for column, answer in enumerate(sign.answers)
    ]
    return [*said, (question.cant_tell, np.full(len(evidence.causes), sign.cant_tell))]
