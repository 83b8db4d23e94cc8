"""Weak places of the knowledge: causes nothing separates, signs that change nothing."""

from collections.abc import Iterable
from itertools import combinations

import numpy as np

from bedside.measure.walks import Stand
from bedside.model.records import Tree
from bedside.reason.arrival import arrived
from bedside.reason.evidence import Evidence, Table, misread
from bedside.reason.findings import Findings
from bedside.reason.information_gain import entropy, gains
from bedside.reason.ranking import rank
from bedside.reason.sense import open_signs

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


def idle_signs(evidence: Evidence, stands: Iterable[Stand]) -> tuple[str, ...]:
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


def idle_questions(evidence: Evidence, tree: Tree) -> tuple[str, ...]:
    """Questions of the tree that tell all who come there less than a hundredth of a bit."""
    come = arrived(evidence, tree)
    return tuple(
        question.id
        for question in tree.questions.values()
        if _bits(come[question.id].ranking.vector, evidence.signs[question.sign].read)
        < LEAST_GAIN
    )


def easier_looks(
    evidence: Evidence, stands: Iterable[Stand]
) -> tuple[tuple[str, float], ...]:
    """Signs by the bits a walk would gain if half of their misreadings went away.

    The order in which to draw: over all walks, weighted with commonness, what each look
    that was taken would tell more.
    """
    gained: dict[str, float] = {}
    for stand in stands:
        if stand.findings:
            *before, (sign, _) = stand.findings.items()
            chance = float(stand.reach @ evidence.prior)
            more = _more_bits(evidence, sign, dict(before))
            gained[sign] = gained.get(sign, 0.0) + chance * more
    return tuple(sorted(gained.items(), key=lambda item: (-item[1], item[0])))


def _more_bits(evidence: Evidence, name: str, before: Findings) -> float:
    sign = evidence.signs[name]
    now = rank(evidence, before).vector
    plain, easier = (
        _bits(now, misread(sign.share, right, sign.mistaken))
        for right in (sign.accuracy, (1 + sign.accuracy) / 2)
    )
    return (easier - plain) * (1 - sign.cant_tell)


def _bits(now: Table, read: Table) -> float:
    return float(entropy(now @ read) - now @ entropy(read))
