"""The tree against the arithmetic: an end shows what its answers make most likely.

Straight walks only, those without "I can't tell": they are what a careful reader does.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from builder.checks.material import Fault, Faults, Material
from builder.checks.tree import MOST_QUESTIONS
from builder.graph import Walk, walks
from builder.model import Plant
from builder.problems import WARNING
from builder.reason.evidence import Evidence, Table, weigh
from builder.reason.looks import gains, open_signs
from builder.reason.ranking import rank

# Bits that a look may still be worth at an end that is not sure: as much as an even yes or
# no that is read right 79 times in 100 (a noisy channel: 1 - entropy of 0.21), which is how
# often people read plants right (Wäldchen and others 2022).
TELLS_MUCH = 0.26
# Walks x signs x causes that are weighed at most: a hundred times what one plant needs. Of
# a plant beyond that every nth walk is looked at, so that checking stays linear in size.
MOST_WEIGHED = 50_000_000
SURE = 0.80  # from here on a walk may stop whatever else could be asked (judgement)


# Walks are taken from the commonest down until they cover this much of an end's visitors;
# the few others count as if no look would tell them anything.
COVERED = 0.95


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Arrival:
    """One straight walk to an end: its findings, and what each cause then weighs."""

    end: str
    findings: dict[str, str]
    weights: Table

    @property
    def link(self) -> str:
        """Write the answers as they stand in a link."""
        return ".".join(self.findings.values())

    @property
    def chance(self) -> float:
        """How often a gardener who skips nothing comes this way."""
        return float(self.weights.sum())


def wrong_end(material: Material) -> Faults:
    """An end may show what the arithmetic puts first on each straight walk to it."""
    for plant in material.plants:
        evidence = weigh(plant)
        told: set[tuple[str, str]] = set()
        for arrival in _arrivals(material, plant, evidence):
            shows = plant.tree.ends[arrival.end].shows
            top = evidence.causes[int(arrival.weights.argmax())]
            if shows and top not in shows and (arrival.end, top) not in told:
                told.add((arrival.end, top))
                share = arrival.weights.max() / arrival.chance
                yield Fault(
                    place=material.library.place(
                        plant.tree.file, "ends", arrival.end, "shows"
                    ),
                    message=f"'{top}' comes first ({share:.2f}) "
                    f"but this end does not show it",
                    hint=f"the answers are {arrival.link}; add it, or mend the evidence",
                )


def stops_too_soon(material: Material) -> Faults:
    """No end stops unsure while signs that could be asked would still tell much."""
    # The mean over all who come to the end: a rare walk has the result's "one more look".
    for plant in material.plants:
        evidence = weigh(plant)
        by_end: dict[str, list[Arrival]] = {}
        for arrival in _arrivals(material, plant, evidence):
            by_end.setdefault(arrival.end, []).append(arrival)
        for end, arrivals in by_end.items():
            bits, sign, at = _still_untold(evidence, arrivals)
            if bits > TELLS_MUCH:
                yield Fault(
                    place=material.library.place(plant.tree.file, "ends", end, key=True),
                    message=f"'{sign}' or the like would still tell {bits:.2f} bits here",
                    hint=f"ask it before this end; one set of answers is {at.link}",
                    level=WARNING,
                )


def _arrivals(material: Material, plant: Plant, evidence: Evidence) -> Iterator[Arrival]:
    found = tuple(walk for walk in walks(material.graphs[plant.id], skips=False) if walk)
    weighed = len(found) * len(plant.signs) * len(plant.causes)
    for walk in found[:: 1 + weighed // MOST_WEIGHED]:
        findings = _findings(plant, walk)
        weights = _weights(evidence, findings)
        yield Arrival(end=walk[-1].to, findings=findings, weights=weights)


def _findings(plant: Plant, walk: Walk) -> dict[str, str]:
    return {plant.tree.questions[way.start].sign: way.label or "" for way in walk}


def _weights(evidence: Evidence, findings: dict[str, str]) -> Table:
    signs = [evidence.signs[sign] for sign in findings]
    groups = [sign.group for sign in signs if sign.group]
    weights = evidence.prior
    for sign, answer in zip(signs, findings.values(), strict=True):
        weights = weights * sign.read[:, sign.answers.index(answer)]
    if len(set(groups)) == len(groups):
        return np.asarray(weights)
    # Signs that say the same thing count once; how often people come is left as it is.
    return np.asarray(weights.sum() * rank(evidence, findings).vector)


def _still_untold(
    evidence: Evidence, arrivals: Sequence[Arrival]
) -> tuple[float, str, Arrival]:
    """The mean worth in bits of the best look at an end, and where it is worth most."""
    everyone = sum(each.chance for each in arrivals)
    total, covered = 0.0, 0.0
    worst, sign, at = 0.0, "", arrivals[0]
    for arrival in sorted(arrivals, key=lambda each: -each.chance):
        if covered >= COVERED * everyone:
            break
        covered += arrival.chance
        name, bits = _most_telling(evidence, arrival)
        total += arrival.chance * bits
        if arrival.chance * bits > worst:
            worst, sign, at = arrival.chance * bits, name, arrival
    return total / everyone, sign, at


def _most_telling(evidence: Evidence, arrival: Arrival) -> tuple[str, float]:
    """The sign worth most in bits; nothing if the walk is sure or can take no more."""
    full = len(arrival.findings) >= MOST_QUESTIONS
    if full or arrival.weights.max() >= SURE * arrival.chance:
        return "", 0.0
    bits = gains(evidence, arrival.findings)
    worth = {
        sign: bits[sign] * (1 - evidence.signs[sign].cant_tell)
        for sign in open_signs(evidence, arrival.findings)
    }
    sign = max(worth, key=lambda name: (worth[name], name), default="")
    return sign, worth.get(sign, 0.0)
