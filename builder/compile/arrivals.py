"""What is known on arriving at a question or an end.

Where several walks lead to one place, only what all of them say is known there, so that no
link claims an answer that somebody who came by it never gave.
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
    """Each place of the tree and what every walk to it shares; skips stand as None."""
    graph = tree_graph(tree)
    known: dict[str, Known] = {tree.first: {}}
    for place in in_order(graph):
        for way in graph.leaving(place):
            found = {**known[place], tree.questions[place].sign: way.label}
            known[way.to] = _shared(known[way.to], found) if way.to in known else found
    return known


def _ways(question: Question) -> tuple[Way, ...]:
    named = ((answer, to) for answer, to in question.ways.items())
    return tuple(
        Way(start=question.id, label=label, to=to)
        for label, to in (*named, (None, question.cant_tell))
    )


def _shared(one: Known, other: Known) -> dict[str, str | None]:
    return {sign: said for sign, said in one.items() if (sign, said) in other.items()}
