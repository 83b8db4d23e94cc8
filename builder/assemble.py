"""Clean documents in, frozen records out; no guessing, and no second check of the shape.

What is not written down is empty: an empty text, an empty list, false. A `Library` is the
records and the documents they came from, so that a check can point at the line it is about:

    library.knowledge                                the records
    library.place(cause.file, "check", "sign")       where a value stands
    library.place(cause.file, "check", key=True)     where its key stands
    library.problem(cause.file, ("check", "sign"), "unknown-sign", "no sign called …")

A path names what is written in the file (`from`, not `sources`), with numbers for the items
of a list.
"""

import types
import typing
from collections.abc import Iterable, Mapping
from dataclasses import MISSING, dataclass, fields, is_dataclass
from functools import cache
from pathlib import Path
from typing import Any, TypeVar, cast

from builder import model
from builder.documents import Document
from builder.documents import Path as Steps
from builder.kept import Kept
from builder.outline import tree_of
from builder.plain_text import collector_paused
from builder.problems import ERROR, Location, Problem, problem_at
from builder.schema import check_shape
from builder.source import read_knowledge, read_schemas

Record = TypeVar("Record")
# The key of the YAML line, where a field cannot or does not have the same name.
WRITTEN_AS = {"sources": "from"}
EMPTY_BY_TYPE: Mapping[Any, Any] = {str: "", bool: False, int: 0}


@dataclass(frozen=True, kw_only=True, slots=True)
class Library:
    """The records, and the documents they came from by file."""

    knowledge: model.Knowledge
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


def read_library(
    root: Path, kept: Kept | None = None
) -> tuple[Library | None, tuple[Problem, ...], int]:
    """Read, check the shape and assemble.

    Gives the library (none if there is a problem), the problems, how many files were read.
    """
    documents, problems = read_knowledge(root)
    schemas, broken = read_schemas(root)
    problems = (*problems, *broken)
    if not broken:
        with collector_paused():
            problems = (*problems, *check_shape(documents, schemas, kept))
    count = len(documents) + len({problem.file for problem in problems} - _files(documents))
    library = None if problems else assemble(documents)
    return library, problems, count


def assemble(documents: Iterable[Document]) -> Library:
    """Build every record from documents whose shape is right."""
    in_order = sorted(documents, key=lambda document: document.file)
    by_file = {document.file: document for document in in_order}
    of_kind: dict[tuple[str, str], list[Document]] = {}
    for document in by_file.values():
        of_kind.setdefault((document.plant, document.kind), []).append(document)
    plants = sorted({plant for plant, _ in of_kind if plant})
    return Library(knowledge=_knowledge(of_kind, plants), documents=by_file)


def make(record: type[Record], data: Mapping[str, Any], **given: Any) -> Record:
    """Build a record from a mapping, taking the fields in `given` as they are."""
    values = dict(given)
    for name, key, kind, empty in _plan(cast("Any", record)):
        if name not in values:
            values[name] = _value(kind, data[key]) if key in data else empty
    return record(**values)


def _files(documents: Iterable[Document]) -> set[str]:
    return {document.file for document in documents}


@cache
def _plan(record: Any) -> tuple[tuple[str, str, Any, Any], ...]:
    """List name, written key, type and empty value of each field of a record."""
    hints = typing.get_type_hints(record)
    plan = []
    for field in fields(record):
        kind = hints[field.name]
        key = WRITTEN_AS.get(field.name, field.name)
        plan.append((field.name, key, kind, _empty(field, kind)))
    return tuple(plan)


def _empty(field: Any, kind: Any) -> Any:
    if field.default is not MISSING:
        return field.default
    origin = typing.get_origin(kind)
    if origin is types.UnionType:
        return None
    if origin is not None:
        return () if origin is tuple else {}
    return EMPTY_BY_TYPE.get(kind)


def _value(kind: Any, data: Any) -> Any:
    origin, inner = typing.get_origin(kind), typing.get_args(kind)
    if origin is types.UnionType:
        return _value(inner[0], data)
    if origin is tuple:
        if isinstance(data, dict):  # by id in the file, in a row in the record
            return tuple(_by_id(inner[0], data).values())
        return tuple(_value(inner[0], item) for item in data)
    if origin is not None:
        return _by_id(inner[1], data)
    return make(cast("type[Any]", kind), data) if is_dataclass(kind) else data


def _by_id(kind: Any, data: Mapping[str, Any]) -> dict[str, Any]:
    if is_dataclass(kind) and any(field.name == "id" for field in fields(kind)):
        record = cast("type[Any]", kind)
        return {name: make(record, item, id=name) for name, item in data.items()}
    return {name: _value(kind, item) for name, item in data.items()}


ByKind = Mapping[tuple[str, str], list[Document]]


def _knowledge(of_kind: ByKind, plants: Iterable[str]) -> model.Knowledge:
    zones = of_kind["", "zones"][0].data
    services = of_kind["", "services"][0].data
    return model.Knowledge(
        nursery=make(model.Nursery, of_kind["", "nursery"][0].data),
        sources=_by_id(model.Source, of_kind["", "sources"][0].data),
        emergencies=make(model.Emergencies, of_kind["", "emergencies"][0].data),
        zones=_by_id(model.Zone, zones["zones"]),
        seasons=_by_id(model.Season, zones["seasons"]),
        services=tuple(make(model.LocalService, row) for row in services),
        controls=_records(model.Control, of_kind.get(("", "control"), ())),
        topics=_records(model.Topic, of_kind.get(("", "topic"), ())),
        plants={plant: _plant(of_kind, plant) for plant in plants},
    )


def _records(record: type[Record], documents: Iterable[Document]) -> dict[str, Record]:
    return {it.id: make(record, it.data, id=it.id, file=it.file) for it in documents}


def _plant(of_kind: ByKind, plant: str) -> model.Plant:
    about = of_kind[plant, "plant"][0]
    steps = of_kind[plant, "first_steps"][0].data
    tree = of_kind[plant, "tree"][0]
    return make(
        model.Plant,
        about.data,
        id=plant,
        file=about.file,
        first_steps=_by_id(model.FirstStep, steps),
        signs=_records(model.Sign, of_kind[plant, "sign"]),
        causes={it.id: _cause(it) for it in of_kind[plant, "cause"]},
        tree=tree_of(tree.file, tree.data),
        cases=tuple(
            case for it in of_kind.get((plant, "cases"), ()) for case in _cases(it)
        ),
        drawings={it.id: it.data for it in of_kind.get((plant, "drawing"), ())},
    )


def _cause(document: Document) -> model.Cause:
    where_when = document.data.get("where_when", {"zones": {}, "from": []})
    return make(
        model.Cause,
        document.data,
        id=document.id,
        file=document.file,
        where_when=where_when["zones"],
        where_when_sources=tuple(where_when["from"]),
    )


def _cases(document: Document) -> Iterable[model.Case]:
    for name, item in document.data.items():
        yield make(model.Case, item, id=name, file=document.file, source=item["from"])
