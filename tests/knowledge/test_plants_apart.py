"""A site of one plant says no word of another: shared records and templates name none."""

import re
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from bedside import pipeline
from bedside.model.records import Knowledge, Plant
from bedside.problems import ERROR
from tests.conftest import ROOT, TOY, read_clean
from tests.shipped import KNOWLEDGE, PLANTS

# What a grower says of herself is hers, and addresses are promised for all her plants.
OF_THE_NURSERY = ("nursery.yaml", "addresses.yaml")
# Where a site may name a plant that it does not have, and why.
MAY_NAME = {
    "assets/letters-": "a letter about another plant is known by that plant's name",
}
MAY_NAME_OF = {
    ("canna", "dahlia"): {
        "causes/dried-root/": "its only trial was made on dahlias, and the page says so",
        "causes/night-chewer/": "a source of the canna's own has the word in its title",
        "about/sources/": "the same source",
    },
}
# Troubles of many plants: shared controls say what they are for and what they do not reach.
ON_ANY_PLANT = {
    "A hungry plant", "Grasshoppers", "Mealybugs", "Root-knot nematodes", "Southern blight",
    "Whitefly", "Wind or hail", "crowded", "grasshopper", "mealybug", "scale",
    "southern-blight", "whitefly",
}  # fmt: skip
# Talk of one plant without its name: what rolls, what is dusted orange, what is pressed.
OF_ONE_PLANT = re.compile(
    r"\brolls?\b|rolled new|whorl|orange (dust|powder)|press (the|each) root|rhizome|tuber|"
    r"near relative|rolled-leaf",
    re.IGNORECASE,
)
# A page that is no pest's own speaks of pests at large.
OF_ONE_PEST = re.compile("caterpillar", re.IGNORECASE)
SAID_TO_ALL = tuple(
    f"site_src/{it}" for it in ("templates", "assets", "handout", "words.json")
) + tuple(f"builder/bedside/commands/{it}" for it in ("patterns", "starter"))
SHARED_FACTS = tuple(
    f"knowledge/{it}" for it in ("controls", "topics", "schema", "words/replies.yaml")
)
TEXT = (".html", ".js", ".json", ".css", ".svg", ".ics", ".txt")


@dataclass(frozen=True, kw_only=True, slots=True)
class Alone:
    """The site of one plant as texts by address, and what its own folder says."""

    plant: str
    texts: dict[str, str]
    folder: str


@pytest.fixture(scope="module", params=PLANTS)
def alone(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Alone:
    """A site made of one plant's folder and of what all plants share."""
    plant, root = str(request.param), tmp_path_factory.mktemp("alone")
    left_out = [it for it in PLANTS if it != plant]
    ignored = shutil.ignore_patterns(*left_out, *OF_THE_NURSERY)
    folder = Path(shutil.copytree(KNOWLEDGE, root / "knowledge", ignore=ignored))
    shutil.copy(TOY / "nursery.yaml", folder)
    # What was made from the same records before need not be made again.
    (root / ".bedside-cache").symlink_to(ROOT / ".bedside-cache")
    built = pipeline.build(root)
    assert [f"{it.file} {it.message}" for it in built.problems if it.level == ERROR] == []
    texts = {it.address: it.html for it in built.pages} | {
        it.address: it.content.decode() for it in built.assets if it.address.endswith(TEXT)
    }
    records = (folder / plant).rglob("*.yaml")
    return Alone(
        plant=plant,
        texts={address: text.lower() for address, text in texts.items()},
        folder="\n".join(it.read_text(encoding="utf-8") for it in records).lower(),
    )


@pytest.fixture(scope="module")
def knowledge() -> Knowledge:
    return read_clean(KNOWLEDGE).knowledge


def names(plant: Plant) -> set[str]:
    """What the plant itself is called."""
    return {plant.id, plant.name, plant.plural, plant.latin, *plant.also_called} - {""}


def own_words(plant: Plant, folder: str) -> set[str]:
    """Ids and names of its causes, but for those that the other plant speaks of too."""
    causes = {word for it in plant.causes.values() for word in (it.id, it.name, it.latin)}
    return {it for it in causes - ON_ANY_PLANT if it and not _found(it, folder)}


def _found(word: str, text: str) -> bool:
    return bool(re.search(rf"(?<![\w-]){re.escape(word.lower())}(?![\w-])", text))


def _pages_with(word: str, site: Alone, other: str) -> Iterator[str]:
    allowed = (*MAY_NAME, *MAY_NAME_OF.get((site.plant, other), ()))
    for address, text in site.texts.items():
        if word.lower() in text and _found(word, text) and not address.startswith(allowed):
            yield f"'{word}' in {address}"


@pytest.mark.slow
def test_no_word_of_another_plant(alone: Alone, knowledge: Knowledge) -> None:
    """Neither its name, nor its causes, nor their ids: on no page, in no file."""
    others = [it for id_, it in knowledge.plants.items() if id_ != alone.plant]
    assert others
    for other in others:
        words = names(other) | own_words(other, alone.folder)
        assert len(words) > len(other.causes)
        assert [
            it for word in sorted(words) for it in _pages_with(word, alone, other.id)
        ] == []


@pytest.mark.slow
def test_what_is_allowed_is_still_there(alone: Alone) -> None:
    """A page is on the list for as long as it needs to be, and no longer."""
    for (plant, other), pages in MAY_NAME_OF.items():
        if plant == alone.plant:
            assert all(_found(other, alone.texts[address]) for address in pages)


def _lines_with(word: re.Pattern[str], *places: str) -> list[str]:
    files = [
        file
        for place in places
        for file in (
            (ROOT / place).rglob("*") if (ROOT / place).is_dir() else [ROOT / place]
        )
        if file.suffix in (".j2", ".js", ".json", ".typ", ".yaml")
    ]
    assert len(files) >= len(places)
    return [
        f"{file.relative_to(ROOT)}: {line.strip()}"
        for file in files
        for line in file.read_text(encoding="utf-8").splitlines()
        if word.search(line)
    ]


def test_what_is_said_of_all_plants_fits_all_of_them() -> None:
    """Shared advice and shared words tell of nothing that one plant alone has."""
    assert _lines_with(OF_ONE_PLANT, *SAID_TO_ALL, *SHARED_FACTS) == []
    assert _lines_with(OF_ONE_PEST, *SAID_TO_ALL) == []
