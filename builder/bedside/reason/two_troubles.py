"""Two troubles at once: whether a pair of causes explains the findings better than one.

A gardener whose plant has both looks now at the work of one, now at that of the other: a
sign of which both speak is read as the mean of their rows, one of which only one speaks as
that one's. Causes that speak of no sign are in no pair. The model is judgement.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bedside.reason import scale
from bedside.reason.evidence import ANYWHERE, Context, Evidence, Findings, Table
from bedside.reason.ranking import SAME, start

SHOWN = 3


@dataclass(frozen=True, kw_only=True, slots=True)
class Pair:
    """Two causes, the one that is likelier alone first, and the share of both together."""

    causes: tuple[str, str]
    share: float


@dataclass(frozen=True, kw_only=True, slots=True)
class TwoTroubles:
    """The share (0 to 1) of "two troubles, not one", and the likeliest pairs."""

    share: float
    pairs: tuple[Pair, ...]


def two_troubles(
    evidence: Evidence, findings: Findings, context: Context = ANYWHERE
) -> TwoTroubles:
    """Weigh every pair against every cause; nothing told leaves `scale.TWO_AT_ONCE`."""
    alone, both = _weights(evidence, findings, start(evidence, context))
    total = alone.sum() + both.sum()
    first, second = np.triu_indices(len(alone), k=1)
    shares = both[first, second] / total
    best = np.argsort(-np.round(shares, SAME), kind="stable")[:SHOWN]
    return TwoTroubles(
        share=float(shares.sum()),
        pairs=tuple(
            _pair(evidence, alone, (int(first[i]), int(second[i])), float(shares[i]))
            for i in best
        ),
    )


def _weights(evidence: Evidence, findings: Findings, prior: Table) -> tuple[Table, Table]:
    # Weights of the causes alone, and of the pairs in the upper half of a square.
    alone = prior / prior.sum()
    spoken = np.any([sign.speaks for sign in evidence.signs.values()], axis=0)
    both = np.triu(np.outer(alone * spoken, alone * spoken), k=1)
    both = both / max(both.sum(), np.finfo(float).tiny)
    alone, both = alone * (1 - scale.TWO_AT_ONCE), both * scale.TWO_AT_ONCE
    for columns in _grouped(evidence, findings):
        power = 1 / len(columns)
        for said, speaks in columns:
            alone = alone * said**power
            both = both * _either(said, speaks) ** power
        most = max(alone.max(), both.max())
        alone, both = alone / most, both / most
    return alone, both


def _either(said: Table, speaks: NDArray[np.bool_]) -> Table:
    # Mean of the two, or of the one that speaks; of both where neither does.
    weight = np.where(speaks, 1.0, 0.0)
    total = weight[:, None] + weight[None, :]
    mean = (weight * said)[:, None] + (weight * said)[None, :]
    neither = (said[:, None] + said[None, :]) / 2
    return np.where(total > 0, mean / np.maximum(total, 1), neither)


def _grouped(
    evidence: Evidence, findings: Findings
) -> list[list[tuple[Table, NDArray[np.bool_]]]]:
    groups: dict[str, list[tuple[Table, NDArray[np.bool_]]]] = {}
    for name, sign in evidence.signs.items():
        said = findings.get(name)
        if said is not None:
            column = evidence.answers[said][1]
            key = f"group {sign.group}" if sign.group else name
            groups.setdefault(key, []).append((sign.read[:, column], sign.speaks))
    return list(groups.values())


def _pair(evidence: Evidence, alone: Table, places: tuple[int, int], share: float) -> Pair:
    one, other = sorted(places, key=lambda place: -round(float(alone[place]), SAME))
    return Pair(causes=(evidence.causes[one], evidence.causes[other]), share=share)
