"""How sure we are: the measured quality of each plant, in pictures.

Python says where the marks of a picture go, the template with which pen. All shares are 0
to 1. A picture's sheet is in units of its viewBox, down and to the right.
"""

import json
import math
from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Any

from bedside.cache import digest
from bedside.measure.quality import measure
from bedside.measure.report import EVERY, FINISHED, TREE
from bedside.measure.report_text import as_json
from bedside.model.records import Plant
from bedside.pages.frame.addresses import HOW_SURE
from bedside.pages.frame.desk import Site, SitePage, View, says_of_reference
from bedside.reason.scale import MOST_TENTHS, sureness
from bedside.reason.steps import spray_tiers

SAYS = says_of_reference("how_sure")
FEWEST = 10  # causes shown before the fold
# Gardeners drawn for each cause: enough for the page's whole numbers, and quick enough for
# the first build. `bedside report` draws more.
DRAWN = 40
# Of the pictures, in units of their sheets.
WIDTH, HEIGHT = 320, 190
LEFT, RIGHT, TOP, BOTTOM = 26, 216, 10, 164
LABEL_APART = 15
SIDE = 200
EDGE = 26
LARGEST = 9.0


def pages(site: Site) -> Iterator[SitePage]:
    """The one page."""
    found = reports(site)
    view = {
        "plants": [
            plant_quality(plant, found[id_], site.theme.measured.get(id_))
            | {"letters": site.theme.letters_read.get(id_)}
            for id_, plant in site.knowledge.plants.items()
            if id_ in found
        ],
        "waiting": len(found) < len(site.knowledge.plants),
        "bands": bands(),
        "fewest": FEWEST,
    }
    yield site.reference("how_sure", HOW_SURE, view)


def bands() -> tuple[tuple[str, int, int], ...]:
    """The words of the scale, the surest first, each with its numbers."""
    tenths: dict[str, list[int]] = {}
    for n in range(MOST_TENTHS, -1, -1):
        tenths.setdefault(sureness(n / 10).word, []).append(n)
    return tuple((word, min(found), max(found)) for word, found in tenths.items())


def reports(site: Site) -> Mapping[str, Mapping[str, Any]]:
    """The report of each plant, kept from an earlier build if no number can differ.

    A hasty build has only what was kept: to draw the gardeners takes longer than all pages.
    """
    controls, plants = site.knowledge.controls, site.knowledge.plants
    keys = {id_: digest(_made_from(site, plant)) for id_, plant in plants.items()}

    def make(ids: tuple[str, ...]) -> dict[str, bytes]:
        wanted = () if site.hasty else ids
        reported = {it: as_json(measure(plants[it], controls, DRAWN)) for it in wanted}
        return {it: json.dumps(report).encode() for it, report in reported.items()}

    found = site.kept.all("quality", keys, make)
    return {id_: json.loads(text) for id_, text in found.items()}


def plant_quality(
    plant: Plant, found: Mapping[str, Any], kept: Mapping[str, Any] | None
) -> View:
    """Everything that the page says of one plant; `kept` is what only tests can measure."""
    return {
        "plant": plant,
        "found": found,
        "off": _off(found),
        "readers": [_reader(it) for it in found["readers"]],
        "dots": _dots(found),
        "bars": _bars(plant, found),
        "goals": _goals(found["goals"]),
        "missed": tuple(dict.fromkeys(it["id"] for it in found["goals"] if not it["met"])),
        "kept": kept,
        "no_case": _without_case(plant),
    }


def _without_case(plant: Plant) -> list[str]:
    """The names of the causes for which no case in print was found."""
    found = {case.cause for case in plant.cases}
    return [
        it.name
        for it in plant.causes.values()
        if it.id not in found and it.kind != "unlisted"
    ]


def _reader(found: Mapping[str, Any]) -> View:
    ways = found["ways"]
    ours = ways[FINISHED]["score"]
    lines = {
        EVERY: [ways[EVERY]["score"]["right"]],
        FINISHED: [it["right"] for it in ways[FINISHED]["curve"]],
        TREE: [it["right"] for it in ways[TREE]["curve"]],
    }
    return {
        "id": found["reader"],
        "tens": tens(ours["right"], ours["wasted"], ours["harmful"]),
        "found": found,
        "curves": curves(lines),
    }


def _off(found: Mapping[str, Any]) -> int:
    """Of a hundred: by how much chance alone may move a number."""
    # Two standard errors hold 95 times in 100.
    errors = [
        float(way[error])
        for reader in found["readers"]
        for way in reader["ways"].values()
        for error in ("error_right", "error_first")
    ]
    return math.ceil(round(100 * 2 * max(errors), 1))


def _dots(found: Mapping[str, Any]) -> View:
    # The careful are shown less than is true by design; the hasty can be shown too much.
    sets = {"hasty": found["readers"][1]["ways"][FINISHED]["reliability"]}
    if found["cases"]:
        sets["cases"] = found["cases"]["reliability"]
    return dots(
        {
            name: [(row["tenths"], row["true"], row["gardeners"]) for row in rows]
            for name, rows in sets.items()
        }
    )


def _bars(plant: Plant, found: Mapping[str, Any]) -> list[View]:
    """Right first steps for each cause, of a hundred careful and a hundred hasty."""
    careful, hasty = (
        {it["cause"]: round(100 * it["score"]["right"]) for it in reader["causes"]}
        for reader in found["readers"]
    )
    bars = (
        {
            "id": id_,
            "name": plant.causes[id_].name,
            "careful": careful[id_],
            "hasty": hasty[id_],
        }
        for id_ in careful
    )
    return sorted(bars, key=lambda bar: (bar["careful"], bar["name"]))


def _goals(rows: list[Mapping[str, Any]]) -> dict[str, list[View]]:
    """Each goal, with what came out for each kind of gardener."""
    goals: dict[str, list[View]] = {}
    for row in rows:
        goals.setdefault(row["id"], []).append(_found(row))
    return goals


def _found(row: Mapping[str, Any]) -> View:
    # One more digit than is wanted, rounded for the worse: what just fails looks so.
    digits = len(f"{row['bound']:g}".partition(".")[2])
    if 0 < row["bound"] < 1:
        digits = max(digits, 2)
    more = digits + 1 if digits else 0
    worse = math.floor if row["at_least"] else math.ceil
    shown = worse(round(row["found"] * 10**more, 6)) / 10**more
    return {
        "reader": row["reader"],
        "wanted": f"{'≥' if row['at_least'] else '≤'} {row['bound']:.{digits}f}",
        "says": f"{shown:.{more}f}",
        "met": row["met"],
    }


def _made_from(site: Site, plant: Plant) -> Iterator[bytes]:
    # What the numbers are made from, and no text: an edit of words measures nothing anew.
    tiers = spray_tiers(plant, site.knowledge.controls)
    parts = (
        [
            (it.id, [answer.id for answer in it.all_answers], it.none is None, it.ease,
             it.looked_at, it.group, it.needs, it.not_after)
            for it in plant.signs.values()
        ],
        [
            (it.id, it.kind, it.family, it.common, it.evidence, it.where_when, it.check,
             it.first_step, it.also_right, it.harmed_by, sorted(tiers[it.id]))
            for it in plant.causes.values()
        ],
        [
            (it.id, sorted(it.do_after), it.asks, it.rules_out, it.idle)
            for it in plant.first_steps.values()
        ],
        plant.tree,
        plant.cases,
    )  # fmt: skip
    yield from (repr(part).encode() for part in (plant.id, *parts))


def tens(*shares: float) -> View:
    """Right, wasted and harmful, shared out over ten figures, and over a hundred."""
    right, wasted, harmful = shared_out(shares, 10)
    return {
        "right": right,
        "wasted": wasted,
        "harmful": harmful,
        "hundred": shared_out(shares, 100),
    }


def shared_out(shares: Sequence[float], count: int) -> tuple[int, ...]:
    """Whole numbers that sum to `count`: the largest remainders are rounded up."""
    exact = [share * count / sum(shares) for share in shares]
    whole = [int(each) for each in exact]
    order = sorted(range(len(exact)), key=lambda at: whole[at] - exact[at])
    for at in order[: count - sum(whole)]:
        whole[at] += 1
    return tuple(whole)


def curves(lines: Mapping[str, Sequence[float]]) -> View:
    """Put lines into one picture; a line of one value is drawn all the way across.

    Where a plant has one cause nobody is asked anything, and there is no line.
    """
    lines = {name: values for name, values in lines.items() if values}
    longest = max(map(len, lines.values())) - 1
    labels = spread({name: _y(values[-1]) for name, values in lines.items()})
    return {
        "width": WIDTH,
        "height": HEIGHT,
        "left": LEFT,
        "right": RIGHT,
        "bottom": BOTTOM,
        "looks": [(n, _x(n, longest)) for n in range(longest + 1)],
        "tens": [(n, _y(n / 10)) for n in (0, 5, 10)],  # of ten gardeners
        "lines": [
            {
                "id": name,
                "points": " ".join(f"{x:g},{y:g}" for x, y in _points(values, longest)),
                "dots": _points(values, longest) if len(values) > 1 else (),
                "label": labels[name],
            }
            for name, values in lines.items()
        ],
    }


def spread(ends: Mapping[str, float]) -> dict[str, float]:
    """Move names apart, from the top down, so that none covers another."""
    order = sorted(ends, key=ends.__getitem__)
    found = dict(ends)
    for above, below in pairwise(order):
        found[below] = max(found[below], found[above] + LABEL_APART)
    return {name: round(found[name], 1) for name in ends}


def dots(sets: Mapping[str, Sequence[tuple[int, float, float]]]) -> View:
    """Put rows of (tenths shown, share true, share of gardeners) on a square."""
    return {
        "side": SIDE,
        "edge": EDGE,
        "ticks": [(n, _over(n / 10), _up(n / 10)) for n in range(0, 11, 2)],
        "sets": [(name, [_dot(*row) for row in rows]) for name, rows in sets.items()],
    }


def _dot(tenths: int, true: float, gardeners: float) -> tuple[float, float, float]:
    # The area says how many gardeners are shown this.
    radius = round(LARGEST * math.sqrt(gardeners / 0.25), 1)
    return _over(tenths / 10), _up(true), min(max(radius, 2.5), LARGEST)


def _points(values: Sequence[float], longest: int) -> tuple[tuple[float, float], ...]:
    if len(values) == 1:
        return (_x(0, longest), _y(values[0])), (_x(longest, longest), _y(values[0]))
    return tuple((_x(n, longest), _y(value)) for n, value in enumerate(values))


def _x(looks: int, longest: int) -> float:
    return round(LEFT + 6 + (RIGHT - LEFT - 6) * looks / max(longest, 1), 1)


def _y(share: float) -> float:
    return round(BOTTOM - (BOTTOM - TOP) * share, 1)


def _over(share: float) -> float:
    return round(EDGE + (SIDE - EDGE - 10) * share, 1)


def _up(share: float) -> float:
    return round(SIDE - EDGE - (SIDE - EDGE - 10) * share, 1)
