"""Clean documents in, frozen records out; no guessing, and no second check of the shape.

What is not written down is empty: an empty text, an empty list, false.
"""

import types
import typing
from collections.abc import Iterable, Mapping
from dataclasses import MISSING, fields, is_dataclass
from functools import cache
from typing import Any, TypeVar, cast

from bedside.model import records
from bedside.model.handout import Handout
from bedside.model.library import Document, Library
from bedside.model.outline import tree_of

Record = TypeVar("Record")
# The key of the YAML line, where a field cannot or does not have the same name.
WRITTEN_AS = {"sources": "from", "instead": "for"}
# Stands where a grower wrote no tree, until one is proposed.
TO_PROPOSE = records.Tree(file="", first="", questions={}, ends={}, proposed=True)
EMPTY_BY_TYPE: Mapping[Any, Any] = {str: "", bool: False, int: 0}


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


def _knowledge(of_kind: ByKind, plants: Iterable[str]) -> records.Knowledge:
    zones = of_kind["", "zones"][0].data
    services = of_kind["", "services"][0].data
    return records.Knowledge(
        nursery=make(records.Nursery, of_kind["", "nursery"][0].data),
        sources={
            name: source
            for it in _of_all(of_kind, "sources", plants)
            for name, source in _by_id(records.Source, it.data).items()
        },
        emergencies=make(records.Emergencies, of_kind["", "emergencies"][0].data),
        zones=_by_id(records.Zone, zones["zones"]),
        seasons=_by_id(records.Season, zones["seasons"]),
        services=tuple(make(records.LocalService, row) for row in services),
        controls=_records(records.Control, _of_all(of_kind, "control", plants)),
        topics=_records(records.Topic, _of_all(of_kind, "topic", plants)),
        plants={plant: _plant(of_kind, plant) for plant in plants},
    )


def _of_all(of_kind: ByKind, kind: str, plants: Iterable[str]) -> Iterable[Document]:
    """What all share, then what each plant has of its own."""
    return (it for whose in ("", *plants) for it in of_kind.get((whose, kind), ()))


def _records(record: type[Record], documents: Iterable[Document]) -> dict[str, Record]:
    whose = {it.name for it in fields(cast("Any", record))} & {"plant"}
    return {
        it.id: make(
            record, it.data, id=it.id, file=it.file, **dict.fromkeys(whose, it.plant)
        )
        for it in documents
    }


def _plant(of_kind: ByKind, plant: str) -> records.Plant:
    about = of_kind[plant, "plant"][0]
    steps = of_kind[plant, "first_steps"][0].data
    tree = next(iter(of_kind.get((plant, "tree"), ())), None)
    return make(
        records.Plant,
        about.data,
        id=plant,
        file=about.file,
        first_steps=_by_id(records.FirstStep, steps),
        signs=_records(records.Sign, of_kind[plant, "sign"]),
        causes={it.id: _cause(it) for it in of_kind[plant, "cause"]},
        tree=tree_of(tree.file, tree.data) if tree else TO_PROPOSE,
        cases=tuple(
            case for it in of_kind.get((plant, "cases"), ()) for case in _cases(it)
        ),
        drawings={it.id: it.data for it in of_kind.get((plant, "drawing"), ())},
        asked={
            name: asked
            for it in of_kind.get((plant, "asked"), ())
            for name, asked in _by_id(records.Asked, it.data).items()
        },
        control_lines={
            name: lines
            for it in of_kind.get((plant, "control_lines"), ())
            for name, lines in _by_id(records.ControlLines, it.data).items()
        },
    )


def _cause(document: Document) -> records.Cause:
    where_when = document.data.get("where_when", {"zones": {}, "from": []})
    return make(
        records.Cause,
        document.data,
        id=document.id,
        file=document.file,
        where_when=where_when["zones"],
        where_when_sources=tuple(where_when["from"]),
    )


def _cases(document: Document) -> Iterable[records.Case]:
    for name, item in document.data.items():
        yield make(records.Case, item, id=name, file=document.file, source=item["from"])


def handout_of(library: Library, plant: str) -> Handout | None:
    """Give the sheet of a plant, or nothing if the grower wrote none."""
    file = f"{plant}/handout.yaml"
    document = library.documents.get(file)
    return make(Handout, document.data, file=file) if document else None
