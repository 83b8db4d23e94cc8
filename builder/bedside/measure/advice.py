"""Advice to those who write the records: causes that nothing separates, signs that change
nothing, and the grower's tree as the arithmetic sees it.

Sense goes before bits: only a look that makes sense for all who come to a place is held
against the question there. Nothing here changes a tree.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from bedside.measure.gardeners import Stand
from bedside.model.records import Tree
from bedside.reason import scale
from bedside.reason.arrival import arrived, coming
from bedside.reason.evidence import Evidence, Findings, Table, misread
from bedside.reason.findings import open_signs
from bedside.reason.next_look import entropy, gains
from bedside.reason.proposal import possible_on, sensible_at, worth_at
from bedside.reason.ranking import SAME, rank

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


@dataclass(frozen=True, kw_only=True, slots=True)
class EndShares:
    """Who comes to an end: the chance to come, and P(cause | came) of what matters."""

    coming: float
    named: Mapping[str, float]  # the causes that the end names
    besides: Mapping[str, float]  # others that are not unlikely there, best first


@dataclass(frozen=True, kw_only=True, slots=True)
class Advice:
    """A place where `sign` would tell more bits than the question that stands there."""

    question: str
    coming: float
    tells: float
    sign: str
    would_tell: float

    @property
    def more(self) -> float:
        """Bits more, over all who ask."""
        return (self.would_tell - self.tells) * self.coming


def end_shares(evidence: Evidence, tree: Tree) -> Mapping[str, EndShares]:
    """Every end of a tree. The chances to come to one sum to 1."""
    places = arrived(evidence, tree)
    found = {}
    for end in tree.ends.values():
        ranking = places[end.id].ranking
        shares = dict(zip(ranking.causes, ranking.shares, strict=True))
        found[end.id] = EndShares(
            coming=coming(evidence, places[end.id]),
            named={cause: shares[cause] for cause in end.shows},
            besides={
                cause: share
                for cause, share in shares.items()
                if share >= scale.SHOWN_AT_END and cause not in end.shows
            },
        )
    return found


def better_looks(evidence: Evidence, tree: Tree) -> tuple[Advice, ...]:
    """Places where another look that makes sense would tell much more, the most first."""
    places = arrived(evidence, tree)
    found = []
    for question in tree.questions.values():
        place = places[question.id]
        worth = worth_at(evidence, place)
        possible = possible_on(evidence, tree, question.path)
        others = sensible_at(evidence, place, possible)
        best = max(others, key=worth.__getitem__, default=question.sign)
        if worth[best] - worth[question.sign] >= scale.TELLS_MORE:
            found.append(
                Advice(
                    question=question.id,
                    coming=coming(evidence, place),
                    tells=worth[question.sign],
                    sign=best,
                    would_tell=worth[best],
                )
            )
    return tuple(sorted(found, key=lambda advice: -round(advice.more, SAME)))
