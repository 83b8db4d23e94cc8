"""Made-up gardeners for measuring: what they say when a cause is truly there.

A crowd is a grid signs x answers x causes of what is said, padded with zeros, like
`Evidence.grid`; "I can't tell" comes on top, at each sign's own rate.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from bedside.model.records import FREQUENCIES, Cause, Plant
from bedside.reason import scale
from bedside.reason.evidence import Evidence, Table, misread, weigh

MOVED_SHARE = 0.3


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
