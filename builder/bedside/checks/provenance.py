"""Where facts are from, and when a person last looked them over."""

from collections.abc import Iterator
from datetime import date

from bedside.checks.material import Fault, Faults, Material
from bedside.checks.uses import file_of_source, source_uses
from bedside.model.library import Document, Use
from bedside.model.library import Path as Steps
from bedside.problems import WARNING

STALE_YEARS = 2
DATE_KEYS = ("reviewed", "checked", "as_of")
REVIEW_KEYS = ("reviewed", "checked")


def weak_source_only(material: Material) -> Faults:
    """No line rests on weak sources alone."""
    sources = material.library.knowledge.sources
    by_line: dict[tuple[str, Steps], list[Use]] = {}
    for use in source_uses(material):
        if use.document.kind == "cases":
            continue  # a case retells one source, whatever that is worth
        line = use.path[: use.path.index("from") + 1]
        by_line.setdefault((use.document.file, line), []).append(use)
    for uses in by_line.values():
        if all(use.name in sources and sources[use.name].weak for use in uses):
            yield Fault(
                place=uses[0].place,
                message="this rests on a weak source alone",
                hint="find a better one, or add 'common-practice' or 'judgement' if so",
                level=WARNING,
            )


def undated_law(material: Material) -> Faults:
    """What a law says carries the date on which it was so."""
    for source in material.library.knowledge.sources.values():
        if source.kind == "law" and not source.as_of:
            yield Fault(
                place=material.library.place(
                    file_of_source(material, source.id), source.id, key=True
                ),
                message=f"the law '{source.id}' has no date",
                hint="write 'as_of' with the day on which it was looked up",
            )


def stale_review(material: Material, today: date) -> Faults:
    """Every record was looked over in the last two years; asked for with a date."""
    for document, path, written in _dates(material, REVIEW_KEYS):
        if _years_later(date.fromisoformat(written), STALE_YEARS) < today:
            yield Fault(
                place=document.place(*path),
                message=f"last looked over on {written}, more than {STALE_YEARS} years ago",
                hint="read it against its sources, then write the new date",
                level=WARNING,
            )


def future_review(material: Material, today: date) -> Faults:
    """No record was looked over on a day that is still to come; asked for with a date."""
    for document, path, written in _dates(material, DATE_KEYS):
        if date.fromisoformat(written) > today:
            yield Fault(
                place=document.place(*path),
                message=f"{written} is still to come",
                hint="write the day on which you looked it over",
            )


def _dates(
    material: Material, keys: tuple[str, ...]
) -> Iterator[tuple[Document, Steps, str]]:
    for document in material.library.documents.values():
        if document.kind == "sources":
            for name, source in document.data.items():
                if "as_of" in source and "as_of" in keys:
                    yield document, (name, "as_of"), source["as_of"]
        elif isinstance(document.data, dict):
            for key in keys:
                if isinstance(document.data.get(key), str):
                    yield document, (key,), document.data[key]


def _years_later(day: date, years: int) -> date:
    if (day.month, day.day) == (2, 29):
        return date(day.year + years, 3, 1)
    return day.replace(year=day.year + years)
