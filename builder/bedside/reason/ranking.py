"""Bayes' rule over all causes, and over pairs of them: weigh, never rule out.

Two troubles at once: a gardener whose plant has both looks now at the work of one, now at
that of the other. A sign of which both speak is read as the mean of their rows, one of
which only one speaks as that one's. Causes that speak of no sign are in no pair. That model
is judgement.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from bedside.reason import scale
from bedside.reason.evidence import ANYWHERE, Context, Evidence, Findings, Table, frozen

SHOWN_PAIRS = 3
SAME = 12  # decimals: closer shares are equal, and equals keep the order of their ids


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Ranking:
    """Causes, best first, and their shares, which sum to 1 and are never zero."""

    causes: tuple[str, ...]
    shares: tuple[float, ...]
    vector: Table  # the same shares in the order of `Evidence.causes`

    @property
    def top(self) -> str:
        return self.causes[0]

    @property
    def top_share(self) -> float:
        return self.shares[0]

    @property
    def open(self) -> bool:
        """Too unsure to name the first cause."""
        return self.shares[0] < scale.NAMED_FROM

    def share(self, cause: str) -> float:
        return self.shares[self.causes.index(cause)]

    def first(self, count: int) -> tuple[str, ...]:
        return self.causes[:count]


@dataclass(frozen=True, kw_only=True, slots=True)
class FamilyShare:
    """A family of causes, its members best first."""

    id: str
    share: float
    causes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Headline:
    """What may be named: a cause, a family, or (`open`) nothing yet."""

    kind: str
    id: str
    share: float
    within: tuple[str, ...] = ()  # the members of a family, best first


def rank(evidence: Evidence, findings: Findings, context: Context = ANYWHERE) -> Ranking:
    """P(cause | findings). "I can't tell" changes nothing; neither does the order."""
    told = frozenset((sign, said) for sign, said in findings.items() if said is not None)
    return _rank(evidence, told, context)


def start(evidence: Evidence, context: Context = ANYWHERE) -> Table:
    """How common the causes are before anything was found; not normalised."""
    if context.equal:
        return np.ones(len(evidence.causes))
    prior = evidence.prior
    if context.zone or context.season:
        of_zone = evidence.context.get(context.zone, {})
        factor = of_zone.get(context.season, of_zone.get(""))
        prior = prior if factor is None else prior * factor
    return prior * from_words(evidence, context.words) if context.words else prior


def from_words(evidence: Evidence, words: tuple[tuple[str, int], ...]) -> Table:
    """What the words of a letter do to each cause: its tenths against an even share.

    What the named causes leave is spread over the others; tempered, since words that go
    together are counted as if each spoke for itself (judgement).
    """
    tenths = {cause: said for cause, said in words if cause in evidence.causes}
    others = len(evidence.causes) - len(tenths)
    rest = max(10 - sum(tenths.values()), scale.LETTERS["rest"]) / max(others, 1)
    shares = np.array([tenths.get(cause, rest) / 10 for cause in evidence.causes])
    return np.asarray((shares * len(evidence.causes)) ** scale.LETTERS["temper"])


def ranked(evidence: Evidence, weights: Table) -> Ranking:
    """Causes in the order of their weights, which need not sum to 1."""
    vector = frozen(weights / weights.sum())
    order = np.argsort(-np.round(vector, SAME), kind="stable")
    return Ranking(
        causes=tuple(evidence.causes[place] for place in order.tolist()),
        shares=tuple(vector[order].tolist()),
        vector=vector,
    )


def families(evidence: Evidence, ranking: Ranking) -> tuple[FamilyShare, ...]:
    """Families of two or more causes, the likeliest first."""
    shares = _family_shares(evidence, ranking)
    found = [
        FamilyShare(id=name, share=shares[name], causes=_members(evidence, ranking, places))
        for name, places in evidence.families.items()
    ]
    return tuple(sorted(found, key=lambda family: -round(family.share, SAME)))


def _family_shares(evidence: Evidence, ranking: Ranking) -> dict[str, float]:
    return {
        name: float(ranking.vector[list(places)].sum())
        for name, places in evidence.families.items()
    }


def headline(evidence: Evidence, ranking: Ranking) -> Headline:
    """Name the cause when it is likely, else a family that is, else a cause about even."""
    top = ranking.top_share
    if top < scale.LIKELY_FROM and evidence.families:
        shares = _family_shares(evidence, ranking)
        best = max(shares, key=lambda it: round(shares[it], SAME))
        if shares[best] >= max(scale.NAMED_FROM, top + scale.FAMILY_ADDS):
            within = _members(evidence, ranking, evidence.families[best])
            return Headline("family", best, shares[best], within)
    if ranking.open:
        return Headline("open", "", top)
    return Headline("cause", ranking.top, top)


def grouped(
    evidence: Evidence, findings: Findings
) -> dict[str, list[tuple[Table, NDArray[np.bool_]]]]:
    """For each group of answered signs, the chance of each answer under each cause, and
    which causes speak of its sign.

    A sign without a group is a group of its own. Groups are in the order of the signs.
    """
    groups: dict[str, list[tuple[Table, NDArray[np.bool_]]]] = {}
    for name, sign in evidence.signs.items():
        said = findings.get(name)
        if said is not None:
            key = f"group {sign.group}" if sign.group else name
            column = sign.read[:, evidence.answers[said][1]]
            groups.setdefault(key, []).append((column, sign.speaks))
    return groups


def mean_of_group(columns: list[Table]) -> Table:
    """Geometric mean: signs that say the same thing count once."""
    if len(columns) == 1:
        return columns[0]
    return np.asarray(np.prod(columns, axis=0) ** (1 / len(columns)))


@lru_cache(maxsize=1 << 16)
def _rank(
    evidence: Evidence, told: frozenset[tuple[str, str]], context: Context
) -> Ranking:
    weights = start(evidence, context)
    for group in grouped(evidence, dict(told)).values():
        weights = weights * mean_of_group([column for column, _ in group])
        weights = weights / weights.max()  # many small factors must not run out of digits
    return ranked(evidence, weights)


def _members(
    evidence: Evidence, ranking: Ranking, places: tuple[int, ...]
) -> tuple[str, ...]:
    names = {evidence.causes[place] for place in places}
    return tuple(cause for cause in ranking.causes if cause in names)


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
    best = np.argsort(-np.round(shares, SAME), kind="stable")[:SHOWN_PAIRS]
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
    for columns in grouped(evidence, findings).values():
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


def _pair(evidence: Evidence, alone: Table, places: tuple[int, int], share: float) -> Pair:
    one, other = sorted(places, key=lambda place: -round(float(alone[place]), SAME))
    return Pair(causes=(evidence.causes[one], evidence.causes[other]), share=share)
