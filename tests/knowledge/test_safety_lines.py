"""What law and safety ask for beside first aid: lines that stand, whoever writes anew."""

import re
from collections.abc import Iterable

import pytest

from bedside.model.library import Library
from bedside.model.records import Claim


def claims_at(real: Library, address: str) -> tuple[Claim, ...]:
    """All that a topic says."""
    topics = real.knowledge.topics.values()
    topic = next(it for it in topics if it.address == address)
    return tuple(claim for section in topic.sections for claim in section.claims)


def the_line(claims: Iterable[Claim], words: str) -> Claim:
    """The one line that says it."""
    (found,) = (it for it in claims if words in it.say)
    return found


@pytest.mark.parametrize(
    ("address", "words", "also", "source"),
    [
        # What the label must name, by state; what becomes of the pack and of what is left.
        ("/topics/spray-safety/", "New York does ask", "name the pest", "ny-pest"),
        ("/topics/spray-safety/", "left over", "hazardous waste site", "il-57"),
        ("/topics/spray-safety/", "rinse it three times", "into the sprayer", "il-57"),
        ("/topics/spray-safety/", "The rinsed pack", "trash", "il-57"),
        ("/topics/spray-safety/", "Lock it up", "children", "e-epastore"),
        ("/topics/spray-safety/", "drink bottle", "its own pack", "e-epastore"),
        ("/topics/plant-clinic/", "no insects in alcohol", "By post", "usps-52-liquid"),
        # What a nursery must know before it mails a root.
        ("/nursery/", "may pass that rule", "not the only one", "ca3271"),
        ("/nursery/", "reniform nematode", "below ground", "ca3271"),
        ("/nursery/", "both Carolinas", "Puerto Rico", "ca3271"),
        ("/nursery/", "bulbs and corms", "not named", "ca3271"),
        ("/nursery/", "fixed to every box", "certificate", "nc-1211"),
        ("/nursery/", "fire-ant", "rooted plants with soil", "cfr-301-81"),
        ("/nursery/", "Hawaii, Puerto Rico", "can't go by mail", "usps-52-562"),
        ("/nursery/", "South Africa", "New South Wales", "nsw-canna"),
        ("/nursery/dahlias/", "two root worms", "below ground", "ca3271"),
        ("/nursery/dahlias/", "fixed to every box", "certificate", "nc-1211"),
        # What looks like a canna, and what is eaten.
        ("/topics/pets/", "can kill a cat", "daylilies", "fda-lily"),
        ("/topics/pets/", "gloriosa", "Lily of the valley", "fda-lily"),
        ("/topics/pets/", "Shaking, a fit", "do not stop to wash it", "e-npicpet2"),
        ("/topics/dahlia-pets/", "Shaking, a fit", "do not stop to wash it", "e-npicpet2"),
        ("/topics/pets/", "lukewarm", "No such sign", "e-aspcawash"),
        ("/topics/dahlia-pets/", "lukewarm", "No such sign", "e-aspcawash"),
        ("/topics/dahlia-pets/", "can kill a cat", "daylily", "fda-lily"),
        ("/topics/eating-cannas/", "before anyone eats", "Know for sure", "judgement"),
    ],
)  # fmt: skip
def test_a_topic_says_what_can_hurt_or_is_law(
    real: Library, address: str, words: str, also: str, source: str
) -> None:
    """Each with what goes with it, and with where it is from."""
    line = the_line(claims_at(real, address), words)
    assert also in line.say
    assert source in line.sources


def test_no_topic_says_again_what_was_wrong(real: Library) -> None:
    """A pest need not be named everywhere; packs are no hazardous waste once rinsed."""
    said = " ".join(it.say for it in claims_at(real, "/topics/spray-safety/"))
    assert "The pest need not be named" not in said
    assert "Take old packs" not in said


def test_carbaryl_is_not_for_californians_without_a_license(real: Library) -> None:
    """It stands first among its limits, with the letter that says so."""
    first = real.knowledge.controls["carbaryl"].limits[0]
    assert "California" in first.say
    assert "license" in first.say
    assert "ca-carbaryl" in first.sources


def test_both_fungicides_that_harm_fish_and_eyes_say_so(real: Library) -> None:
    """Copper is not the only one; near water and near children the step goes away."""
    control = real.knowledge.controls["rust-fungicide"]
    for active in ("Copper", "Chlorothalonil"):
        line = the_line(control.hurts, active)
        assert "eyes" in line.say
        assert "highly toxic to fish" in line.say
    assert "chlorothalonil" in control.closed_when["in-water"].say
    assert "children" in control.closed_when["children-pets"].say


def test_each_plant_says_to_whom_it_is_poisonous(real: Library) -> None:
    """Children, dogs, cats and horses, each with a source, in plain words."""
    for plant in real.knowledge.plants.values():
        heads = " ".join(
            it.say.split(":")[0].lower() for it in plant.notes["pets"] if ":" in it.say
        )
        assert re.findall(r"children|dogs|cats|horses", heads) == [
            "children", "dogs", "cats", "horses",
        ]  # fmt: skip
        assert all(it.sources for it in plant.notes["pets"])


def test_a_root_is_named_before_it_is_eaten(real: Library) -> None:
    """Whatever plant it is: another root may look like it."""
    for plant in real.knowledge.plants.values():
        assert the_line(plant.notes["eaten"], "can't name for sure").sources


def test_the_extension_list_names_pages_that_were_read(real: Library) -> None:
    """Of two services the public registry had an old address."""
    by_state = {it.state: it for it in real.knowledge.services}
    assert by_state["NM"].url == "https://extension.nmsu.edu/"
    for state in ("NM", "KY"):
        assert "its own page" in by_state[state].basis
