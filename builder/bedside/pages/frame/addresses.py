"""Addresses: every page's promise, and the relative link from one page to another.

An address has no leading slash and ends in one ("causes/rust/"); "" is home; a file keeps
its name ("assets/walk.js"). Links are mailed and printed: addresses are made nowhere else.

ADDRESSES says the address of every page from records alone: no page is made, so a check
stays quick. It has one function a kind of page, under the kind's name; `all_pages` lists
what makes the pages of each kind under the same name.
"""

from collections.abc import Callable, Iterator, Mapping
from itertools import takewhile

from bedside.model.library import Library
from bedside.model.records import Cause, Plant, Topic
from bedside.model.season import SeasonTables

HOME = ""
LOST = "404.html"
CAUSES = "causes/"
CONTROLS = "controls/"
NOT_RECOMMENDED = "controls/not-recommended/"
LOCAL_HELP = "local-help/"
ABOUT = "about/"
HOW_SURE = "about/how-sure/"
SOURCES = "about/sources/"
EMERGENCIES = "emergencies/"
TOPICS = "topics/"
SEASON = "season/"
GUIDE = "guide/"
GUIDE_SHORT = "g"  # the short address that every guide prints
LETTERS = "letters/"
DESCRIBE = "describe/"
MIXING = "mixing/"


def plant_address(plant: Plant) -> str:
    """Where a plant's questions begin."""
    return f"{plant.id}/"


def question_address(plant: Plant, question: str) -> str:
    """A question of the tree, or a sign that it does not ask. The first stands at the
    plant's own address."""
    return f"{plant.id}/" if question == plant.tree.first else f"{plant.id}/{question}/"


def result_address(plant: Plant, end: str = "") -> str:
    """An end's page, or without one the page for any set of findings."""
    return f"{plant.id}/result/{end}/" if end else f"{plant.id}/result/"


def node_address(plant: Plant, node: str) -> str:
    """A question's or an end's page, whichever the id names."""
    if node in plant.tree.ends:
        return result_address(plant, node)
    return question_address(plant, node)


def topic_address(topic: Topic) -> str:
    """A page of advice, where its record says."""
    return topic.address.strip("/") + "/"


def key_address(plant: Plant) -> str:
    """The whole tree on one sheet."""
    return f"{plant.id}/key/"


def cause_address(cause: str) -> str:
    return f"{CAUSES}{cause}/"


def short_address(cause: Cause) -> str:
    """A cause's address for print."""
    return f"c/{cause.short}/"


def control_address(control: str) -> str:
    return f"{CONTROLS}{control}/"


def relative(here: str, there: str, fragment: str = "") -> str:
    """The link from page `here` to `there` that works under any sub-path."""
    mark = f"#{fragment}" if fragment else ""
    if here == there and fragment:
        return mark
    folder = here.rpartition("/")[0]
    path = _way(folder, there)
    # A page's address ends in a slash, a file's does not.
    slash = "/" if there == HOME or there.endswith("/") else ""
    return f"{path}{slash}{mark}"


# Every page asks for some hundred ways: the general `relpath` took a twentieth of a build.
def _way(folder: str, there: str) -> str:
    above, below = (list(filter(None, it.split("/"))) for it in (folder, there))
    pairs = zip(above, below, strict=False)
    same = sum(1 for _ in takewhile(lambda pair: pair[0] == pair[1], pairs))
    return "/".join([".."] * (len(above) - same) + below[same:]) or "."


def file_of(address: str) -> str:
    """The file that a page is written to."""
    return address if address.endswith(".html") else f"{address}index.html"


def place_address(place: str) -> str:
    """Where a place's year stands."""
    return f"{SEASON}{place}/"


def zips_address(digit: str) -> str:
    """Where the ZIP codes with one first digit stand."""
    return f"{SEASON}zip/{digit}/"


def calendar_address(place: str) -> str:
    """Where a place's calendar file stands."""
    return f"{SEASON}{place}/year.ics"


def addresses_about(file: str, library: Library | None) -> tuple[str, ...]:
    """The pages that one file of the knowledge folder is about, where they are known."""
    folder, _, name = file.rpartition("/")
    record = name.rpartition(".")[0]
    plant, _, kind = folder.partition("/")
    if "controls" in (folder, kind):
        return (control_address(record),)
    if kind == "causes":
        return (cause_address(record),)
    found = library.knowledge.plants.get(plant) if library else None
    if kind == "signs":
        asked = found.tree.questions.values() if found else ()
        pages = [question_address(found, it.id) for it in asked if it.sign == record]  # type: ignore[arg-type]
        return (*dict.fromkeys((f"{plant}/{record}/", *pages)),)
    topics = library.knowledge.topics if library else {}
    if "topics" in (folder, kind) and record in topics:
        return (topic_address(topics[record]),)
    return (plant_address(found),) if found and not kind else ()


Addresses = Callable[[Library, SeasonTables | None], Iterator[str]]

# The files of words/ without which no letter is read.
LETTER_WORDS = (
    "reading", "dangers", "kinds", "plants", "places", "replies",
)  # fmt: skip


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


def _references(library: Library, _: SeasonTables | None) -> Iterator[str]:
    for plant in library.knowledge.plants.values():
        yield from map(cause_address, plant.causes)
    yield from map(control_address, library.knowledge.controls)
    yield from map(topic_address, library.knowledge.topics.values())
    yield from (CAUSES, CONTROLS, NOT_RECOMMENDED)
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


def _sheets(library: Library, _: SeasonTables | None) -> Iterator[str]:
    yield from (GUIDE, f"{GUIDE_SHORT}/")
    yield from map(key_address, library.knowledge.plants.values())


def _letters(library: Library, _: SeasonTables | None) -> Iterator[str]:
    plants = tuple(library.knowledge.plants)
    if has_letters(library):
        yield LETTERS
        yield DESCRIBE
        yield from (f"{DESCRIBE}{plant}/" for plant in plants if len(plants) > 1)


ADDRESSES: Mapping[str, Addresses] = {
    "questions": _questions,
    "results": _results,
    "references": _references,
    "how_sure": _how_sure,
    "season": _season,
    "mixing": _mixing,
    "short": _short,
    "sheets": _sheets,
    "letters": _letters,
}


def all_addresses(library: Library, season: SeasonTables | None) -> tuple[str, ...]:
    """Every page address of the site that this knowledge makes, each once."""
    every = (it for kind in ADDRESSES.values() for it in kind(library, season))
    return tuple(dict.fromkeys(every))
