"""Walks through the real tree, as data: what is seen, and what the end must show."""

from pathlib import Path
from typing import Any

import pytest
import yaml

from bedside.pages.frame.addresses import cause_address
from bedside.pages.frame.desk import PlantDesk, Site
from bedside.pages.walk.result_pages import result_view
from bedside.reason import scale
from bedside.reason.evidence import Findings
from bedside.reason.next_look import next_look
from bedside.reason.outcome import outcome

ROOT = Path(__file__).parents[2]
WALKS: dict[str, Any] = yaml.safe_load(
    (ROOT / "tests/knowledge/walks.yaml").read_text("utf-8")
)


def walked(plant: PlantDesk, sees: list[str]) -> Findings:
    """Answer what is asked from what is seen, and "I can't tell" to all else."""
    said = dict[str, str | None]()
    while asked := next_look(plant.evidence, plant.plant.tree, said):
        answers = plant.evidence.signs[asked.sign].answers
        said[asked.sign] = next((each for each in sees if each in answers), None)
    return said


@pytest.mark.parametrize("name", WALKS)
def test_a_walk_ends_where_its_source_says(made: Site, name: str) -> None:
    """The cause that the source names stands first, and the result names no other."""
    walk, plant = WALKS[name], made.desks["canna"]
    findings = walked(plant, walk["sees"])
    assert len(findings) <= scale.MOST_LOOKS
    found = outcome(plant.evidence, findings)
    assert found.ranking.top in walk["names"], findings
    view = result_view(made, plant, findings)
    assert view.head.cause or view.head.family, findings
    named = {cause_address(it) for it in (found.head.id, *found.head.within)}
    assert named & {cause_address(it) for it in walk["names"]}
    if view.head.cause:
        assert view.whole is not None
        assert view.whole.address in named


def test_every_walk_is_about_things_that_can_be_seen(made: Site) -> None:
    """Each row uses answers, causes and a source that the knowledge has."""
    evidence, sources = made.desks["canna"].evidence, made.knowledge.sources
    for name, walk in WALKS.items():
        assert set(walk["sees"]) <= set(evidence.answers), name
        assert set(walk["names"]) <= set(evidence.causes), name
        assert walk["from"] in sources, name
