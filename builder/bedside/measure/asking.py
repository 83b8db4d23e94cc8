"""Ways of asking, tried on the same drawn gardeners: the tree, the arithmetic, and others.

A way of asking only decides what gardeners are asked; what each of them answers was drawn
before (`sampling`). Ways that the site does not take are here to be compared with.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

import numpy as np

from bedside.measure.gardeners import SEED, Gardeners, Walks, in_this_order
from bedside.model.records import Tree
from bedside.reason import scale
from bedside.reason.evidence import Evidence, Findings
from bedside.reason.findings import makes_sense
from bedside.reason.next_look import in_tree, most_telling, next_look
from bedside.reason.outcome import offered_sign
from bedside.reason.ranking import rank

# What to ask next, as a sign; empty for the result.
Ask = Callable[[Findings], str]


def walked(
    evidence: Evidence, gardeners: Gardeners, ask: Ask, start: Sequence[Findings] = ()
) -> Walks:
    """What each gardener has been asked and said in the end; `start` goes on from there."""
    ends = []
    for who in range(len(gardeners.truth)):
        answers = gardeners.answers(evidence, who)
        findings = dict(start[who]) if start else {}
        while sign := ask(findings):
            findings[sign] = answers[sign]
        ends.append(findings)
    return tuple(ends)


def finished(evidence: Evidence, tree: Tree) -> Ask:
    """The tree, finished by arithmetic: what the site asks."""

    def ask(findings: Findings) -> str:
        found = next_look(evidence, tree, findings)
        return found.sign if found else ""

    return _remembered(ask)


def tree_alone(evidence: Evidence, tree: Tree) -> Ask:
    """The tree and nothing after it."""

    def ask(findings: Findings) -> str:
        question = in_tree(evidence, tree, findings)
        return tree.questions[question].sign if question else ""

    return _remembered(ask)


def arithmetic_alone(evidence: Evidence) -> Ask:
    """No tree: always the most telling look, as long as a whole walk."""

    def ask(findings: Findings) -> str:
        enough = len(findings) >= scale.MOST_LOOKS
        sure = rank(evidence, findings).top_share >= scale.SURE_ENOUGH
        return "" if enough or sure else most_telling(evidence, findings)

    return _remembered(ask)


def two_more(evidence: Evidence) -> Ask:
    """The looks that a result still offers."""
    return _remembered(lambda findings: offered_sign(evidence, findings))


def every_sign(evidence: Evidence, gardeners: Gardeners, start: Walks) -> Walks:
    """The walks of `start`, gone on until no look is left that makes sense.

    Without a walk before it, the order of the signs decides which looks make sense: one
    answer misread to begin with would keep most of them away.
    """
    order = parents_first(evidence)
    return tuple(
        _asked_all(evidence, gardeners.answers(evidence, who), order, findings)
        for who, findings in enumerate(start)
    )


def at_once(evidence: Evidence, gardeners: Gardeners) -> Walks:
    """Every sign, whether it makes sense after what was said or not: all there is to know.

    Only what a sign needs must be there, or it could not be seen.
    """
    free = {it.id: replace(it, not_after=frozenset()) for it in evidence.signs.values()}
    nothing: Walks = ({},) * len(gardeners.truth)
    return every_sign(replace(evidence, signs=free), gardeners, nothing)


def any_order(evidence: Evidence, gardeners: Gardeners, like: Walks) -> Walks:
    """As many looks for each gardener as in other walks, in an order drawn for each."""
    draw, signs = np.random.default_rng(SEED), list(evidence.signs)
    return tuple(
        in_this_order(
            evidence,
            gardeners.answers(evidence, who),
            draw.permutation(signs).tolist(),
            len(other),
        )
        for who, other in enumerate(like)
    )


def _asked_all(
    evidence: Evidence, answers: Findings, order: Sequence[str], start: Findings
) -> Findings:
    findings = dict(start)
    for sign in order:
        if makes_sense(evidence, findings, sign):
            findings[sign] = answers[sign]
    return findings


def parents_first(evidence: Evidence) -> tuple[str, ...]:
    """All signs in their order, but each after those that it needs."""
    order: list[str] = []
    left = list(evidence.signs.values())
    while left:
        ready = [sign for sign in left if sign.needs.keys() <= set(order)]
        if not ready:  # what needs itself, round a corner, can never be asked
            break
        order += [sign.id for sign in ready]
        left = [sign for sign in left if sign not in ready]
    return tuple(order)


def senseless(evidence: Evidence, walks: Iterable[Findings]) -> int:
    """How many questions of these walks made no sense after what was said before."""
    count = 0
    for walk in walks:
        said: dict[str, str | None] = {}
        for sign, answer in walk.items():
            count += not makes_sense(evidence, said, sign)
            said[sign] = answer
    return count


def _remembered(ask: Ask) -> Ask:
    # Many gardeners stand where another stood before. The order of what was found counts:
    # it says where somebody looked last.
    known: dict[tuple[tuple[str, str | None], ...], str] = {}

    def again(findings: Findings) -> str:
        place = tuple(findings.items())
        if place not in known:
            known[place] = ask(findings)
        return known[place]

    return again
