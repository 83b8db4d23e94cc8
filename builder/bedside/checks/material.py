"""What every check reads: the library, and what its texts say.

Made once for a run, so that the checks do not read the same files sixty times. A check
takes this and yields `Fault`s; `bedside.checks.run` makes problems of them under its name.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from bedside.model.library import Document, Library
from bedside.model.library import Path as Steps
from bedside.model.records import Cause, Plant
from bedside.problems import ERROR, Location

# What a text is for, by its kind of file and the key it stands under; the rest is prose.
QUESTION_KEYS = ("question", "where", "says", "cant_tell", "how_to_check")
WAYS_IN = "ways_in"  # links on the first page, read like its answers
STEP_LISTS = ("how", "do", "do_after")  # what stands below these are things to do
LINES_TO_DO = ("do",)
# Keys whose text is an id, a date, an address or a name for machines, and so is not read.
NOT_READ = frozenset((
    "id", "ease", "looked_at", "group", "drawing", "kind", "family", "common", "short",
    "sign", "cause", "first_step", "control", "size_mm", "reviewed", "tier", "active",
    "address", "audience", "second", "zone", "season", "file", "licence", "credit", "latin",
    "words", "about", "from", "passes", "fails", "told_by", "also_right", "harmed_by",
    "asks",
    "rules_out", "needs", "not_after", "evidence", "where_when", "also", "findings",
    "status", "number", "what", "checked", "regions", "unsure", "year", "page", "read_more",
    "photo_guide",
))  # fmt: skip
# Keys of the above under which one kind of file has words for people.
READ_AFTER_ALL = frozenset((("asked", "asks"), ("emergencies", "short")))
READ_KINDS = frozenset((
    "sign", "cause", "control", "control_lines", "topic", "first_steps", "plant", "nursery",
    "emergencies",
    "cases", "season", "year", "insects", "words", "handout", "asked",
))  # fmt: skip
# Pieces of sentences, and words that people write.
UNGRADED_KINDS = ("season", "year", "insects", "words")
WORD_LISTS = ("words/taught.yaml", "words/jargon.yaml")
LOOK = frozenset(("light", "dark", "paper", "email", "site", "country", "home_state"))


@dataclass(frozen=True, kw_only=True, slots=True)
class Fault:
    """One thing a check found, before it has the check's name."""

    place: Location
    message: str
    hint: str = ""
    level: str = ERROR


@dataclass(frozen=True, kw_only=True, slots=True)
class Text:
    """One text that people read. `voice` is question, step, shows, prose or words."""

    document: Document
    path: Steps
    say: str
    voice: str

    @property
    def place(self) -> Location:
        """Find where the text is written."""
        return self.document.place(*self.path)


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Material:
    """The library and its texts. Each is its own, so what is found in it can be kept."""

    library: Library
    texts: tuple[Text, ...]

    @property
    def plants(self) -> tuple[Plant, ...]:
        """List the plants."""
        return tuple(self.library.knowledge.plants.values())

    @property
    def causes(self) -> tuple[Cause, ...]:
        """List the causes of all plants."""
        return tuple(cause for plant in self.plants for cause in plant.causes.values())

    def documents(self, kind: str, plant: str = "") -> tuple[Document, ...]:
        """List the files of one kind; of one plant, or of any."""
        return tuple(
            document
            for document in self.library.documents.values()
            if document.kind == kind and plant in ("", document.plant)
        )


Faults = Iterator[Fault]


def gather(library: Library) -> Material:
    """Read every text once."""
    return Material(
        library=library,
        texts=tuple(
            text
            for document in library.documents.values()
            if document.kind in READ_KINDS and document.file not in WORD_LISTS
            for text in _texts(document, document.data, ())
        ),
    )


def _texts(document: Document, data: Any, path: Steps) -> Iterator[Text]:
    if isinstance(data, dict):
        for key, item in data.items():
            if _is_read(document.kind, key):
                yield from _texts(document, item, (*path, key))
    elif isinstance(data, list):
        for number, item in enumerate(data):
            yield from _texts(document, item, (*path, number))
    elif isinstance(data, str):
        voice = _voice(document.kind, path)
        yield Text(document=document, path=path, say=data, voice=voice)


def _is_read(kind: str, key: str) -> bool:
    if (kind == "nursery" and key in LOOK) or (kind, key) == ("sign", "normal"):
        return False
    return key not in NOT_READ or (kind, key) in READ_AFTER_ALL


def _voice(kind: str, path: Steps) -> str:
    if kind in UNGRADED_KINDS:
        return "words"
    if path[-1] == "shows":
        return "shows"
    if (kind == "sign" or WAYS_IN in path) and path[-1] in QUESTION_KEYS:
        return "question"
    if kind == "asked" or (kind, path[-1]) in READ_AFTER_ALL:
        return "step"
    if path[-1] in LINES_TO_DO or any(step in STEP_LISTS for step in path[:-1]):
        return "step"
    return "prose"
