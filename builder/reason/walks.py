"""All ways through a tree of questions, each with the chance that a gardener takes it.

Exact: every answer of every question, and "I can't tell", is followed. Where a gardener
stands is the node and what was found; crowds walk the same ways with different chances.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from heapq import heappop, heappush

import numpy as np

from builder.model import End, Question, Tree
from builder.reason.evidence import Evidence, Table
from builder.reason.findings import Findings
from builder.reason.looks import gains, open_signs
from builder.reason.readers import Crowd


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Stand:
    """A place on a walk. `reach` is crowds x causes: the chance to come by here."""

    node: str
    ended: bool
    looks: int
    findings: Findings
    reach: Table


def walk(evidence: Evidence, tree: Tree, crowds: Sequence[Crowd]) -> Iterator[Stand]:
    """Every place of every walk, from the first question on; each place once."""
    says = np.stack(
        [crowd.says for crowd in crowds], axis=2
    )  # signs, answers, crowds, causes
    places = {name: place for place, name in enumerate(evidence.signs)}
    reach = np.ones(says.shape[2:])
    waiting = [Stand(node=tree.first, ended=False, looks=0, findings={}, reach=reach)]
    while waiting:
        stand = waiting.pop()
        yield stand
        if not stand.ended:
            question = tree.questions[stand.node]
            waiting += _onward(evidence, tree, question, stand, says[places[question.sign]])


def most_telling_tree(evidence: Evidence, questions: int, longest: int) -> Tree:
    """The tree that always asks the most telling look, grown where it tells most first.

    It has as many question pages as asked for, and no walk longer than `longest`.
    """
    leaves: list[tuple[float, int, _Leaf]] = []
    grown: dict[str, Question] = {}
    count = 0
    root = _leaf(evidence, {}, evidence.prior)
    heappush(leaves, (-root.value, count, root))
    ids = {0: "n0"}
    while leaves and len(grown) < questions:
        _, place, leaf = heappop(leaves)
        if not leaf.sign or len(leaf.findings) >= longest:
            continue
        ways: dict[str, str] = {}
        for said, reach in _outcomes(evidence, leaf):
            count += 1
            ids[count] = f"n{count}"
            ways[said or ""] = ids[count]
            child = _leaf(evidence, {**leaf.findings, leaf.sign: said}, reach)
            heappush(leaves, (-child.value, count, child))
        cant_tell = ways.pop("")
        name = ids[place]
        grown[name] = Question(id=name, sign=leaf.sign, ways=ways, cant_tell=cant_tell)
    ends = {name: End(id=name, shows=()) for name in ids.values() if name not in grown}
    return Tree(file="", first="n0", questions=grown, ends=ends)


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class _Leaf:
    findings: Mapping[str, str | None]
    reach: Table  # causes: the chance that this cause is there and the walk comes here
    sign: str  # the most telling look from here; empty if none is left
    value: float  # its worth in bits, times the chance to come here


def _leaf(evidence: Evidence, findings: Mapping[str, str | None], reach: Table) -> _Leaf:
    bits = gains(evidence, findings)
    worth = {
        sign: bits[sign] * (1 - evidence.signs[sign].cant_tell)
        for sign in open_signs(evidence, findings)
    }
    sign = max(worth, key=worth.__getitem__, default="")
    value = worth[sign] * float(reach.sum()) if sign else 0.0
    return _Leaf(findings=findings, reach=reach, sign=sign, value=value)


def _outcomes(evidence: Evidence, leaf: _Leaf) -> Iterator[tuple[str | None, Table]]:
    sign = evidence.signs[leaf.sign]
    for column, answer in enumerate(sign.answers):
        yield answer, leaf.reach * sign.read[:, column] * (1 - sign.cant_tell)
    yield None, leaf.reach * sign.cant_tell


def _onward(
    evidence: Evidence, tree: Tree, question: Question, stand: Stand, says: Table
) -> Iterator[Stand]:
    sign = evidence.signs[question.sign]
    ways: list[tuple[str | None, str, Table]] = [
        (answer, question.ways[answer], says[column] * (1 - sign.cant_tell))
        for column, answer in enumerate(sign.answers)
    ]
    ways.append((None, question.cant_tell, np.array(sign.cant_tell)))
    for said, node, chance in ways:
        yield Stand(
            node=node,
            ended=node in tree.ends,
            looks=stand.looks + 1,
            findings={**stand.findings, question.sign: said},
            reach=stand.reach * chance,
        )
