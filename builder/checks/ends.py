"""The tree against the arithmetic: an end shows what its answers make most likely.

Straight walks only, those without "I can't tell": they are what a careful reader does.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice

from builder.checks.material import Fault, Faults, Material
from builder.checks.tree import MOST_QUESTIONS
from builder.graph import WALK_LIMIT
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


# The commonest walks that bring half of an end's visitors speak for the others.
COVERED = 0.5

Straight = tuple[str, tuple[tuple[str, str], ...], Table]  # end, what was told, weights


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
        for arrival in _arrivals(plant, evidence):
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
        for arrival in _arrivals(plant, evidence):
            if not plant.tree.ends[arrival.end].enough:
                by_end.setdefault(arrival.end, []).append(arrival)
        for end, arrivals in by_end.items():
            bits, sign, at = _still_untold(evidence, arrivals)
            if bits > TELLS_MUCH:
                yield Fault(
                    place=material.library.place(plant.tree.file, "ends", end, key=True),
                    message=f"'{sign}' or the like would still tell {bits:.2f} bits here",
                    hint=f"ask it before this end, or say in 'enough' why not; "
                    f"one set of answers is {at.link}",
                    level=WARNING,
                )


def _arrivals(plant: Plant, evidence: Evidence) -> Iterator[Arrival]:
    every = islice(_straight_walks(plant, evidence), WALK_LIMIT)
    found = tuple(every)
    weighed = len(found) * len(plant.signs) * len(plant.causes)
    for end, told, weights in found[:: 1 + weighed // MOST_WEIGHED]:
        findings = dict(told)
        groups = [evidence.signs[sign].group for sign in findings]
        told_twice = len(set(filter(None, groups))) < len(list(filter(None, groups)))
        if told_twice:
            # Signs of one group count once; how often people come is left as it is.
            weights = weights.sum() * rank(evidence, findings).vector
        yield Arrival(end=end, findings=findings, weights=weights)


def _straight_walks(plant: Plant, evidence: Evidence) -> Iterator[Straight]:
    waiting: list[Straight] = [(plant.tree.first, (), evidence.prior)]
    while waiting:
        place, told, weights = waiting.pop()
        question = plant.tree.questions.get(place)
        if question is None:
            yield place, told, weights
            continue
        sign = evidence.signs[question.sign]
        waiting += [
            (
                question.ways[answer],
                (*told, (sign.id, answer)),
                weights * sign.read[:, column],
            )
            for column, answer in enumerate(sign.answers)
        ]


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
    return total / covered, sign, at


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
