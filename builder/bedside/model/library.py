"""The records of a knowledge base, and where each of their values is written.

    library.knowledge                                the records
    library.place(cause.file, "check", "sign")       where a value stands
    library.place(cause.file, "check", key=True)     where its key stands
    library.problem(cause.file, ("check", "sign"), "unknown-sign", "no sign called …")

A path names what is written in the file (`from`, not `sources`), with numbers for the items
of a list.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from bedside.model import records
from bedside.model.documents import Document
from bedside.model.documents import Path as Steps
from bedside.problems import ERROR, Location, Problem, problem_at


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
        path: Steps,
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

    def season(self, id: str) -> Any:  # noqa: A002
        """Give the data of season/<id>.yaml, or nothing if there is no such file."""
        document = self.documents.get(f"season/{id}.yaml")
        return document.data if document else None
