"""Every sign asked, or some in random order: too many ways to follow, so they are drawn.

Drawn with a fixed seed, the same number for each cause, so that any commonness can be laid
over the same draws; the standard error of what comes out can then be told.
"""

import numpy as np
from numpy.typing import NDArray

from builder.reason.evidence import Evidence, SignTable, Table
from builder.reason.readers import Crowd

PER_CAUSE = 200
SEED = 1


def everything_asked(
    evidence: Evidence, crowd: Crowd, per_cause: int = PER_CAUSE
) -> tuple[Table, Table]:
    """Rankings after every sign whose needs were met: (drawn x causes), and whose they are.

    The second table, drawn x causes, is 1 where the cause was the true one.
    """
    count = len(evidence.causes)
    truth = np.repeat(np.arange(count), per_cause)
    said = draw_answers(evidence, crowd, truth, np.random.default_rng(SEED))
    return _weighed(evidence, said, len(truth)), np.eye(count)[truth]


def random_order(
    evidence: Evidence, crowd: Crowd, looks: int, per_cause: int = PER_CAUSE
) -> tuple[Table, Table]:
    """The same if only `looks` signs are asked, drawn from those that can be asked."""
    count = len(evidence.causes)
    truth = np.repeat(np.arange(count), per_cause)
    draw = np.random.default_rng(SEED)
    said = draw_answers(evidence, crowd, truth, draw)
    asked = {sign: np.zeros(len(truth), dtype=bool) for sign in said}
    for _ in range(looks):
        may = np.column_stack([_may_ask(evidence, sign, said, asked) for sign in said])
        pick = np.where(may, draw.random(may.shape), -1.0).argmax(axis=1)
        for place, mask in enumerate(asked.values()):
            mask |= (pick == place) & may[:, place]
    told = {sign: np.where(asked[sign], column, -1) for sign, column in said.items()}
    return _weighed(evidence, told, len(truth)), np.eye(count)[truth]


def _may_ask(
    evidence: Evidence,
    sign: str,
    said: dict[str, NDArray[np.int_]],
    asked: dict[str, NDArray[np.bool_]],
) -> NDArray[np.bool_]:
    may = ~asked[sign]
    for needed, answers in evidence.signs[sign].needs.items():
        wanted = [evidence.answers[answer][1] for answer in answers]
        may &= asked[needed] & np.isin(said[needed], wanted)
    return may


def _weighed(evidence: Evidence, said: dict[str, NDArray[np.int_]], drawn: int) -> Table:
    # The shares of the causes after what each drawn gardener said.
    logs = np.log(evidence.prior) + np.zeros((drawn, len(evidence.causes)))
    for members in _groups(evidence):
        logs += _log_mean(evidence, members, said)
    weights = np.exp(logs - logs.max(axis=1, keepdims=True))
    return np.asarray(weights / weights.sum(axis=1, keepdims=True))


def standard_error(share: Table, weights: Table, per_cause: int = PER_CAUSE) -> float:
    """Of a weighted mean of per-cause shares, each from `per_cause` drawn gardeners."""
    part = weights / weights.sum()
    return float(np.sqrt((part**2 * share * (1 - share) / per_cause).sum()))


def draw_answers(
    evidence: Evidence, crowd: Crowd, truth: NDArray[np.int_], draw: np.random.Generator
) -> dict[str, NDArray[np.int_]]:
    """For each sign, the column of the answer each drawn gardener gives.

    `truth` is the place of each one's cause; -1 stands for "I can't tell" or not asked.
    """
    said: dict[str, NDArray[np.int_]] = {}
    places = {name: place for place, name in enumerate(evidence.signs)}
    for sign in _parents_first(evidence):
        table = np.cumsum(crowd.says[places[sign.id], : len(sign.answers)], axis=0)
        dice = draw.random(len(truth))
        column = (dice > table[:, truth] / table[-1, truth]).sum(axis=0)
        asked = draw.random(len(truth)) >= sign.cant_tell
        for needed, answers in sign.needs.items():
            wanted = [evidence.answers[answer][1] for answer in answers]
            asked &= np.isin(said[needed], wanted)
        said[sign.id] = np.where(asked, column, -1)
    return said


def _parents_first(evidence: Evidence) -> list[SignTable]:
    order: list[SignTable] = []
    left = list(evidence.signs.values())
    while left:
        known = {sign.id for sign in order}
        ready = [sign for sign in left if known.issuperset(sign.needs)]
        if (
            not ready
        ):  # needs that go in a circle can never be met: such signs are not asked
            break
        order += ready
        left = [sign for sign in left if sign not in ready]
    return order


def _groups(evidence: Evidence) -> list[list[SignTable]]:
    groups: dict[str, list[SignTable]] = {}
    for sign in _parents_first(evidence):
        key = f"group {sign.group}" if sign.group else sign.id
        groups.setdefault(key, []).append(sign)
    return list(groups.values())


def _log_mean(
    evidence: Evidence, members: list[SignTable], said: dict[str, NDArray[np.int_]]
) -> Table:
    # Mean over those of the group that were answered; zero where none was.
    total = np.zeros((len(said[members[0].id]), len(evidence.causes)))
    answered = np.zeros(len(total))
    for sign in members:
        column = said[sign.id]
        logs = np.vstack([np.log(sign.read.T), np.zeros(len(evidence.causes))])
        total += logs[column]  # -1 is the last row: zeros
        answered += column >= 0
    return np.asarray(total / np.maximum(answered, 1)[:, None])
