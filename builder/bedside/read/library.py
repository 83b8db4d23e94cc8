"""Read a knowledge folder: the one way from a path to records, or to all problems."""

from collections.abc import Iterable, Iterator
from pathlib import Path

from bedside.model.library import Document, Library
from bedside.problems import ERROR, Problem
from bedside.read.assemble import assemble
from bedside.read.knowledge_files import read_knowledge, read_schemas
from bedside.read.layout import FORMAT, other_format
from bedside.read.plain_text import collector_paused
from bedside.read.schema import check_shape
from bedside.reason.proposal import with_trees


def read_library(root: Path) -> tuple[Library | None, tuple[Problem, ...], int]:
    """Read, check the shape and assemble.

    Gives the library (none if there is a problem), the problems, how many files were read.
    """
    documents, problems = read_knowledge(root)
    foreign = tuple(_other_formats(documents))
    if foreign:  # else every file of it would be wrong, one by one
        return None, foreign, len(documents)
    schemas, broken = read_schemas(root)
    problems = (*problems, *broken)
    if not broken:
        with collector_paused():
            problems = (*problems, *check_shape(documents, schemas))
    faulty = {problem.file for problem in problems if problem.level == ERROR}
    library = None if faulty else with_trees(assemble(documents))
    return library, problems, len(documents) + len(faulty - _files(documents))


def _other_formats(documents: Iterable[Document]) -> Iterator[Problem]:
    for document in documents:
        if document.kind == "nursery" and isinstance(document.data, dict):
            yield from other_format(
                document.data.get("format", FORMAT), document.place("format")
            )


def _files(documents: Iterable[Document]) -> set[str]:
    return {document.file for document in documents}
