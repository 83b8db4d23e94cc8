"""The records of a knowledge base, and where each of their values is written.

    library.knowledge                                the records
    library.place(cause.file, "check", "sign")       where a value stands
    library.place(cause.file, "check", key=True)     where its key stands
    library.problem(cause.file, ("check", "sign"), "unknown-sign", "no sign called …")

A path names what is written in the file (`from`, not `sources`), with numbers for the items
of a list.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from bedside.model import records
from bedside.problems import ERROR, Location, Problem, problem_at

# Keys of mappings and numbers of list items, from the top of the file down to one value.
Path = tuple[str | int, ...]
Span = tuple[int, int, int]  # line, column (both from 1), length


@dataclass(frozen=True, kw_only=True, slots=True)
class Document:
    """One file below the knowledge folder.

    `data` holds text, whole numbers, true and false, lists and mappings, and nothing else;
    for a drawing it is the text of the file, for a table a list of rows. `plant` is empty
    outside a plant's folder. `keys` and `values` give the span of what a path leads to.
    """

    kind: str
    file: str
    id: str
    data: Any
    plant: str = ""
    keys: Mapping[Path, Span] = field(default_factory=dict)
    values: Mapping[Path, Span] = field(default_factory=dict)
    lines: tuple[str, ...] = ()

    def place(self, *path: str | int, key: bool = False) -> Location:
        """Find where a path leads, or the nearest thing above it that is written down.

        With `key` the place is the key rather than its value.
        """
        first, second = (self.keys, self.values) if key else (self.values, self.keys)
        for end in range(len(path), -1, -1):
            span = first.get(path[:end]) or second.get(path[:end])
            if span is not None:
                return location(self.file, self.lines, span)
        return location(self.file, self.lines, (1, 1, 1))


def location(file: str, lines: tuple[str, ...], span: Span) -> Location:
    """Turn a span into a location that carries the line it is on."""
    line, column, length = span
    source_line = lines[line - 1] if line <= len(lines) else ""
    return Location(
        file=file, line=line, column=column, length=length, source_line=source_line
    )


@dataclass(frozen=True, kw_only=True, slots=True)
class Library:
    """The records, and the documents they came from by file."""

    knowledge: records.Knowledge
    documents: Mapping[str, Document]

    def place(self, file: str, *path: str | int, key: bool = False) -> Location:
        """Find where a path of a file leads, or the nearest thing above it."""
        document = self.documents.get(file)
        return document.place(*path, key=key) if document else Location(file=file)

    def problem(  # noqa: PLR0913 - a problem has this many parts, and all by name
        self,
        file: str,
        path: Path,
        code: str,
        message: str,
        hint: str = "",
        *,
        level: str = ERROR,
        key: bool = False,
    ) -> Problem:
        """Make a problem at a path of a file."""
        place = self.place(file, *path, key=key)
        return problem_at(place, code, message, hint, level=level)

    def words(self, id: str) -> Any:  # noqa: A002 - the word for it everywhere
        """Give the data of words/<id>.yaml, or nothing if there is no such file."""
        document = self.documents.get(f"words/{id}.yaml")
        return document.data if document else None

    def of_plants(self, kind: str) -> dict[str, Any]:
        """Give the data of each plant's file of one kind, by plant: `year`, `insects`."""
        found = (it for it in self.documents.values() if it.kind == kind)
        return {it.plant: it.data for it in found}

    def season(self, id: str) -> Any:  # noqa: A002
        """Give the data of season/<id>.yaml, or nothing if there is no such file."""
        document = self.documents.get(f"season/{id}.yaml")
        return document.data if document else None


@dataclass(frozen=True, kw_only=True, slots=True)
class Use:
    """One place where a file names a record."""

    document: Document
    path: Path
    name: str
    is_key: bool = False

    @property
    def place(self) -> Location:
        """Find where the name is written."""
        return self.document.place(*self.path, key=self.is_key)


def uses_in(document: Document, pattern: str) -> Iterator[Use]:
    """Find every name that a place leads to in one file."""
    wants_keys = pattern.endswith("/")
    steps = [step for step in pattern.rstrip("/").split(".") if step]
    for path, value in _follow(document.data, steps, ()):
        if wants_keys and isinstance(value, dict):
            for key in value:
                yield Use(document=document, path=(*path, key), name=key, is_key=True)
        elif not wants_keys and isinstance(value, str):
            yield Use(document=document, path=path, name=value)


def _follow(data: Any, steps: list[str], path: Path) -> Iterator[tuple[Path, Any]]:
    if not steps:
        yield path, data
    elif steps[0] == "*":
        for key, item in items_of(data):
            yield from _follow(item, steps[1:], (*path, key))
    elif isinstance(data, dict) and steps[0] in data:
        yield from _follow(data[steps[0]], steps[1:], (*path, steps[0]))


def items_of(data: Any) -> Iterator[tuple[str | int, Any]]:
    """The keys or numbers of what holds values, each with its value."""
    if isinstance(data, dict):
        yield from data.items()
    elif isinstance(data, list):
        yield from enumerate(data)
