"""Ids that point nowhere."""

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from itertools import chain

from bedside.checks.material import Fault, Faults, Material
from bedside.checks.uses import source_uses, uses_of
from bedside.model.library import Document, Use, uses_in
from bedside.model.library import Path as Steps
from bedside.model.records import KINDS, Plant, Sign
from bedside.problems import WARNING, did_you_mean, listed

# The sign is the second step of the place, the sign of the check, or the file's own.
ANSWER_USES = (
    ("cause", "evidence.*/"),
    ("cause", "check.passes.*"),
    ("cause", "check.fails.*"),
    ("sign", "needs.*.*"),
    ("sign", "normal"),
)
# Answers of whatever sign.
ANY_ANSWER_USES = (
    ("cause", "check.told_by.*"),
    ("first_steps", "*.do_after/"),
    ("plant", "ways_in.*.findings.*"),
)
# Answers of whatever sign, or a sign: each of its answers, or asked and not told.
ANSWER_OR_SIGN_USES = (("sign", "not_after.*"), ("cases", "*.findings.*"))
Known = Callable[[Use], Collection[str]]
# What makes what is not there yet.
MADE_BY: Mapping[str, str] = {
    "source": "bedside new source NAME", "sign": "bedside new sign NAME",
    "cause": "bedside new cause NAME", "control": "bedside new control NAME",
    "first step": "bedside new step NAME", "family": "below 'families' in plant.yaml",
}  # fmt: skip


def unknown_source(material: Material) -> Faults:
    """Every source that a record cites is in sources.yaml."""
    known = material.library.knowledge.sources
    yield from _unknown(source_uses(material), "source", lambda _: known)


def unknown_sign(material: Material) -> Faults:
    """Every sign that a cause, a tree, a first step or another sign names is in signs/."""
    uses = chain(uses_of(material, "sign"), _asked(material))
    yield from _unknown(uses, "sign", lambda use: _plant(material, use).signs)


def unknown_cause(material: Material) -> Faults:
    """Every cause that a look-alike, an end or a case names is a file in causes/."""
    yield from _unknown(
        uses_of(material, "cause"), "cause", lambda use: _plant(material, use).causes
    )
    for use in _answered(material):
        if use.name not in (causes := _plant(material, use).causes):
            yield _fault(use, "cause, and no kind of cause,", (*KINDS, *causes))
    for use in _ended(material):
        plant = _plant(material, use)
        if use.name in plant.signs and use.name not in plant.causes:
            yield Fault(
                place=use.place,
                message=f"'{use.name}' is a sign, and a way ends at a cause",
                hint="to ask it, write a colon after it and its answers below",
            )
        elif use.name not in plant.causes:
            yield _fault(use, "cause", plant.causes)


def unknown_control(material: Material) -> Faults:
    """Every control that a plant names is in its controls/ or in the shared ones."""
    knowledge = material.library.knowledge
    yield from _unknown(
        uses_of(material, "control"),
        "control",
        lambda use: knowledge.controls_of(use.document.plant),
    )


def unknown_first_step(material: Material) -> Faults:
    """Every first step that a cause names is in first_steps.yaml."""
    yield from _unknown(
        uses_of(material, "first step"),
        "first step",
        lambda use: _plant(material, use).first_steps,
    )


def unknown_family(material: Material) -> Faults:
    """Every family that a cause names is in plant.yaml."""
    yield from _unknown(
        uses_of(material, "family"), "family", lambda use: _plant(material, use).families
    )


def unknown_zone(material: Material) -> Faults:
    """Every zone that a cause or a case names is in zones.yaml."""
    known = material.library.knowledge.zones
    yield from _unknown(uses_of(material, "zone"), "zone", lambda _: known)


def unknown_season(material: Material) -> Faults:
    """Every season that a cause or a case names is in zones.yaml."""
    known = material.library.knowledge.seasons
    yield from _unknown(uses_of(material, "season"), "season", lambda _: known)


def unknown_country(material: Material) -> Faults:
    """The nursery's own country is one whose emergency numbers we have."""
    knowledge = material.library.knowledge
    countries = [country.id for country in knowledge.emergencies.countries]
    if knowledge.nursery.country not in countries:
        yield Fault(
            place=material.library.place("nursery.yaml", "country"),
            message=f"no emergency numbers for '{knowledge.nursery.country}'",
            hint="add the country to emergencies.yaml",
        )


def unknown_answer(material: Material) -> Faults:
    """Every answer that a record names is an answer of the sign it is named under."""
    for use, signs in _answer_uses(material):
        ids = (answer.id for sign in signs for answer in sign.all_answers)
        if signs and use.name not in ids:
            known = [answer.id for sign in signs for answer in sign.all_answers]
            what = f"answer to '{signs[0].id}'" if len(signs) == 1 else "answer or sign"
            yield _fault(use, what, known)


def missing_drawing(material: Material) -> Faults:
    """Every drawing that a record names is in drawings/; until then a sketch stands in."""
    for use in uses_of(material, "drawing"):
        if use.name not in _plant(material, use).drawings:
            yield Fault(
                place=use.place,
                message=f"no drawing called '{use.name}', so a plain sketch is shown",
                hint=f"draw {use.document.plant}/drawings/{use.name}.svg",
                level=WARNING,
            )


def _plant(material: Material, use: Use) -> Plant:
    return material.library.knowledge.plants[use.document.plant]


def _unknown(uses: Iterable[Use], what: str, known: Known) -> Faults:
    for use in uses:
        names = known(use)
        if use.name not in names:
            yield _fault(use, what, names)


def _fault(use: Use, what: str, known: Collection[str]) -> Fault:
    hint = did_you_mean(use.name, known)
    if not hint:
        new = f"write it: {MADE_BY[what]}" if what in MADE_BY else "name one that is there"
        hint = f"there are {listed(known)}; or {new}" if known else new
    return Fault(place=use.place, message=f"no {what} called '{use.name}'", hint=hint)


def _asked(material: Material) -> Iterator[Use]:
    for plant in material.plants:
        document = material.library.documents.get(plant.tree.file)
        if document is None:
            continue
        for it in plant.tree.questions.values():
            path = (*it.path, it.sign)
            yield Use(document=document, path=path, name=it.sign, is_key=True)


def _answered(material: Material) -> Iterator[Use]:
    """Find every cause for which a question that customers ask has a reply of its own."""
    for document in material.documents("asked"):
        uses = uses_in(document, "*.for/")
        yield from (use for use in uses if use.name not in KINDS)


def _ended(material: Material) -> Iterator[Use]:
    for plant in material.plants:
        document = material.library.documents.get(plant.tree.file)
        if document is None:
            continue
        for end in plant.tree.ends.values():
            for number, cause in enumerate(end.shows):
                at: Steps = (number,) if len(end.shows) > 1 else ()
                yield Use(document=document, path=(*end.path, *at), name=cause)


def _answer_uses(material: Material) -> Iterator[tuple[Use, tuple[Sign, ...]]]:
    """Pair each use of an answer with the signs it may belong to."""
    yield from _of_one_sign(material)
    for kind, pattern in (*ANY_ANSWER_USES, *ANSWER_OR_SIGN_USES):
        may_be_sign = (kind, pattern) in ANSWER_OR_SIGN_USES
        for document in material.documents(kind):
            signs = material.library.knowledge.plants[document.plant].signs
            for use in uses_in(document, pattern):
                if not (may_be_sign and use.name in signs):
                    yield use, tuple(signs.values())


def _of_one_sign(material: Material) -> Iterator[tuple[Use, tuple[Sign, ...]]]:
    for kind, pattern in ANSWER_USES:
        for document in material.documents(kind):
            signs = material.library.knowledge.plants[document.plant].signs
            for use in uses_in(document, pattern):
                name = _sign_of(document, pattern, use)
                if name in signs:
                    yield use, (signs[name],)


def _sign_of(document: Document, pattern: str, use: Use) -> str:
    if pattern == "normal":
        return document.id
    return str(document.data["check"]["sign"] if "check" in pattern else use.path[1])
