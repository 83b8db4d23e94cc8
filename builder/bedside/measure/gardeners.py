"""Made-up gardeners: what is wrong with each one's plant, and what each says to every sign.

A crowd is a grid signs x answers x causes of what is said, padded with zeros, like
`Evidence.grid`; "I can't tell" comes on top, at each sign's own rate.

There are too many walks to follow them all. So gardeners are drawn with a fixed seed, the
same number for each cause, so that any commonness can be laid over the same draws and the
standard error of what comes out can be told.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from bedside.model.records import FREQUENCIES, Cause, Plant
from bedside.reason import scale
from bedside.reason.evidence import Evidence, Findings, Table, misread, weigh
from bedside.reason.findings import makes_sense

MOVED_SHARE = 0.3
PER_CAUSE = 200
SEED = 1

Walks = tuple[Findings, ...]  # what each gardener was asked and said, in that order


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Crowd:
    """Gardeners who read in one way, one column of `says` a cause."""

    name: str
    says: Table


def careful(evidence: Evidence, name: str = "careful") -> Crowd:
    """Right as often as each sign's ease says."""
    return _crowd(name, evidence, {n: s.accuracy for n, s in evidence.signs.items()})


def hasty(evidence: Evidence) -> Crowd:
    """Right as often as the published mean, whatever the sign."""
    return _crowd("hasty", evidence, dict.fromkeys(evidence.signs, scale.HASTY_ACCURACY))


def as_said(evidence: Evidence, crowd: Crowd) -> Evidence:
    """The same tables, with what this crowd says in place of what we take it to say."""
    signs = {
        sign.id: replace(sign, read=crowd.says[place, : len(sign.answers)].T)
        for place, sign in enumerate(evidence.signs.values())
    }
    return replace(evidence, signs=signs, grid=crowd.says)


def moved(plant: Plant, seed: int) -> Crowd:
    """Careful gardeners in a world where three in ten of our words are one step off."""
    draw = np.random.default_rng(seed)
    causes = {key: _moved_cause(cause, draw) for key, cause in plant.causes.items()}
    return careful(weigh(replace(plant, causes=causes)), name=f"moved-{seed}")


def strangers(evidence: Evidence, seed: int) -> Crowd:
    """Careful gardeners with troubles that are not on the list.

    A made-up trouble shows, sign by sign, what a cause drawn at random from the list shows.
    """
    draw = np.random.default_rng(seed)
    says = careful(evidence).says.copy()
    for table in says:
        table[:] = table[:, draw.integers(0, len(evidence.causes), len(evidence.causes))]
    return Crowd(name="strangers", says=says)


def _crowd(name: str, evidence: Evidence, accuracy: Mapping[str, float]) -> Crowd:
    says = np.zeros_like(evidence.grid)
    for place, (sign, table) in enumerate(evidence.signs.items()):
        said = misread(table.share, accuracy[sign], table.mistaken)
        says[place, : len(table.answers)] = said.T
    return Crowd(name=name, says=says)


def _moved_cause(cause: Cause, draw: np.random.Generator) -> Cause:
    evidence = {
        sign: {answer: _moved_word(word, draw) for answer, word in words.items()}
        for sign, words in cause.evidence.items()
    }
    return replace(cause, evidence=evidence)


def _moved_word(word: str, draw: np.random.Generator) -> str:
    if draw.random() >= MOVED_SHARE:
        return word
    place = FREQUENCIES.index(word)
    step = int(draw.choice([-1, 1]))
    if not 0 <= place + step < len(FREQUENCIES):
        step = -step
    return FREQUENCIES[place + step]


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


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Stand:
    """A place on a walk: what was asked there before, and the causes as weighed there."""

    findings: Findings  # None where nothing is known of the answer
    ended: bool
    shares: Table
    reach: Table  # of the gardeners with each cause, the share that comes by


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


def in_this_order(
    evidence: Evidence, answers: Findings, order: Sequence[str], looks: int
) -> Findings:
    """Ask so many signs, always the first of the order that makes sense by then."""
    findings: dict[str, str | None] = {}
    for _ in range(looks):
        sign = next((it for it in order if makes_sense(evidence, findings, it)), "")
        if not sign:
            break
        findings[sign] = answers.get(sign)
    return findings
