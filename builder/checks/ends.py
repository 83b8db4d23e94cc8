"""The tree against the arithmetic: an end shows what its answers make most likely.

Straight walks only, those without "I can't tell": they are what a careful reader does.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from builder.checks.material import Fault, Faults, Material
from builder.checks.tree import MOST_QUESTIONS
from builder.graph import Walk, walks
from builder.model import Plant
from builder.problems import WARNING
from builder.reason.evidence import Evidence, weigh
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


@dataclass(frozen=True, kw_only=True, slots=True)
class Arrival:
    """One straight walk to an end, as findings."""

    end: str
    findings: dict[str, str]

    @property
    def link(self) -> str:
        """Write the answers as they stand in a link."""
        return ".".join(self.findings.values())


@dataclass(frozen=True, kw_only=True, slots=True)
class Untold:
    """A sign that nobody asked on the way to an end, and what it is worth in bits."""

    sign: str
    bits: float
    arrival: Arrival


def wrong_end(material: Material) -> Faults:
    """An end may show what the arithmetic puts first on each straight walk to it."""
    for plant in material.plants:
        evidence = weigh(plant)
        told: set[tuple[str, str]] = set()
        for arrival in _some(tuple(_arrivals(material, plant)), plant):
            shows = plant.tree.ends[arrival.end].shows
            ranking = rank(evidence, arrival.findings)
            if (
                shows
                and ranking.top not in shows
                and (arrival.end, ranking.top) not in told
            ):
                told.add((arrival.end, ranking.top))
                path = ("ends", arrival.end, "shows")
                yield Fault(
                    place=material.library.place(plant.tree.file, *path),
                    message=f"'{ranking.top}' comes first ({ranking.top_share:.2f}) "
                    f"but this end does not show it",
                    hint=f"the answers are {arrival.link}; add it, or mend the evidence",
                )


def stops_too_soon(material: Material) -> Faults:
    """No end stops unsure while a sign that could be asked would still tell much."""
    for plant in material.plants:
        evidence = weigh(plant)
        worst: dict[str, Untold] = {}
        for arrival in _some(tuple(_arrivals(material, plant)), plant):
            untold = _most_telling(evidence, arrival)
            if untold and untold.bits > max(TELLS_MUCH, _bits(worst.get(arrival.end))):
                worst[arrival.end] = untold
        for end, untold in worst.items():
            yield Fault(
                place=material.library.place(plant.tree.file, "ends", end, key=True),
                message=f"'{untold.sign}' would still tell {untold.bits:.2f} bits here",
                hint=f"ask it before this end; the answers are {untold.arrival.link}",
                level=WARNING,
            )


def _arrivals(material: Material, plant: Plant) -> Iterator[Arrival]:
    for walk in walks(material.graphs[plant.id], skips=False):
        if walk:
            yield Arrival(end=walk[-1].to, findings=_findings(plant, walk))


def _some(arrivals: tuple[Arrival, ...], plant: Plant) -> tuple[Arrival, ...]:
    weighed = len(arrivals) * len(plant.signs) * len(plant.causes)
    return arrivals[:: 1 + weighed // MOST_WEIGHED]


def _findings(plant: Plant, walk: Walk) -> dict[str, str]:
    return {plant.tree.questions[way.start].sign: way.label or "" for way in walk}


def _most_telling(evidence: Evidence, arrival: Arrival) -> Untold | None:
    """Find the sign worth most, if the walk is unsure and can take a question more."""
    if len(arrival.findings) >= MOST_QUESTIONS:
        return None
    if rank(evidence, arrival.findings).top_share >= SURE:
        return None
    bits = gains(evidence, arrival.findings)
    worth = {
        sign: bits[sign] * (1 - evidence.signs[sign].cant_tell)
        for sign in open_signs(evidence, arrival.findings)
    }
    if not worth:
        return None
    sign = max(worth, key=lambda name: (worth[name], name))
    return Untold(sign=sign, bits=worth[sign], arrival=arrival)


def _bits(untold: Untold | None) -> float:
    return untold.bits if untold else 0.0
