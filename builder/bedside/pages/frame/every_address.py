"""The address of every page, from records alone: no page is made, so a check stays quick.

One function a kind of page, listed in ADDRESSES under the kind's name. `all_pages` lists
what makes the pages of each kind under the same name.
"""

from collections.abc import Callable, Iterator, Mapping

from bedside.model.library import Library
from bedside.model.season import SeasonTables
from bedside.pages.frame.addresses import (
    ABOUT,
    CAUSES,
    CONTROLS,
    DESCRIBE,
    EMERGENCIES,
    GUIDE,
    GUIDE_SHORT,
    HOME,
    HOW_SURE,
    LETTERS,
    LOCAL_HELP,
    MIXING,
    NOT_RECOMMENDED,
    SEASON,
    SOURCES,
    TOPICS,
    cause_address,
    control_address,
    key_address,
    place_address,
    plant_address,
    question_address,
    result_address,
    short_address,
    topic_address,
    zips_address,
)

Addresses = Callable[[Library, SeasonTables | None], Iterator[str]]

# The files of words/ without which no letter is read.
LETTER_WORDS = ("reading", "guesses", "dangers", "plants", "places", "replies")


def has_letters(library: Library) -> bool:
    """Tell whether every file of words that a letter needs is there."""
    return all(library.words(name) for name in LETTER_WORDS)


def _questions(library: Library, _: SeasonTables | None) -> Iterator[str]:
    """Home, each question of a tree, and each sign, which may be asked at any time."""
    yield HOME
    for plant in library.knowledge.plants.values():
        yield plant_address(plant)
        yield from (question_address(plant, it) for it in plant.tree.questions)
        yield from (question_address(plant, it) for it in plant.signs)


def _results(library: Library, _: SeasonTables | None) -> Iterator[str]:
    for plant in library.knowledge.plants.values():
        yield from (result_address(plant, end) for end in plant.tree.ends)
        yield result_address(plant)


def _causes(library: Library, _: SeasonTables | None) -> Iterator[str]:
    for plant in library.knowledge.plants.values():
        yield from map(cause_address, plant.causes)
    yield CAUSES


def _controls(library: Library, _: SeasonTables | None) -> Iterator[str]:
    yield from map(control_address, library.knowledge.controls)
    yield from (CONTROLS, NOT_RECOMMENDED)


def _references(library: Library, _: SeasonTables | None) -> Iterator[str]:
    yield from map(topic_address, library.knowledge.topics.values())
    yield from (TOPICS, LOCAL_HELP, EMERGENCIES, ABOUT, SOURCES)


def _how_sure(_library: Library, _: SeasonTables | None) -> Iterator[str]:
    yield HOW_SURE


def _season(_: Library, season: SeasonTables | None) -> Iterator[str]:
    if season is not None:
        yield SEASON
        yield from map(zips_address, sorted({it.digits[0] for it in season.zips.values()}))
        yield from map(place_address, season.towns)


def _mixing(library: Library, _: SeasonTables | None) -> Iterator[str]:
    if library.season("mixing"):
        yield MIXING


def _short(library: Library, _: SeasonTables | None) -> Iterator[str]:
    for plant in library.knowledge.plants.values():
        yield from (short_address(it) for it in plant.causes.values() if it.short)


def _sheets(_library: Library, _: SeasonTables | None) -> Iterator[str]:
    yield from (GUIDE, f"{GUIDE_SHORT}/")


def _keys(library: Library, _: SeasonTables | None) -> Iterator[str]:
    yield from map(key_address, library.knowledge.plants.values())


def _letters(library: Library, _: SeasonTables | None) -> Iterator[str]:
    plants = tuple(library.knowledge.plants)
    if has_letters(library):
        for first in (LETTERS, DESCRIBE):
            yield first
            yield from (f"{first}{plant}/" for plant in plants if len(plants) > 1)


ADDRESSES: Mapping[str, Addresses] = {
    "questions": _questions,
    "results": _results,
    "causes": _causes,
    "controls": _controls,
    "references": _references,
    "how_sure": _how_sure,
    "season": _season,
    "mixing": _mixing,
    "short": _short,
    "sheets": _sheets,
    "keys": _keys,
    "letters": _letters,
}


def all_addresses(library: Library, season: SeasonTables | None) -> tuple[str, ...]:
    """Every page address of the site that this knowledge makes, each once."""
    every = (it for kind in ADDRESSES.values() for it in kind(library, season))
    return tuple(dict.fromkeys(every))
