"""The next question: the grower's tree leads, the arithmetic finishes.

The tree is asked while it has a question that makes sense and is not answered; then the
look with the most worth that is near; until the ranking is sure or enough was asked.
`reason.js` does the same for findings that only a browser knows.
"""

from dataclasses import dataclass

from bedside.model.records import MEMORY, Tree
from bedside.reason import scale
from bedside.reason.evidence import Evidence, SignTable
from bedside.reason.findings import ANYWHERE, Context, Findings
from bedside.reason.information_gain import gains
from bedside.reason.ranking import SAME, rank
from bedside.reason.sense import makes_sense, open_signs


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
    return (1 - sign.cant_tell) * scale.nearness(here, sign.looked_at)
