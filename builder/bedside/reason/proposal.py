"""A short tree of questions for a plant whose grower has not written one.

Each place asks the look with the most worth there: bits x who can tell x how near it is.
The way on which most is to be gained is asked on first, until little is left to gain or the
outline is as long as one reads at a glance. Sense goes before bits: only looks that make
sense for all who come to a place are asked there.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import accumulate
from typing import Any

from bedside.model.library import Library
from bedside.model.outline import Path, tree_of
from bedside.model.records import OTHERWISE, Plant, Tree
from bedside.reason import scale
from bedside.reason.arrival import (
    Arrived,
    arrived,
    chance_of,
    coming,
    everybody,
    weighed_ends,
)
from bedside.reason.evidence import Evidence, Findings, weigh
from bedside.reason.findings import makes_sense
from bedside.reason.next_look import bits_told, standing, told_and_near
from bedside.reason.ranking import SAME, Ranking

# So many lines a cause are read at a glance, and no outline has more than the second
# number. An answer that fewer give has no line of its own; a question that brings all who
# ask less than so many bits is left to the arithmetic. Basis: judgement.
LINES_A_CAUSE, MOST_LINES = 5, 180
OWN_LINE = 0.04
LEAST_BITS = 0.02
HALF = 0.5
MOST_SHOWN = 3  # causes that an end names for what is likely there
MOST_AT_AN_END = 4  # with those that no other end names
WIDTH = 100  # of a line that can be read aloud
HEAD = """\
# yaml-language-server: $schema=../{schemas}/tree.schema.json
# Proposed by the arithmetic from what the causes say, and yours from here on: read it
# aloud, and move what you would ask otherwise. A sign, below it its answers, below each the
# next sign, or the cause where the way ends; two to four causes may stay: [one, other].
# `otherwise` stands for every answer that is not named, and for "I can't tell".
"""
NOT_YET = "?"  # stands at an end until its causes are weighed

Way = Any  # as in tree.yaml: a cause, a list of causes, or {sign: {answer: way}}
Gains = dict[Path, tuple[float, str]]  # the bits to gain at a place, and the look


def propose(plant: Plant) -> Way:
    """The outline that the arithmetic would write; the plant's own tree plays no part."""
    evidence = weigh(plant)
    listed = [it.id for it in plant.causes.values() if it.kind != "unlisted"]
    here = everybody(evidence)
    worth = worth_at(evidence, here)
    first = max(sensible_at(evidence, here), key=worth.__getitem__, default="")
    outline = _asking(evidence, here, first or next(iter(evidence.signs)))
    outline = _grown(evidence, outline, min(LINES_A_CAUSE * len(listed), MOST_LINES))
    outline = _weighed(evidence, outline)
    while (shorter := _folded(outline)) != outline:
        outline = _weighed(evidence, shorter)
    return _naming_all(evidence, outline, listed)


def with_trees(library: Library) -> Library:
    """The library, each plant whose grower wrote no tree with the one that is proposed."""
    plants = {
        name: replace(plant, tree=_proposed_tree(plant)) if plant.tree.proposed else plant
        for name, plant in library.knowledge.plants.items()
    }
    return replace(library, knowledge=replace(library.knowledge, plants=plants))


def _proposed_tree(plant: Plant) -> Tree:
    return replace(tree_of(f"{plant.id}/tree.yaml", propose(plant)), proposed=True)


def tree_text(plant: Plant, outline: Way, schemas: str = "schema") -> str:
    """An outline as the text of tree.yaml, each question in words beside its sign."""
    return HEAD.format(schemas=schemas) + "\n".join(_lines(plant, outline, "")) + "\n"


def _lines(plant: Plant, outline: Way, indent: str) -> Iterator[str]:
    ((sign, ways),) = outline.items()
    said = f"{indent}{sign}:  # {plant.signs[sign].question}"
    yield said if len(said) <= WIDTH else f"{indent}{sign}:"
    for answer, to in ways.items():
        if isinstance(to, dict):
            yield f"{indent}  {answer}:"
            yield from _lines(plant, to, indent + "    ")
        else:
            end = to if isinstance(to, str) else f"[{', '.join(to)}]"
            yield f"{indent}  {answer}: {end}"


def _grown(evidence: Evidence, outline: Way, most: int) -> Way:
    gains: Gains = {}
    while True:
        tree = tree_of("", outline)
        places = arrived(evidence, tree)
        for end in tree.ends.values():
            if end.path not in gains:
                possible = possible_on(evidence, tree, end.path)
                gains[end.path] = _gain(evidence, places[end.id], possible)
        path = max((it.path for it in tree.ends.values()), key=lambda it: gains[it][0])
        bits, sign = gains[path]
        if bits < LEAST_BITS:
            return outline
        here = next(places[it.id] for it in tree.ends.values() if it.path == path)
        longer = _with_ends(outline, {path: _asking(evidence, here, sign)})
        if _length(longer) > most:
            return outline
        outline = longer


def _gain(evidence: Evidence, here: Arrived, possible: frozenset[str]) -> tuple[float, str]:
    """What one more look would bring all who ask, in bits, and the look."""
    if len(here.asked) >= scale.MOST_LOOKS or here.ranking.top_share >= scale.SURE_ENOUGH:
        return 0.0, ""
    worth = worth_at(evidence, here)
    sign = max(sensible_at(evidence, here, possible), key=worth.__getitem__, default="")
    return (worth[sign] * coming(evidence, here) if sign else 0.0), sign


def _asking(evidence: Evidence, here: Arrived, sign: str) -> Way:
    """A question with a line for each answer that some give here; the ends are open."""
    table = evidence.signs[sign]
    come = evidence.prior * here.reach
    chances = {
        it: float(come @ chance_of(table, (it,)) / come.sum()) for it in table.answers
    }
    most = max(chances.values())
    ways = [it for it, chance in chances.items() if chance >= min(OWN_LINE, most)]
    return {sign: dict.fromkeys((*ways, OTHERWISE), NOT_YET)}


def _with_ends(to: Way, ends: Mapping[Path, Way], path: Path = ()) -> Way:
    """The same outline with other things at some ends."""
    if not isinstance(to, dict):
        return ends.get(path, to)
    ((sign, ways),) = to.items()
    below = {it: _with_ends(way, ends, (*path, sign, it)) for it, way in ways.items()}
    return {sign: below}


def _weighed(evidence: Evidence, outline: Way) -> Way:
    """The same outline, each end naming what is likely for those who come there."""
    ends = weighed_ends(evidence, tree_of("", outline))
    return _with_ends(outline, {end.path: _shown(ranking) for end, ranking in ends})


def _shown(ranking: Ranking) -> Way:
    # As many as half of those who come there have, so that no end names what few have.
    before = accumulate(ranking.shares, initial=0.0)
    shown = [it for it, share in zip(ranking.causes, before, strict=False) if share < HALF]
    return _one_or_more(shown[:MOST_SHOWN])


def _one_or_more(causes: Sequence[str]) -> Way:
    return causes[0] if len(causes) == 1 else [*causes]


def _causes(end: Way) -> list[str]:
    return [end] if isinstance(end, str) else [*end]


def _folded(outline: Way) -> Way:
    """The same outline without the answers that lead where all the others lead."""
    ((sign, ways),) = outline.items()
    short = {it: _short(way) for it, way in ways.items()}
    rest = short[OTHERWISE]
    kept = {it: way for it, way in short.items() if it == OTHERWISE or not _same(way, rest)}
    return {sign: kept if len(kept) > 1 else dict([*short.items()][:1]) | kept}


def _short(way: Way) -> Way:
    if not isinstance(way, dict):
        return way
    ((sign, ways),) = _folded(way).items()
    same = all(_same(it, ways[OTHERWISE]) for it in ways.values())
    return ways[OTHERWISE] if same else {sign: ways}


def _same(one: Way, other: Way) -> bool:
    if isinstance(one, dict) or isinstance(other, dict):
        return False
    return set(_causes(one)) == set(_causes(other))


def _length(outline: Way) -> int:
    return 1 + sum(
        1 + (_length(way) if isinstance(way, dict) else 0)
        for ways in outline.values()
        for way in ways.values()
    )


def _naming_all(evidence: Evidence, outline: Way, listed: Sequence[str]) -> Way:
    """The same outline, causes that no end names where most who have them come out."""
    tree = tree_of("", outline)
    places = arrived(evidence, tree)
    shown = {end.path: [*end.shows] for end in tree.ends.values()}
    named = {cause for causes in shown.values() for cause in causes}
    for cause in (it for it in listed if it not in named):
        row = evidence.causes.index(cause)
        room = [it for it in tree.ends.values() if len(shown[it.path]) < MOST_AT_AN_END]
        if room:
            best = max(room, key=lambda it: float(places[it.id].reach[row]))
            shown[best.path].append(cause)
    ends = {path: _one_or_more(causes) for path, causes in shown.items()}
    return _with_ends(outline, ends)


def worth_at(evidence: Evidence, place: Arrived) -> dict[str, float]:
    """Of every sign: bits over all who came, for those who can tell, as near as it is."""
    here = standing(evidence, _findings(place))
    bits = bits_told(evidence, place.ranking.vector)
    return {
        sign.id: round(gain * told_and_near(sign, here), SAME)
        for sign, gain in zip(evidence.signs.values(), bits.tolist(), strict=True)
    }


def sensible_at(
    evidence: Evidence, place: Arrived, possible: frozenset[str] = frozenset()
) -> Iterator[str]:
    """Signs that make sense for all who come to a place with `possible` answers."""
    # What says the same as something asked before would tell less than it seems.
    groups = {evidence.signs[sign].group for sign in place.asked} - {""}
    for sign in evidence.signs.values():
        if (
            makes_sense(evidence, _findings(place), sign.id)
            and sign.not_after.isdisjoint(possible)
            and sign.group not in groups
        ):
            yield sign.id


def _findings(place: Arrived) -> Findings:
    return {sign: place.findings.get(sign) for sign in place.asked}


def possible_on(evidence: Evidence, tree: Tree, path: Path) -> frozenset[str]:
    """Every answer that somebody who comes to a place may have given on the way."""
    by_path = {question.path: question for question in tree.questions.values()}
    found: set[str] = set()
    for at in range(0, len(path), 2):
        before, said = by_path[path[:at]], path[at + 1]
        others = [it for it in evidence.signs[before.sign].answers if it not in before.ways]
        found.update(others if said == OTHERWISE else [said])
    return frozenset(found)
