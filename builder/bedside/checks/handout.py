"""The sheet in the box: it names what is there, and says what the records say."""

from collections.abc import Collection, Iterator

from bedside.checks.material import Fault, Faults, Material
from bedside.model.handout import Handout, Trouble
from bedside.model.library import Path as Steps
from bedside.model.records import Plant
from bedside.problems import did_you_mean, listed
from bedside.read.assemble import handout_of

USUAL = ("always", "usually")


def unknown_on_sheet(material: Material) -> Faults:
    """Every trouble, answer and task of the season that a sheet names is there."""
    for plant, handout in _sheets(material):
        answers = {it.id for sign in plant.signs.values() for it in sign.answers}
        for what, path, name, known in (
            *_lists(handout),
            *(("answer", ("pictures", it), it, answers) for it in handout.pictures),
            *(
                ("answer", ("troubles", it.id, "drawing"), it.drawing, answers)
                for it in handout.troubles.values()
            ),
            *(
                ("task", ("year", at), it, _tasks(material, plant))
                for at, it in enumerate(handout.year)
            ),
        ):
            if name not in known:
                yield Fault(
                    place=material.library.place(handout.file, *path),
                    message=f"there is no {what} called '{name}'",
                    hint=did_you_mean(name, known) or f"there are {listed(known)}",
                )


def sheet_disagrees(material: Material) -> Faults:
    """A trouble on a sheet shows what is usual for its cause, and the cause's own step."""
    for plant, handout in _sheets(material):
        for trouble in handout.troubles.values():
            yield from _disagreeing(material, plant, handout, trouble)


def _disagreeing(
    material: Material, plant: Plant, handout: Handout, trouble: Trouble
) -> Faults:
    cause = plant.causes.get(trouble.cause)
    if cause is None:
        return  # reported as an unknown cause
    path = ("troubles", trouble.id)
    said = [answers.get(trouble.drawing) for answers in cause.evidence.values()]
    if not any(word in USUAL for word in said):
        yield Fault(
            place=material.library.place(handout.file, *path, "drawing"),
            message=f"'{trouble.drawing}' is not usual for '{cause.id}'",
            hint="draw what the cause is always or usually seen with",
        )
    if trouble.first_step != cause.first_step:
        yield Fault(
            place=material.library.place(handout.file, *path, "first_step"),
            message=f"the first step of '{cause.id}' is '{cause.first_step}'",
            hint="write what the cause's own record says, in the sheet's few words",
        )


def _sheets(material: Material) -> Iterator[tuple[Plant, Handout]]:
    for plant in material.plants:
        handout = handout_of(material.library, plant.id)
        if handout is not None:
            yield plant, handout


def _lists(handout: Handout) -> Iterator[tuple[str, Steps, str, Collection[str]]]:
    known = handout.troubles
    for region, names in handout.regions.items():
        for at, name in enumerate(names):
            yield "trouble", ("regions", region, at), name, known
    for at, name in enumerate(handout.unsure):
        yield "trouble", ("unsure", at), name, known


def _tasks(material: Material, plant: Plant) -> list[str]:
    years = material.documents("year", plant.id)
    return [task["id"] for year in years for task in year.data["tasks"]]
