"""The page on how sure we are: pictures true to numbers, numbers true to the report."""

import json
import re
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import pytest

from bedside.cache import Kept, Make
from bedside.language.readability import pooled, school_grade, smog_grade
from bedside.measure.quality import measure
from bedside.measure.report import FINISHED, Quality
from bedside.measure.report_text import as_json
from bedside.model.library import Library
from bedside.pages.frame.desk import Site, site
from bedside.pages.how_sure_page import (
    BOTTOM,
    DRAWN,
    LABEL_APART,
    TOP,
    curves,
    dots,
    pages,
    plant_quality,
    reports,
    shared_out,
    spread,
    tens,
)
from bedside.read.theme import read_theme

ROOT = Path(__file__).parents[2]


def desk_of(library: Library) -> Site:
    theme = read_theme(ROOT)
    return site(library, theme)


@pytest.mark.parametrize(
    ("shares", "count", "whole"),
    [
        ((0.735, 0.265, 0.0), 10, (7, 3, 0)),
        ((0.631, 0.368, 0.001), 10, (6, 4, 0)),
        ((0.5, 0.25, 0.25), 10, (5, 3, 2)),
        ((0.7346, 0.2650, 0.0004), 100, (73, 27, 0)),
    ],
)
def test_figures_are_shared_out_by_largest_remainder(
    shares: tuple[float, ...], count: int, whole: tuple[int, ...]
) -> None:
    """Hamilton's method: whole figures that sum to the count, each within one of exact."""
    found = shared_out(shares, count)
    assert found == whole
    assert sum(found) == count


def test_ten_figures_stand_for_all() -> None:
    """Right, wasted and harmful are ten figures together, and a hundred in words."""
    found = tens(0.52, 0.33, 0.15)
    assert (found["right"], found["wasted"], found["harmful"]) == (5, 3, 2)
    assert found["hundred"] == (52, 33, 15)


def test_a_line_stands_where_its_shares_say() -> None:
    """Half of all stands halfway up; more looks stand further right; one value spans."""
    drawn = curves({"tree": [0.0, 0.5, 1.0], "everything": [0.5]})
    tree, ceiling = drawn["lines"]
    xs, ys = zip(*tree["dots"], strict=True)
    assert list(xs) == sorted(set(xs))
    assert ys == (BOTTOM, (TOP + BOTTOM) / 2, TOP)
    (left, height), (right, same) = (
        map(float, point.split(",")) for point in ceiling["points"].split()
    )
    assert (left, right) == (xs[0], xs[-1])
    assert height == same == (TOP + BOTTOM) / 2


def test_names_of_lines_do_not_cover_each_other() -> None:
    """Names that would fall together are moved apart, in the order of their lines."""
    found = spread({"a": 50.0, "b": 52.0, "c": 20.0})
    assert found["c"] == 20
    assert found["b"] - found["a"] >= LABEL_APART


def test_a_mark_on_the_slope_means_that_both_agree() -> None:
    """Shown 6 in 10 and true for .6 lies on the line between 0 and 10."""
    drawn = dots({"hasty": [(6, 0.6, 0.1), (8, 0.9, 0.2)]})
    (_, ((x, y, small), (x2, y2, large))) = drawn["sets"][0]
    (_, x0, y0), (_, x10, y10) = drawn["ticks"][0], drawn["ticks"][-1]
    slope = (y10 - y0) / (x10 - x0)
    assert y == pytest.approx(y0 + slope * (x - x0), abs=0.2)
    assert y2 < y0 + slope * (x2 - x0)  # higher on the sheet: shown too little
    assert small < large


@pytest.fixture(scope="module")
def measured(toy: Library) -> Quality:
    return measure(toy.knowledge.plants["mossbell"], toy.knowledge.controls, DRAWN)


def test_the_report_is_kept_until_a_number_can_change(
    toy: Library, measured: Quality
) -> None:
    """An edit of words measures nothing anew; one that moves the arithmetic does."""
    keys: list[str] = []
    desk = desk_of(toy)
    plant = toy.knowledge.plants["mossbell"]
    made = json.dumps(as_json(measured)).encode()

    class Remembering(Kept):
        def all(self, _: str, keys_: Mapping[str, str], __: Make) -> dict[str, bytes]:
            keys.extend(keys_.values())
            return {"mossbell": made}

    moth, dust = plant.causes["bell-moth"], plant.signs["dust"]
    name, step = next(iter(plant.first_steps.items()))
    causes = [replace(moth, in_short="Other."), replace(moth, common="rare")]
    signs = [replace(dust, question="Other?"), replace(dust, not_after=("holes",))]
    steps = [replace(step, do="Other."), replace(step, asks=("dust",))]
    changed = [
        plant,
        *(replace(plant, causes={**plant.causes, moth.id: it}) for it in causes),
        *(replace(plant, signs={**plant.signs, dust.id: it}) for it in signs),
        *(replace(plant, first_steps={**plant.first_steps, name: it}) for it in steps),
    ]
    for each in changed:
        library = replace(toy, knowledge=replace(toy.knowledge, plants={"mossbell": each}))
        reports(replace(desk, library=library, kept=Remembering()))
    first, words, common, question, silly, does, asks = keys
    assert first == words == question == does
    assert len({first, common, silly, asks}) == 4


@pytest.mark.parametrize(
    ("found", "bound", "at_least", "wanted", "says"),
    [
        (0.8696, 0.87, True, "≥ 0.87", "0.869"),
        (0.4951, 0.5, True, "≥ 0.50", "0.495"),
        (6.6449, 6.6, False, "≤ 6.6", "6.65"),
        (0.0258, 0.025, False, "≤ 0.025", "0.0258"),
        (0.00104, 0.001, False, "≤ 0.001", "0.0011"),
        (7, 7, False, "≤ 7", "7"),
        (0, 0, False, "≤ 0", "0"),
    ],
)
def test_a_goal_that_is_just_missed_looks_so(
    toy: Library, measured: Quality, found: float, bound: float, at_least: bool,
    wanted: str, says: str,
) -> None:  # fmt: skip
    """One more digit than is wanted, and rounded for the worse."""
    report = as_json(measured)
    row = {"id": "any", "reader": "hasty", "found": found, "bound": bound}
    report["goals"] = [{**row, "at_least": at_least, "met": False}]
    view = plant_quality(toy.knowledge.plants["mossbell"], report, None)
    (shown,) = view["goals"]["any"]
    assert (shown["wanted"], shown["says"], shown["met"]) == (wanted, says, False)
    assert view["missed"] == ("any",)


def test_the_page_says_what_the_report_says(toy: Library, measured: Quality) -> None:
    """The shares in words, the goals and the number of cases are those of the report."""
    desk = desk_of(toy)
    (page,) = pages(desk)
    plant = toy.knowledge.plants["mossbell"]
    found = measured
    text = re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", page.html))
    for reader in found.readers:
        way = reader.ways[FINISHED]
        first = round(100 * way.score.first)
        assert f"The right cause stands first for {first}," in text
        assert f"It takes {way.looks:.1f} questions on average" in text
    for name in found.readers[0].ways:
        one, other = (reader.ways[name] for reader in found.readers)
        row = " ".join(
            f"{100 * getattr(one.score, it):.0f} and {100 * getattr(other.score, it):.0f}"
            for it in ("right", "first")
        )
        assert f"{row} {one.looks:.1f} and {other.looks:.1f}" in text, name
    assert f"{found.per_cause} for each trouble" in text
    assert found.cases
    assert f"We took {found.cases.count} cases" in text
    tried = {case.cause for case in plant.cases}
    names = [c.name for c in plant.causes.values() if c.id not in tried]
    untried = re.search(r"We found no case in print for these[^:]*: ([^.]*)\.", text)
    assert untried
    said = untried[1].split("; ")
    assert said
    assert set(said) <= set(names)
    assert len(names) - len(said) <= 1  # what is on no list has no case
    assert "Nothing here was measured on real gardeners" in text
    for cause in plant.causes.values():
        assert f"causes/{cause.id}/" in page.html


def test_what_was_measured_of_one_plant_is_said_of_that_alone(toy: Library) -> None:
    """A plant without the files shows less; figures of another are never lent to it."""
    desk, lent = (
        desk_of(toy),
        {"letters": {"tuning": 2}, "read": "2026-02-03", "figures": {}},
    )
    for plant, shown in (("mossbell", True), ("another", False)):
        theme = replace(desk.theme, letters_read={plant: lent})
        (page,) = pages(replace(desk, theme=theme))
        assert ("2026-02-03" in page.html) is shown


def test_the_page_is_easy_to_read() -> None:
    """Its prose is at grade 8 or below by both formulas (R18), and no paragraph is long."""
    theme = read_theme(ROOT)
    words = theme.words["goals"]
    html = theme.templates["how_sure.html.j2"].split("<h1>", 1)[1]
    html = re.sub(r"<details.*?</details>|<table.*?</table>", "", html, flags=re.DOTALL)
    prose = re.findall(r"<(?:p|li)[^>]*>(.*?)</(?:p|li)>", html, flags=re.DOTALL)
    prose += [goal["why"] for goal in words.values() if goal["why"]]
    plain = [
        re.sub(r"\{\{.*?\}\}", "10", re.sub(r"\{%.*?%\}|<[^>]+>", "", it)) for it in prose
    ]
    counted = pooled(plain)
    assert school_grade(counted) <= 8
    assert smog_grade(counted) <= 8
    assert max(len(it.split()) for it in plain) <= 150


def test_pictures_say_what_they_show(toy: Library) -> None:
    """R15 (WCAG 1.1.1): every picture has words of its own or is hidden from hearing."""
    (page,) = pages(desk_of(toy))
    pictures = re.findall(r"<svg[^>]*>", page.html)
    assert len(pictures) > 5
    for picture in pictures:
        label = re.search(r'aria-label="([^"]*)"', picture)
        assert 'aria-hidden="true"' in picture or (label and len(label[1].split()) >= 5)
