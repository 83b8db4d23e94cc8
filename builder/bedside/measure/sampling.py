"""Drawn gardeners: what is wrong with each one's plant, and what each says to every sign.

There are too many walks to follow them all. So gardeners are drawn with a fixed seed, the
same number for each cause, so that any commonness can be laid over the same draws and the
standard error of what comes out can be told.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bedside.measure.readers import Crowd
from bedside.reason.evidence import Evidence, Table
from bedside.reason.findings import Findings

PER_CAUSE = 200
SEED = 1


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Gardeners:
    """The place of each one's cause, and the column of each one's answer to every sign."""

    truth: NDArray[np.int_]
    said: Mapping[str, NDArray[np.int_]]  # -1 for "I can't tell"

    def answers(self, evidence: Evidence, who: int) -> Findings:
        """What one of them says to each sign, if asked."""
        return {
            sign: evidence.signs[sign].answers[column[who]] if column[who] >= 0 else None
            for sign, column in self.said.items()
        }


def draw_gardeners(
    evidence: Evidence, crowd: Crowd, per_cause: int = PER_CAUSE
) -> Gardeners:
    """The same number for each cause; crowds of one size are drawn with the same dice."""
    truth = np.repeat(np.arange(len(evidence.causes)), per_cause)
    said = draw_answers(evidence, crowd, truth, np.random.default_rng(SEED))
    return Gardeners(truth=truth, said=said)


def draw_answers(
    evidence: Evidence, crowd: Crowd, truth: NDArray[np.int_], draw: np.random.Generator
) -> dict[str, NDArray[np.int_]]:
    """For each sign, the column that each gardener answers; -1 for "I can't tell".

    `truth` is the place of each one's cause. Whether anybody is asked is another matter.
    """
    said: dict[str, NDArray[np.int_]] = {}
    for place, sign in enumerate(evidence.signs.values()):
        table = np.cumsum(crowd.says[place, : len(sign.answers)], axis=0)
        dice = draw.random(len(truth))
        column = (dice > table[:, truth] / table[-1, truth]).sum(axis=0)
        tells = draw.random(len(truth)) >= sign.cant_tell
        said[sign.id] = np.where(tells, column, -1)
    return said


def standard_error(share: Table, weights: Table, per_cause: int = PER_CAUSE) -> float:
    """Of a weighted mean of per-cause shares, each from `per_cause` drawn gardeners."""
    part = weights / weights.sum()
    spread = np.maximum(share * (1 - share), 0.0)  # rounding may leave less than nothing
    return float(np.sqrt((part**2 * spread / per_cause).sum()))
