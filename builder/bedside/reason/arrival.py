"""What is known of somebody who comes to a place of the tree by its links alone.

A page without scripts knows which links lead to it and no more: the answers on the way that
have a branch of their own, and of the others only that none of those was given. It may
therefore say P(cause | somebody came here), where people who can't tell come along too.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from bedside.model.records import OTHERWISE, End, Question, Tree
from bedside.reason.evidence import Evidence, SignTable, Table
from bedside.reason.ranking import Ranking, rank, ranked


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Arrived:
    """One place: what all who come here have said, and the causes weighed for them."""

    findings: Mapping[str, str]
    asked: tuple[str, ...]  # signs, whatever was answered
    ranking: Ranking
    reach: Table  # causes: the chance to come here with each


def arrived(evidence: Evidence, tree: Tree) -> Mapping[str, Arrived]:
    """Every question and end of a tree."""
    found = {tree.first: everybody(evidence)}
    for question in tree.questions.values():
        here, sign = found[question.id], evidence.signs[question.sign]
        asked = (*here.asked, question.sign)
        for answers, to in led(question, sign):
            known = {**here.findings, **_told(question, answers)}
            reach = here.reach * chance_of(sign, answers)
            found[to] = _arrived(evidence, known, asked, reach)
    return found


def led(
    question: Question, sign: SignTable
) -> tuple[tuple[tuple[str | None, ...], str], ...]:
    """Where a question leads: the answers of each way, None for "I can't tell"."""
    ways: dict[str, list[str | None]] = {}
    for answer in (*sign.answers, None):
        ways.setdefault(question.after(answer), []).append(answer)
    return tuple((tuple(answers), to) for to, answers in ways.items())


def chance_of(sign: SignTable, answers: tuple[str | None, ...]) -> Table:
    """For each cause, the chance that one of these answers is given."""
    columns = [sign.answers.index(answer) for answer in answers if answer is not None]
    told = sign.read[:, columns].sum(axis=1) * (1 - sign.cant_tell)
    return np.asarray(told + (sign.cant_tell if None in answers else 0.0))


def _told(question: Question, answers: tuple[str | None, ...]) -> dict[str, str]:
    (first, *others) = answers
    return {} if others or first is None else {question.sign: first}


def _arrived(
    evidence: Evidence, known: Mapping[str, str], asked: tuple[str, ...], reach: Table
) -> Arrived:
    ranking = ranked(evidence, evidence.prior * reach)
    return Arrived(findings=known, asked=asked, ranking=ranking, reach=reach)


def everybody(evidence: Evidence) -> Arrived:
    """All who ask, before the first question."""
    return _arrived(evidence, {}, (), np.ones(len(evidence.causes)))


def coming(evidence: Evidence, place: Arrived) -> float:
    """The chance (0 to 1) that somebody who asks comes to a place by its links."""
    return float(evidence.prior @ place.reach / evidence.prior.sum())


def weighed_ends(evidence: Evidence, tree: Tree) -> Iterator[tuple[End, Ranking]]:
    """Every end, and the causes weighed for those who come there."""
    places = arrived(evidence, tree)
    for end in tree.ends.values():
        place = places[end.id]
        # Below `otherwise` nobody's answers are all known, so everybody's are weighed.
        open_way = OTHERWISE in end.path[1::2]
        yield end, place.ranking if open_way else rank(evidence, place.findings)
