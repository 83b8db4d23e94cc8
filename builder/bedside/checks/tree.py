"""The grower's outline: every answer leads on, and no question is silly or asked twice.

A nested outline has no loops and no question that nobody comes to; what it can still get
wrong stands here. What is known at a question are the answers named on the one way to it:
below `otherwise` it is not known which of the others was given.
"""

from collections.abc import Iterator

from bedside.checks.material import Fault, Faults, Material
from bedside.model.library import location
from bedside.model.outline import Path
from bedside.model.records import OTHERWISE, Plant, Question, Sign
from bedside.problems import WARNING, Location, did_you_mean
from bedside.reason import scale
from bedside.reason.evidence import senseless_after

# Pages that stand below a plant's own address, where each sign has its question.
TAKEN_NAMES = ("result", "key")
# A longer outline can't be read aloud at one go (judgement).
MOST_LINES = 200
LONGEST_LINE = 100


def proposed_tree(material: Material) -> Faults:
    """A plant's questions stand in tree.yaml, in its grower's own order."""
    for plant in material.plants:
        if plant.tree.proposed:
            yield Fault(
                place=material.library.place(plant.file, "name", key=True),
                message=f"'{plant.id}' has no tree.yaml: its questions come in an order "
                "that is worked out",
                hint=f"write it down with: bedside tree {plant.id} --propose; then read it "
                "aloud, and move what you would ask otherwise",
                level=WARNING,
            )


def way_without_answer(material: Material) -> Faults:
    """Every way belongs to an answer of the sign that is asked."""
    for plant, question, sign in _asked(material):
        answers = [answer.id for answer in sign.all_answers]
        for answer in question.ways:
            if answer not in answers:
                path = (*question.path, question.sign, answer)
                yield Fault(
                    place=material.library.place(plant.tree.file, *path, key=True),
                    message=f"the sign '{sign.id}' has no answer '{answer}'",
                    hint=did_you_mean(answer, (*answers, OTHERWISE))
                    or f"it has {', '.join(answers)}",
                )


def missing_otherwise(material: Material) -> Faults:
    """Every question says where "I can't tell" and answers without a line lead."""
    for plant, question, sign in _asked(material):
        if not question.otherwise:
            unnamed = [it.id for it in sign.all_answers if it.id not in question.ways]
            lost = ", ".join((*(f"'{answer}'" for answer in unnamed), '"I can\'t tell"'))
            yield Fault(
                place=_place(material, plant, question),
                message=f"nothing says where {lost} leads",
                hint=f"write '{OTHERWISE}:' below it, with the next sign or a cause",
            )


def taken_name(material: Material) -> Faults:
    """No sign has the name of another page, and no answer is called `otherwise`."""
    for plant in material.plants:
        for sign in plant.signs.values():
            if sign.id in TAKEN_NAMES:
                yield Fault(
                    place=material.library.place(sign.file, "question", key=True),
                    message=f"a sign cannot be called '{sign.id}'",
                    hint="another page has the address of its question; rename the file",
                )
            for number, answer in enumerate(sign.all_answers):
                if answer.id == OTHERWISE:
                    path = ("answers", number) if answer in sign.answers else ("none",)
                    yield Fault(
                        place=material.library.place(sign.file, *path, "id"),
                        message=f"an answer cannot be called '{OTHERWISE}'",
                        hint="in tree.yaml the word stands for all other answers",
                    )


def asked_twice(material: Material) -> Faults:
    """No way asks the same sign twice."""
    for plant, question in _questions(material):
        before = question.path[0::2]
        if question.sign in before:
            path = question.path[: 2 * before.index(question.sign) + 1]
            asked = material.library.place(plant.tree.file, *path, key=True)
            yield Fault(
                place=_place(material, plant, question),
                message=f"'{question.sign}' is asked again",
                hint=f"line {asked.line} asks it on the way here; take one of them out",
            )


def unmet_needs(material: Material) -> Faults:
    """A sign that needs an answer stands below that answer, not below `otherwise`."""
    for plant, question, sign in _asked(material):
        known = _known(question.path)
        for needed, answers in sign.needs.items():
            if known.get(needed) not in answers:
                wanted = " or ".join(f"'{answer}'" for answer in answers)
                yield Fault(
                    place=_place(material, plant, question),
                    message=f"'{sign.id}' stands where '{needed}' may have another answer",
                    hint=f"move it below {wanted} of '{needed}'",
                )


def senseless_question(material: Material) -> Faults:
    """No question stands below an answer after which it makes no sense."""
    for plant, question, sign in _asked(material):
        senseless = senseless_after(sign, plant.signs)
        for answer in _known(question.path).values():
            if answer in senseless:
                yield Fault(
                    place=_place(material, plant, question),
                    message=f"'{sign.id}' makes no sense after '{answer}'",
                    hint=f"ask something else, or mend 'not_after' in {sign.file}",
                )


def long_walk(material: Material) -> Faults:
    """No way asks more than seven questions."""
    for plant, question in _questions(material):
        if len(question.path) // 2 == scale.MOST_LOOKS:
            yield Fault(
                place=_place(material, plant, question),
                message=f"this is question {scale.MOST_LOOKS + 1} on its way",
                hint=f"at most {scale.MOST_LOOKS} are asked: end here at a cause, "
                "or ask less before",
            )


def long_tree(material: Material) -> Faults:
    """The outline is short enough to be read aloud."""
    for plant in (it for it in material.plants if not it.tree.proposed):
        lines = material.library.documents[plant.tree.file].lines
        length = max(number for number, line in enumerate(lines, 1) if line.strip())
        if length > MOST_LINES:
            yield Fault(
                place=location(plant.tree.file, lines, (MOST_LINES + 1, 1, 1)),
                message=f"an outline of {length} lines can't be read aloud",
                hint=f"at most {MOST_LINES}; leave the last looks to the arithmetic",
                level=WARNING,
            )
        for number, line in enumerate(lines, 1):
            if len(line) > LONGEST_LINE:
                span = (number, LONGEST_LINE + 1, len(line) - LONGEST_LINE)
                yield Fault(
                    place=location(plant.tree.file, lines, span),
                    message=f"a line of {len(line)} characters can't be read aloud",
                    hint=f"at most {LONGEST_LINE}; put each answer on a line of its own",
                    level=WARNING,
                )


def _questions(material: Material) -> Iterator[tuple[Plant, Question]]:
    for plant in material.plants:
        for question in plant.tree.questions.values():
            yield plant, question


def _asked(material: Material) -> Iterator[tuple[Plant, Question, Sign]]:
    """Pair every question with the sign it asks, where there is such a sign."""
    for plant, question in _questions(material):
        if question.sign in plant.signs:
            yield plant, question, plant.signs[question.sign]


def _known(path: Path) -> dict[str, str]:
    """What was answered on the way to a place of the outline."""
    told = zip(path[0::2], path[1::2], strict=True)
    return {sign: answer for sign, answer in told if answer != OTHERWISE}


def _place(material: Material, plant: Plant, question: Question) -> Location:
    path = (*question.path, question.sign)
    return material.library.place(plant.tree.file, *path, key=True)
