"""The order of questions: all is reached, all leads on, nothing is asked twice."""

from collections.abc import Iterator, Mapping

from builder.checks.material import Fault, Faults, Material
from builder.documents import Path as Steps
from builder.graph import Way, closing_ways, depths, reachable, shortest_walks, walk_to
from builder.model import Plant, Question, Sign
from builder.problems import Location, did_you_mean

MOST_QUESTIONS = 7  # on one walk
# /<plant>/result/ is the page of results, so no question may have that address.
TAKEN_NAMES = ("result",)


def dead_end(material: Material) -> Faults:
    """Every way, and the start, leads to a question or an end that exists."""
    for plant in material.plants:
        known = {*plant.tree.questions, *plant.tree.ends}
        for path, to in _ways(plant):
            if to not in known:
                yield Fault(
                    place=_place(material, plant, *path),
                    message=f"this leads to '{to}', which is neither a question nor an end",
                    hint=did_you_mean(to, known),
                )
        if not plant.tree.questions:
            yield Fault(
                place=_place(material, plant, "questions"),
                message="there is no question",
                hint="write at least one, and name it under 'first'",
            )


def taken_name(material: Material) -> Faults:
    """No question has the name of an end or of the page of results."""
    for plant in material.plants:
        for question in plant.tree.questions:
            if question in plant.tree.ends or question in TAKEN_NAMES:
                yield Fault(
                    place=_place(material, plant, "questions", question, key=True),
                    message=f"a question cannot be called '{question}'",
                    hint="an end or a page has this name; choose another",
                )


def answer_without_way(material: Material) -> Faults:
    """Every answer to a question leads on."""
    for plant, question, sign in _asked(material):
        for answer in sign.all_answers:
            if answer.id not in question.ways:
                yield Fault(
                    place=_place(
                        material, plant, "questions", question.id, "ways", key=True
                    ),
                    message=f"no way on from the answer '{answer.id}'",
                    hint="name the question or end it leads to",
                )


def way_without_answer(material: Material) -> Faults:
    """Every way belongs to an answer of the sign that is asked."""
    for plant, question, sign in _asked(material):
        answers = [answer.id for answer in sign.all_answers]
        for answer in question.ways:
            if answer not in answers:
                place = ("questions", question.id, "ways", answer)
                yield Fault(
                    place=_place(material, plant, *place, key=True),
                    message=f"the sign '{sign.id}' has no answer '{answer}'",
                    hint=did_you_mean(answer, answers) or f"it has {', '.join(answers)}",
                )


def unreachable_question(material: Material) -> Faults:
    """Some walk comes to every question."""
    for plant in material.plants:
        found = _reached(material, plant)
        for question in plant.tree.questions:
            if question not in found:
                yield Fault(
                    place=_place(material, plant, "questions", question, key=True),
                    message=f"no walk comes to the question '{question}'",
                    hint="lead an answer to it or take it out",
                )


def unreachable_end(material: Material) -> Faults:
    """Some walk comes to every end."""
    for plant in material.plants:
        found = _reached(material, plant)
        for end in plant.tree.ends:
            if end not in found:
                yield Fault(
                    place=_place(material, plant, "ends", end, key=True),
                    message=f"no walk comes to the end '{end}'",
                    hint="lead an answer to it or take it out",
                )


def loop(material: Material) -> Faults:
    """No walk comes back to a question it has passed."""
    for plant in material.plants:
        for walk in closing_ways(material.graphs[plant.id]):
            names = ", ".join((walk[0].start, *(way.to for way in walk)))
            yield Fault(
                place=_way_place(material, plant, walk[-1]),
                message=f"this leads back to '{walk[-1].to}'",
                hint=f"the loop is {names}",
            )


def asked_twice(material: Material) -> Faults:
    """No walk asks the same sign twice."""
    for plant in material.plants:
        graph = material.graphs[plant.id]
        by_sign: dict[str, list[Question]] = {}
        for question in plant.tree.questions.values():
            by_sign.setdefault(question.sign, []).append(question)
        for same in by_sign.values():
            for first in same if len(same) > 1 else ():
                later = reachable(graph, first.id)
                for second in same:
                    if second is not first and second.id in later:
                        yield _twice(material, plant, first, second)


def unmet_needs(material: Material) -> Faults:
    """A sign that needs another is asked only where every walk has met its needs."""
    came_by: dict[tuple[str, ...], Mapping[str, Way | None]] = {}
    for plant, question, sign in _asked(material):
        for needed, answers in sign.needs.items():
            key = (plant.id, needed, *answers)
            if key not in came_by:
                came_by[key] = _without(material, plant, needed, answers)
            if question.id in came_by[key]:
                walk = walk_to(came_by[key], question.id)
                names = ", ".join(way.start for way in walk) or "nothing"
                yield Fault(
                    place=_place(material, plant, "questions", question.id, key=True),
                    message=f"'{sign.id}' is asked where '{needed}' may not be "
                    f"{' or '.join(answers)}",
                    hint=f"one such walk asks {names}",
                )


def long_walk(material: Material) -> Faults:
    """No walk asks more than seven questions."""
    for plant in material.plants:
        for place, depth in depths(material.graphs[plant.id]).items():
            if place in plant.tree.ends and depth > MOST_QUESTIONS:
                yield Fault(
                    place=_place(material, plant, "ends", place, key=True),
                    message=f"a walk to '{place}' asks {depth} questions",
                    hint=f"ask at most {MOST_QUESTIONS}, the most telling first",
                )


def _asked(material: Material) -> Iterator[tuple[Plant, Question, Sign]]:
    """Pair every question with the sign it asks, where there is such a sign."""
    for plant in material.plants:
        for question in plant.tree.questions.values():
            if question.sign in plant.signs:
                yield plant, question, plant.signs[question.sign]


def _ways(plant: Plant) -> Iterator[tuple[Steps, str]]:
    yield ("first",), plant.tree.first
    for question in plant.tree.questions.values():
        for answer, to in question.ways.items():
            yield ("questions", question.id, "ways", answer), to
        yield ("questions", question.id, "cant_tell"), question.cant_tell


def _reached(material: Material, plant: Plant) -> frozenset[str]:
    return reachable(material.graphs[plant.id], plant.tree.first)


def _without(
    material: Material, plant: Plant, sign: str, answers: tuple[str, ...]
) -> Mapping[str, Way | None]:
    """Find what can be reached without giving one of these answers to a sign."""

    def may_use(way: Way) -> bool:
        return plant.tree.questions[way.start].sign != sign or way.label not in answers

    return shortest_walks(material.graphs[plant.id], plant.tree.first, may_use)


def _twice(material: Material, plant: Plant, first: Question, second: Question) -> Fault:
    return Fault(
        place=_place(material, plant, "questions", second.id, key=True),
        message=f"'{second.id}' asks '{second.sign}' again",
        hint=f"'{first.id}' has asked it on the way here",
    )


def _way_place(material: Material, plant: Plant, way: Way) -> Location:
    below = ("cant_tell",) if way.label is None else ("ways", way.label)
    return _place(material, plant, "questions", way.start, *below)


def _place(
    material: Material, plant: Plant, *path: str | int, key: bool = False
) -> Location:
    return material.library.place(plant.tree.file, *path, key=key)
