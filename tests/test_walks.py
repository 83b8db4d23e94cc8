"""Walks through the real tree, as data: what is seen, and what the end must show."""

from pathlib import Path
from typing import Any

import pytest
import yaml

from builder.assemble import Library
from builder.compile.addresses import cause_address
from builder.compile.result_view import result_view
from builder.compile.site import PlantDesk, Site, site
from builder.compile.templates import templates
from builder.reason.findings import Findings
from builder.reason.ranking import rank
from builder.site_source import read_look

ROOT = Path(__file__).parents[1]
WALKS: dict[str, Any] = yaml.safe_load((ROOT / "tests/walks.yaml").read_text("utf-8"))
MOST_QUESTIONS = 7


@pytest.fixture(scope="module")
def desk(real: Library) -> Site:
    look = read_look(ROOT)
    return site(real, templates(look, real.knowledge.nursery, ()), look.words)


def walked(plant: PlantDesk, sees: list[str]) -> Findings:
    """Answer what is asked from what is seen, and "I can't tell" to all else."""
    tree, said = plant.plant.tree, dict[str, str | None]()
    place = tree.first
    while place in tree.questions:
        question = tree.questions[place]
        answer = next((each for each in sees if each in question.ways), None)
        said[question.sign] = answer
        place = question.ways[answer] if answer else question.cant_tell
    return said


@pytest.mark.parametrize("name", WALKS)
def test_a_walk_ends_where_its_source_says(desk: Site, name: str) -> None:
    """The cause that the source names is named at the end, or stands in its list."""
    walk, plant = WALKS[name], desk.desks["canna"]
    findings = walked(plant, walk["sees"])
    assert len(findings) <= MOST_QUESTIONS
    view = result_view(desk, plant, findings)
    listed = {each.address for each in (*view.within, *view.also)}
    named = {rank(plant.evidence, findings).top} if view.head.cause else set()
    assert any(
        cause in named or cause_address(cause) in listed for cause in walk["names"]
    ), (findings, view.head.name)


def test_every_walk_is_about_things_that_can_be_seen(desk: Site) -> None:
    """Each row uses answers, causes and a source that the knowledge has."""
    evidence, sources = desk.desks["canna"].evidence, desk.knowledge.sources
    for name, walk in WALKS.items():
        assert set(walk["sees"]) <= set(evidence.answers), name
        assert set(walk["names"]) <= set(evidence.causes), name
        assert walk["from"] in sources, name
