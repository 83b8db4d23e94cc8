"""Read a knowledge folder: the one way from a path to records, or to all problems."""

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from bedside.model.library import Document, Library
from bedside.problems import ERROR, Location, Problem, problem_at
from bedside.read.assemble import assemble
from bedside.read.drafts import drafts_of, filled, without
from bedside.read.knowledge_files import read_knowledge, read_schemas
from bedside.read.layout import FORMAT, NEEDED_ONCE, other_format, unread
from bedside.read.plain_text import collector_paused
from bedside.read.schema import check_shape
from bedside.reason.proposal import with_trees


@dataclass(frozen=True, kw_only=True)
class Folder:
    """A knowledge folder as it was read: every document, and what is wrong with reading."""

    documents: tuple[Document, ...]
    problems: tuple[Problem, ...]

    @property
    def files(self) -> int:
        """How many files were read."""
        return len(self._read | self.faulty)

    @cached_property
    def drafts(self) -> frozenset[str]:
        """The files of drafts."""
        return drafts_of(self.documents)

    @cached_property
    def faulty(self) -> frozenset[str]:
        """The files of which a record can't be made."""
        return frozenset(it.file for it in self.problems if it.level == ERROR)

    def published(self) -> tuple[Library | None, tuple[Problem, ...]]:
        """The records that everybody may see, and what is left out with the drafts.

        None, if anything can't be read.
        """
        if self.faulty:
            return None, ()
        stay, notes = without(self.documents, self.drafts)
        if self.drafts and not any(it.kind == "plant" for it in stay):
            return None, (*notes, _all_drafts())
        return with_trees(assemble(stay)), notes

    def whole(self, aside: Collection[str] = ()) -> Library | None:
        """All records, drafts among them, that can be made; without those set aside.

        None, if what every page needs can't be read.
        """
        away = {*self.faulty, *aside}
        lost = [unread(file, self._plants) for file in away - self._read]
        stay, _ = without(
            map(filled, self.documents), away, [it for it in lost if it is not None]
        )
        kinds = {it.kind for it in stay}
        if not {*NEEDED_ONCE, "plant"} <= kinds:
            return None
        return with_trees(assemble(_with_all(stay)))

    def less(self, plant: str) -> "Folder":
        """The same without the folder of a plant."""
        return Folder(
            documents=tuple(it for it in self.documents if it.plant != plant),
            problems=tuple(
                it for it in self.problems if not it.file.startswith(f"{plant}/")
            ),
        )

    @cached_property
    def _read(self) -> frozenset[str]:
        return frozenset(it.file for it in self.documents)

    @cached_property
    def _plants(self) -> tuple[str, ...]:
        return tuple(sorted({it.plant for it in self.documents if it.plant}))


def read_folder(root: Path) -> Folder:
    """Read every file and check its shape."""
    documents, problems = read_knowledge(root)
    foreign = tuple(_other_formats(documents))
    if foreign:  # else every file of it would be wrong, one by one
        return Folder(documents=(), problems=foreign)
    schemas, broken = read_schemas(root)
    problems = (*problems, *broken)
    if not broken:
        with collector_paused():
            problems = (*problems, *check_shape(documents, schemas))
    return Folder(documents=documents, problems=problems)


def _other_formats(documents: Iterable[Document]) -> Iterator[Problem]:
    for document in documents:
        if document.kind == "nursery" and isinstance(document.data, dict):
            yield from other_format(
                document.data.get("format", FORMAT), document.place("format")
            )


def read_library(root: Path) -> tuple[Library | None, tuple[Problem, ...], int]:
    """Read, check the shape and assemble what is published.

    Gives the library (none if there is an error), the problems, how many files were read.
    """
    folder = read_folder(root)
    library, notes = folder.published()
    return library, (*folder.problems, *notes), folder.files


def _with_all(documents: tuple[Document, ...]) -> Iterable[Document]:
    """Leave out the plants that lack a kind of record which every plant has."""
    needed = {"plant", "first_steps", "sign", "cause"}
    kinds: dict[str, set[str]] = {}
    for it in documents:
        kinds.setdefault(it.plant, set()).add(it.kind)
    return (it for it in documents if not it.plant or needed <= kinds[it.plant])


def _all_drafts() -> Problem:
    return problem_at(
        Location(file=""),
        "no-plant",
        "every plant is a draft, so there is no site to publish",
        "look at it with: bedside serve; take out 'status: draft' in plant.yaml to publish",
    )
