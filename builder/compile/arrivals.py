"""What is known on arriving at a question or an end, when nobody skipped.

Where several straight walks lead to one place, only what all of them say is known there.
"""

from collections.abc import Mapping

from builder.graph import Graph, Way, in_order
from builder.model import Question, Tree

Known = Mapping[str, str | None]


def tree_graph(tree: Tree) -> Graph:
    """The tree as a graph: a way's label is the answer, none for "I can't tell"."""
    ways = {node: _ways(question) for node, question in tree.questions.items()}
    return Graph(first=tree.first, ways=ways)


def arrivals(tree: Tree) -> dict[str, Known]:
    """Each place of the tree and the findings that every straight walk to it shares.

    A place that only skips lead to gets what those walks share, the skips as None.
    """
    graph = tree_graph(tree)
    known: dict[str, Known] = {tree.first: {}}
    skipped: dict[str, Known] = {}
    for place in in_order(graph):
        here = known.setdefault(place, skipped.get(place, {}))
        for way in graph.leaving(place):
            found = {**here, tree.questions[place].sign: way.label}
            into = skipped if way.label is None else known
            into[way.to] = _shared(into[way.to], found) if way.to in into else found
    return known


def _ways(question: Question) -> tuple[Way, ...]:
    named = ((answer, to) for answer, to in question.ways.items())
    return tuple(
        Way(start=question.id, label=label, to=to)
        for label, to in (*named, (None, question.cant_tell))
    )


def _shared(one: Known, other: Known) -> dict[str, str | None]:
    return {sign: said for sign, said in one.items() if (sign, said) in other.items()}
