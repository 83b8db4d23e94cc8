"""What people write: phrases that clash or can never match, and rules that lead nowhere."""

from collections.abc import Iterator
from functools import lru_cache

from bedside.checks.material import Fault, Faults, Material
from bedside.language.letter_phrases import NEGATIVE, Phrase, Reading, reading_of
from bedside.model.library import Path as Steps
from bedside.model.records import Plant, Sign


def empty_phrase(material: Material) -> Faults:
    """A phrase holds at least one word that tells something, beside a "not"."""
    for plant, sign, steps, text, phrase in _phrases_of(material):
        telling = [slot for slot in phrase if NEGATIVE not in slot]
        if not telling:
            yield Fault(
                place=material.library.place(sign.file, *steps),
                message=f"'{text}' holds only small words, so it can never match",
                hint=f"say what people see on the {plant.name.lower()}, or take it out",
            )


def clashing_phrase(material: Material) -> Faults:
    """No phrase stands for two answers of one sign."""
    taken: dict[tuple[str, str, frozenset[tuple[str, ...]]], str] = {}
    for plant, sign, steps, text, phrase in _phrases_of(material):
        answer = _answer_at(sign, steps)
        key = (plant.id, sign.id, frozenset(phrase))
        if taken.setdefault(key, answer) != answer:
            yield Fault(
                place=material.library.place(sign.file, *steps),
                message=f"'{text}' stands for two answers of this sign",
                hint=f"it also leads to '{taken[key]}'; keep it at the one people mean",
            )


def unknown_danger(material: Material) -> Faults:
    """Each box of first aid that words/dangers.yaml names is there, and the other way."""
    lines = (material.library.words("dangers") or {"lines": {}})["lines"]
    aids = {aid.id for aid in material.library.knowledge.emergencies.first_aid}
    for aid in lines:
        if aid not in aids:
            yield _of_lines(material, (aid,), f"there is no first-aid box called '{aid}'")
    for aid in sorted(aids - set(lines)) if lines else ():
        yield _of_lines(material, (), f"no line says whom to call first for '{aid}'")


CHECKS = (empty_phrase, clashing_phrase, unknown_danger)


def _of_lines(material: Material, steps: tuple[str, ...], message: str) -> Fault:
    return Fault(
        place=material.library.place("words/dangers.yaml", "lines", *steps, key=True),
        message=message,
        hint="lines and first aid (emergencies.yaml) name the same boxes",
    )


def _reading(material: Material) -> Reading:
    data = material.library.words("reading")
    names = [name for plant in material.plants for name in (plant.name, plant.plural)]
    return reading_of(data, names) if data else _NOTHING


_NOTHING = Reading(same={}, small=frozenset(), joined=frozenset())


@lru_cache(maxsize=1)  # two checks ask in turn
def _phrases_of(
    material: Material,
) -> tuple[tuple[Plant, Sign, Steps, str, Phrase], ...]:
    reading = _reading(material)
    return tuple(
        (plant, sign, steps, text, reading.phrase(text))
        for plant, sign, steps, text in _texts_of(material)
    )


def _texts_of(material: Material) -> Iterator[tuple[Plant, Sign, Steps, str]]:
    for plant in material.plants:
        for sign in plant.signs.values():
            for number, answer in enumerate(sign.answers):
                for at, text in enumerate(answer.words):
                    yield plant, sign, ("answers", number, "words", at), text
            for at, text in enumerate(sign.none.words if sign.none else ()):
                yield plant, sign, ("none", "words", at), text


def _answer_at(sign: Sign, steps: Steps) -> str:
    if steps[0] == "none" and sign.none:
        return sign.none.id
    return sign.answers[int(steps[1])].id
