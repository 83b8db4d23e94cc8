"""What a page cites: each source once, in the order in which the page first needs it."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass
from typing import Any

from bedside.model.records import Source

# Kinds that no publication stands behind: the page says so in a word, beside the line.
UNPUBLISHED = {"common-practice": "custom", "memory": "memory", "judgement": "our view"}


@dataclass(frozen=True, kw_only=True, slots=True)
class Citation:
    """One source as a page lists it. `mark` stands beside each line that rests on it."""

    mark: str
    title: str
    detail: str
    url: str
    weak: bool


def cited(sources: Mapping[str, Source], *records: object) -> dict[str, Citation]:
    """Number the publications that the records cite; name the rest by their kind."""
    ids = list(dict.fromkeys(id_ for record in records for id_ in _ids(record)))
    published = [id_ for id_ in ids if sources[id_].kind not in UNPUBLISHED]
    unpublished = [id_ for id_ in ids if sources[id_].kind in UNPUBLISHED]
    return {
        **{id_: _citation(sources[id_], str(n)) for n, id_ in enumerate(published, 1)},
        **{
            id_: _citation(sources[id_], UNPUBLISHED[sources[id_].kind])
            for id_ in unpublished
        },
    }


def _citation(source: Source, mark: str) -> Citation:
    detail = ", ".join(
        part for part in (source.publisher, source.number, source.year) if part
    )
    seen = f"Seen: {source.seen}" if source.seen else ""
    as_of = f"As of {source.as_of}" if source.as_of else ""
    return Citation(
        mark=mark,
        title=source.title,
        detail=". ".join(part for part in (detail, seen, as_of) if part),
        url=source.url,
        weak=source.weak,
    )


def _ids(record: Any) -> Iterator[str]:
    # Any record will do: whatever field is called `sources`, at any depth, in field order.
    if is_dataclass(record) and not isinstance(record, type):
        for field in fields(record):
            value = getattr(record, field.name)
            if field.name.endswith("sources"):
                yield from value
            else:
                yield from _ids(value)
    elif isinstance(record, Mapping):
        for value in record.values():
            yield from _ids(value)
    elif isinstance(record, tuple):
        for value in record:
            yield from _ids(value)
