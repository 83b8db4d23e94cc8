"""Weak places of the knowledge: causes nothing separates, signs that change nothing."""

from collections.abc import Iterable, Sequence
from itertools import combinations

import numpy as np

from builder.model import Tree
from builder.reason.evidence import Evidence, misread
from builder.reason.looks import entropy, gains, open_signs
from builder.reason.ranking import rank
from builder.reason.walks import Stand

# Two causes are apart on a sign if at least a quarter of plants would show another answer.
APART = 0.25
LEAST_GAIN = 0.01  # bits


def unseparated(
    evidence: Evidence, ignore: Iterable[str] = ()
) -> tuple[tuple[str, str], ...]:
    """Pairs of causes that no sign, of which both speak, tells apart."""
    skip = set(ignore)
    apart = np.zeros((len(evidence.causes), len(evidence.causes)), dtype=bool)
    for sign in evidence.signs.values():
        distance = np.abs(sign.share[:, None, :] - sign.share[None, :, :]).sum(axis=2) / 2
        apart |= (distance >= APART) & np.outer(sign.speaks, sign.speaks)
    return tuple(
        (evidence.causes[one], evidence.causes[other])
        for one, other in combinations(range(len(evidence.causes)), 2)
        if not apart[one, other]
        and not skip & {evidence.causes[one], evidence.causes[other]}
    )


def idle_signs(evidence: Evidence, stands: Sequence[Stand]) -> tuple[str, ...]:
    """Signs that would tell less than a hundredth of a bit wherever a walk stands."""
    idle = dict.fromkeys(evidence.signs)
    for stand in stands:
        if not idle:
            break
        may = [sign for sign in open_signs(evidence, stand.findings) if sign in idle]
        bits = gains(evidence, stand.findings) if may else {}
        for sign in may:
            if bits[sign] >= LEAST_GAIN:
                del idle[sign]
    return tuple(idle)


def idle_questions(
    evidence: Evidence, tree: Tree, stands: Sequence[Stand]
) -> tuple[str, ...]:
    """Questions of the tree that tell less than a hundredth of a bit on every way there."""
    idle = dict.fromkeys(tree.questions)
    for stand in stands:
        if stand.node in idle:
            bits = gains(evidence, stand.findings)[tree.questions[stand.node].sign]
            if bits >= LEAST_GAIN:
                del idle[stand.node]
    return tuple(idle)


def easier_looks(
    evidence: Evidence, tree: Tree, stands: Sequence[Stand], crowd: int = 0
) -> tuple[tuple[str, float], ...]:
    """Signs by the bits a walk would gain if half of their misreadings went away.

    The order in which to draw: over all walks of one crowd, weighted with commonness, what
    the questions that ask the sign would tell more.
    """
    gained: dict[str, float] = {}
    for stand in stands:
        if not stand.ended:
            sign = tree.questions[stand.node].sign
            chance = float(stand.reach[crowd] @ evidence.prior)
            gained[sign] = gained.get(sign, 0.0) + chance * _gain(evidence, sign, stand)
    return tuple(sorted(gained.items(), key=lambda item: (-item[1], item[0])))


def _gain(evidence: Evidence, name: str, stand: Stand) -> float:
    sign = evidence.signs[name]
    now = rank(evidence, stand.findings).vector
    reads = (misread(sign.share, a) for a in (sign.accuracy, (1 + sign.accuracy) / 2))
    before, after = (float(entropy(now @ read) - now @ entropy(read)) for read in reads)
    return (after - before) * (1 - sign.cant_tell)
