"""What a look is worth: expected information in bits, over causes.

EIG(q) = H(C) - sum over answers x of P(x) H(C | x) (Shannon; Quinlan's gain).
"""

import numpy as np

from bedside.reason.evidence import Evidence, Table
from bedside.reason.findings import ANYWHERE, Context, Findings
from bedside.reason.ranking import grouped, rank

TINY = np.finfo(np.float64).tiny  # keeps 0 log 0 at 0


def entropy(weights: Table) -> Table:
    """Shannon entropy in bits along the last axis; weights need not sum to 1."""
    total = np.maximum(weights.sum(axis=-1), TINY)
    inner = (weights * np.log2(np.maximum(weights, TINY))).sum(axis=-1)
    return np.asarray(np.log2(total) - inner / total)


def gains(
    evidence: Evidence, findings: Findings, context: Context = ANYWHERE
) -> dict[str, float]:
    """Expected gain in bits of every sign, asked or not, given the findings. Never below 0.

    A sign whose group was answered before adds only what the group's mean then moves.
    """
    now = rank(evidence, findings, context).vector
    after = _after(evidence, findings, now)
    chance = evidence.grid @ now
    bits = entropy(now) - (chance * entropy(after)).sum(axis=-1)
    return dict(zip(evidence.signs, np.maximum(bits, 0).tolist(), strict=True))


def _after(evidence: Evidence, findings: Findings, now: Table) -> Table:
    # signs x answers x causes: the weights each answer would leave.
    after = evidence.grid * now
    told = {sign: said for sign, said in findings.items() if said is not None}
    groups = grouped(evidence, told)
    for place, sign in enumerate(evidence.signs.values()):
        partners = groups.get(f"group {sign.group}") if sign.group else None
        if partners:
            product = np.prod(partners, axis=0)
            count = len(partners)
            without = now / product ** (1 / count)
            after[place] = without * (product * evidence.grid[place]) ** (1 / (count + 1))
    return after
