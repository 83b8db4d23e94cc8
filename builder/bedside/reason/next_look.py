"""What to look at next: the grower's tree leads, the arithmetic finishes.

The tree is asked while it has a question that makes sense and is not answered; then the
look with the most worth that is near; until the ranking is sure or enough was asked. Worth
is expected information in bits, over causes: EIG(q) = H(C) - sum over answers x of
P(x) H(C | x) (Shannon; Quinlan's gain). `reason.js` does the same for findings that only a
browser knows.
"""

from dataclasses import dataclass

import numpy as np

from bedside.model.records import MEMORY, Tree
from bedside.reason import scale
from bedside.reason.evidence import ANYWHERE, Context, Evidence, Findings, SignTable, Table
from bedside.reason.findings import makes_sense, open_signs
from bedside.reason.ranking import SAME, grouped, rank

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
    bits = bits_told(evidence, now, _after(evidence, findings, now))
    return dict(zip(evidence.signs, bits.tolist(), strict=True))


def bits_told(evidence: Evidence, now: Table, after: Table | None = None) -> Table:
    """What each sign tells those who stand at `now`. `after` (signs x answers x causes) is
    what each answer would leave, where that is not the plain product."""
    left = evidence.grid * now if after is None else after
    told = ((evidence.grid @ now) * entropy(left)).sum(axis=-1)
    return np.asarray(np.maximum(entropy(now) - told, 0))


def _after(evidence: Evidence, findings: Findings, now: Table) -> Table:
    # signs x answers x causes: the weights each answer would leave.
    after = evidence.grid * now
    groups = grouped(evidence, findings)
    for place, sign in enumerate(evidence.signs.values()):
        partners = groups.get(f"group {sign.group}") if sign.group else None
        if partners:
            product = np.prod([column for column, _ in partners], axis=0)
            count = len(partners)
            without = now / product ** (1 / count)
            after[place] = without * (product * evidence.grid[place]) ** (1 / (count + 1))
    return after


@dataclass(frozen=True, kw_only=True, slots=True)
class Next:
    """A sign to ask about, and the question of the tree that asks it; "" if none does."""

    sign: str
    question: str


def next_look(
    evidence: Evidence, tree: Tree, findings: Findings, context: Context = ANYWHERE
) -> Next | None:
    """What to ask somebody who has found this; nothing when it is time for the result."""
    if len(findings) >= scale.MOST_LOOKS:
        return None
    if rank(evidence, findings, context).top_share >= scale.SURE_ENOUGH:
        return None
    question = in_tree(evidence, tree, findings)
    if question:
        return Next(sign=tree.questions[question].sign, question=question)
    sign = most_telling(evidence, findings, context)
    return Next(sign=sign, question="") if sign else None


def usual_walk(
    evidence: Evidence, tree: Tree, cause: str, start: Findings | None = None
) -> Findings:
    """The walk of a gardener who, from `start` on, says what is likeliest for a cause."""
    findings = dict(start or {})
    row = evidence.causes.index(cause)
    while found := next_look(evidence, tree, findings):
        sign = evidence.signs[found.sign]
        findings[sign.id] = sign.answers[int(sign.read[row].argmax())]
    return findings


def in_tree(evidence: Evidence, tree: Tree, findings: Findings) -> str:
    """The question of the tree that these findings lead to; empty where it has ended."""
    place = tree.first
    while place in tree.questions:
        question = tree.questions[place]
        if makes_sense(evidence, findings, question.sign):
            return place
        place = question.after(findings.get(question.sign))
    return ""


def most_telling(
    evidence: Evidence, findings: Findings, context: Context = ANYWHERE
) -> str:
    """The sign most worth a look, in bits that can be told nearby; empty if none is."""
    bits = gains(evidence, findings, context)
    here = standing(evidence, findings)
    worth = {
        sign: round(bits[sign] * told_and_near(evidence.signs[sign], here), SAME)
        for sign in open_signs(evidence, findings)
    }
    best = max(worth, key=worth.__getitem__, default="")
    return best if best and worth[best] >= scale.LEAST_WORTH else ""


def standing(evidence: Evidence, findings: Findings) -> str:
    """Where somebody looked last; nowhere before the first look."""
    places = (evidence.signs[sign].looked_at for sign in reversed(list(findings)))
    return next((place for place in places if place != MEMORY), "")


def told_and_near(sign: SignTable, here: str) -> float:
    """What part of its bits a look brings to somebody who stands here (0 to 1)."""
    return (1 - sign.cant_tell) * nearness(here, sign.looked_at)


def nearness(here: str, there: str) -> float:
    """What a look there is worth to somebody who stands here (0 to 1)."""
    if there in ("", MEMORY, here) or not here:
        return scale.NEAR
    return scale.BESIDE if frozenset((here, there)) in scale.NEIGHBOURS else scale.FAR
