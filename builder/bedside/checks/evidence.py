"""What causes say of signs, and what makes no sense to ask: no contradictions, and no two
causes that look alike in all.
"""

from collections.abc import Iterator, Mapping, Sequence

from bedside.checks.material import Fault, Faults, Material
from bedside.model.library import Document, uses_in
from bedside.model.records import Cause, Plant, Sign
from bedside.problems import WARNING
from bedside.reason.evidence import senseless_after, weigh
from bedside.reason.findings import findings_of


def two_always(material: Material) -> Faults:
    """A cause says 'always' of at most one answer to a sign: answers exclude each other."""
    for cause in material.causes:
        for sign, words in cause.evidence.items():
            always = [answer for answer, word in words.items() if word == "always"]
            for answer in always[1:]:
                yield Fault(
                    place=material.library.place(cause.file, "evidence", sign, answer),
                    message=f"both '{always[0]}' and '{answer}' are always seen",
                    hint="answers exclude each other; say 'usually' or 'sometimes'",
                )


def same_evidence(material: Material) -> Faults:
    """No two causes say the same of every sign; no question could tell them apart."""
    for plant in material.plants:
        seen: dict[object, Cause] = {}
        for cause in plant.causes.values():
            key = _frozen(cause.evidence)
            if key and key in seen:
                yield Fault(
                    place=material.library.place(cause.file, "evidence", key=True),
                    message=f"the evidence is the same as that of '{seen[key].id}'",
                    hint="name a sign that splits them, or make them one cause",
                )
            seen.setdefault(key, cause)


def missing_evidence(material: Material) -> Faults:
    """Every cause speaks of some sign; only what is not on the list speaks of none."""
    for cause in material.causes:
        if not cause.evidence and cause.kind != "unlisted":
            yield Fault(
                place=material.library.place(cause.file, "name", key=True),
                message=f"'{cause.id}' speaks of no sign",
                hint="say under 'evidence' how often each answer is seen with it",
            )


def cause_never_shown(material: Material) -> Faults:
    """Some end of the tree names each cause."""
    for plant in material.plants:
        shown = {cause for end in plant.tree.ends.values() for cause in end.shows}
        for cause in plant.causes.values():
            if cause.id not in shown and cause.kind != "unlisted":
                yield Fault(
                    place=material.library.place(cause.file, "name", key=True),
                    message=f"no way through the tree ends at '{cause.id}'",
                    hint="where its answers lead, name it in tree.yaml beside what stands "
                    "there; until then, who follows the links alone never comes to it",
                    level=WARNING,
                )


def _frozen(evidence: Mapping[str, Mapping[str, str]]) -> frozenset[object]:
    """Make evidence comparable whatever the order of its lines."""
    return frozenset((sign, frozenset(words.items())) for sign, words in evidence.items())


Told = Mapping[str, str]  # sign -> answer
# What is wrong with an answer of a way in, by the kind of note that reading it leaves.
WRONG = {
    "contradictory": "is one of two answers to one question",
    "unfit": "can't be told after the answers beside it",
    "repeated": "is given twice",
    "malformed": "is one too many",
}


def own_answer(material: Material) -> Faults:
    """What `not_after` and `told_by` name is about other signs."""
    for document in material.documents("sign"):
        yield from _own(material, document, "not_after.*", document.id)
    for document in material.documents("cause"):
        sign = document.data.get("check", {}).get("sign", "")
        yield from _own(material, document, "check.told_by.*", sign)


def never_asked(material: Material) -> Faults:
    """After some answer to the tree's first question, each sign can still be asked."""
    for plant in (it for it in material.plants if it.tree.questions):
        first = plant.signs[plant.tree.questions[plant.tree.first].sign]
        for sign in plant.signs.values():
            starts = ({first.id: answer.id} for answer in first.all_answers)
            if sign is not first and not any(_leads_to(plant, sign, it) for it in starts):
                key = "not_after" if sign.not_after else "needs"
                yield Fault(
                    place=material.library.place(sign.file, key, key=True),
                    message=f"'{sign.id}' makes no sense after any answer to '{first.id}'",
                    hint="so nobody is asked it; mend 'not_after' or 'needs'",
                    level=WARNING,
                )


def odd_way_in(material: Material) -> Faults:
    """The answers that a way in gives can be given together."""
    for plant in material.plants:
        evidence = weigh(plant)
        for number, way in enumerate(plant.ways_in):
            for note in findings_of(evidence, way.findings).notes:
                at = way.findings.index(note.token)
                path = ("ways_in", number, "findings", at)
                yield Fault(
                    place=material.library.place(plant.file, *path),
                    message=f"'{note.token}' {WRONG[note.kind]}",
                    hint="give the answers that go without saying, in the order of asking",
                )


def _own(material: Material, document: Document, pattern: str, sign: str) -> Faults:
    known = material.library.knowledge.plants[document.plant].signs.get(sign)
    own = [sign, *(answer.id for answer in known.all_answers)] if known else []
    for use in uses_in(document, pattern):
        if use.name in own:
            yield Fault(
                place=use.place,
                message=f"'{use.name}' is about '{sign}' itself",
                hint="only answers of other signs say something here; take it out",
            )


def _leads_to(plant: Plant, sign: Sign, told: Told) -> bool:
    return any(True for _ in _before(plant, sign, told, ()))


def _before(plant: Plant, sign: Sign, told: Told, asking: Sequence[str]) -> Iterator[Told]:
    """Sets of answers, those told among them, after which a sign can be asked."""
    # What is needed in a ring is never told.
    if sign.id not in asking:
        senseless = senseless_after(sign, plant.signs)
        for way in _met(plant, list(sign.needs.items()), told, (*asking, sign.id)):
            if senseless.isdisjoint(way.values()):
                yield way


def _met(
    plant: Plant,
    needs: Sequence[tuple[str, Sequence[str]]],
    told: Told,
    asking: Sequence[str],
) -> Iterator[Told]:
    if not needs:
        yield told
        return
    (needed, answers), *rest = needs
    for answer in answers:
        for way in _with(plant, needed, answer, told, asking):
            yield from _met(plant, rest, way, asking)


def _with(
    plant: Plant, sign: str, answer: str, told: Told, asking: Sequence[str]
) -> Iterator[Told]:
    if sign in told:
        if told[sign] == answer:
            yield told
        return
    for way in _before(plant, plant.signs[sign], told, asking):
        yield {**way, sign: answer}
