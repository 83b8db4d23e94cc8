"""The season of each plant: names that point nowhere, days that don't exist, sums out of
order.

They are read as written; a plant without them is right as it is.
"""

from collections.abc import Iterator
from typing import Any

from bedside.checks.material import Fault, Faults, Material
from bedside.language.days import day_number
from bedside.model.library import Document, items_of
from bedside.model.library import Path as Steps
from bedside.problems import did_you_mean

# What each kind of start, and each anchor of a task, can't do without.
NEEDED_BY_START = {"date": "date", "warmth": "sum"}
NEEDED_BY_ANCHOR = {"date": "date", "warmth": "anchor_sum"}


def unknown_insect(material: Material) -> Faults:
    """Every insect of the season is a cause of its plant."""
    for document, path, insect in _insects(material):
        known = material.library.knowledge.plants[document.plant].causes
        if insect["id"] not in known:
            yield _fault(
                document, (*path, "id"), f"no cause is called '{insect['id']}'",
                did_you_mean(insect["id"], known) or "an insect has the id of its cause",
            )  # fmt: skip


def unknown_treatment(material: Material) -> Faults:
    """Every treatment of an insect is a control."""
    for document, path, insect in _insects(material):
        known = material.library.knowledge.controls_of(document.plant)
        for at, treatment in enumerate(insect["treatments"]):
            name = treatment["control"]
            if name not in known:
                yield _fault(
                    document, (*path, "treatments", at, "control"),
                    f"no control is called '{name}'",
                    did_you_mean(name, known) or "controls are files in controls/",
                )  # fmt: skip


def unknown_stage(material: Material) -> Faults:
    """Every sight belongs to a stage of its own insect."""
    for document, path, insect in _insects(material):
        known = [stage["id"] for stage in insect["stages"]]
        for at, sight in enumerate(insect["sights"]):
            if sight["stage"] not in known:
                yield _fault(
                    document, (*path, "sights", at, "stage"),
                    f"no stage is called '{sight['stage']}'",
                    did_you_mean(sight["stage"], known) or f"stages: {', '.join(known)}",
                )  # fmt: skip


def sums_out_of_order(material: Material) -> Faults:
    """Low, likely and high rise; so do the two ends of how much of a stage is done."""
    for document in _documents(material, "insects", "year"):
        for path, numbers in _lists_of_numbers(document.data, ()):
            rising = path[-1] in ("sum", "done")
            if rising and list(numbers) != sorted(numbers):
                yield _fault(
                    document, path, f"{', '.join(map(str, numbers))} does not rise",
                    "write the low number first and the high one last",
                )  # fmt: skip


def no_such_day(material: Material) -> Faults:
    """Every month-day is a day of the calendar."""
    for document in _documents(material, "insects", "year"):
        for path, text in _days(document.data, ()):
            try:
                day_number(*map(int, text.split("-")))
            except ValueError as error:
                yield _fault(document, path, f"{text}: {error}", "write it as month-day")


def start_without_date(material: Material) -> Faults:
    """A start or a task counted from a date or a sum of warmth names it."""
    for document, path, insect in _insects(material):
        for at, start in enumerate(insect["starts"]):
            needed = NEEDED_BY_START.get(start["kind"])
            if needed and needed not in start:
                yield _lacking(
                    document, (*path, "starts", at, "kind"), start["kind"], needed
                )
    for document in _documents(material, "year"):
        for at, task in enumerate(document.data["tasks"]):
            needed = NEEDED_BY_ANCHOR.get(task["anchor"])
            if needed and needed not in task:
                yield _lacking(document, ("tasks", at, "anchor"), task["anchor"], needed)


def task_ends_first(material: Material) -> Faults:
    """A task ends after it begins, and has an id of its own."""
    for document in _documents(material, "year"):
        seen: set[str] = set()
        for at, task in enumerate(document.data["tasks"]):
            if "to_anchor" not in task and task["to_days"] < task["from_days"]:
                yield _fault(
                    document, ("tasks", at, "to_days"), "this task ends before it begins",
                    "swap from_days and to_days",
                )  # fmt: skip
            if task["id"] in seen:
                yield _fault(
                    document, ("tasks", at, "id"), f"'{task['id']}' is a task already",
                    "give this one another id",
                )  # fmt: skip
            seen.add(task["id"])


CHECKS = (
    unknown_insect,
    unknown_treatment,
    unknown_stage,
    sums_out_of_order,
    no_such_day,
    start_without_date,
    task_ends_first,
)


def _documents(material: Material, *kinds: str) -> Iterator[Document]:
    yield from (document for kind in kinds for document in material.documents(kind))


def _insects(material: Material) -> Iterator[tuple[Document, Steps, Any]]:
    for document in _documents(material, "insects"):
        for at, insect in enumerate(document.data["insects"]):
            yield document, ("insects", at), insect


def _lists_of_numbers(data: Any, path: Steps) -> Iterator[tuple[Steps, list[int]]]:
    if isinstance(data, list) and data and all(isinstance(it, int) for it in data):
        yield path, data
        return
    for key, item in items_of(data):
        yield from _lists_of_numbers(item, (*path, key))


def _days(data: Any, path: Steps) -> Iterator[tuple[Steps, str]]:
    for key, item in items_of(data):
        if key in ("date", "if_last_freeze_after") and isinstance(item, str):
            yield (*path, key), item
        else:
            yield from _days(item, (*path, key))


def _lacking(document: Document, path: Steps, kind: str, needed: str) -> Fault:
    return _fault(document, path, f"'{kind}' needs a {needed}", f"add {needed}")


def _fault(document: Document, path: Steps, message: str, hint: str) -> Fault:
    return Fault(place=document.place(*path), message=message, hint=hint)
