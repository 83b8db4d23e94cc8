"""What was published and must be found again: ids in links.

Pages are looked after in `bedside.pages.address_changes`, which knows every page of a site.
"""

from collections.abc import Iterator, Mapping

from bedside.checks.material import Fault, Faults, Material
from bedside.model.documents import Path as Steps
from bedside.model.published_addresses import FILE, Promised, followed, promised_of
from bedside.model.records import Plant
from bedside.problems import did_you_mean


def lost_id(material: Material) -> Faults:
    """Every sign and answer id that was ever in a link still means something."""
    promised = promised_of(material.library)
    for plant, signs in promised.answers.items():
        found = material.library.knowledge.plants.get(plant)
        if found is None:
            yield _fault(material, ("answers", plant), f"there is no plant '{plant}' now",
                         "links to it were published; bring its folder back")  # fmt: skip
            continue
        known = {
            *_ids(found),
            *promised.heirs(plant),
            *promised.ended_answers.get(plant, {}),
        }
        for path, id_ in _published(plant, signs):
            if id_ not in known:
                yield _fault(
                    material, path, f"'{id_}' was published and is gone",
                    f"bring it back, or write below moved: answers: {plant}: "
                    f"{{{id_}: its new id}}",
                )  # fmt: skip


def reused_id(material: Material) -> Faults:
    """No answer id that was published now answers another question."""
    promised = promised_of(material.library)
    for plant, signs in promised.answers.items():
        found = material.library.knowledge.plants.get(plant)
        asked = _ids(found) if found else {}
        for sign, answers in signs.items():
            heir = promised.heirs(plant).get(sign, sign)
            for number, answer in enumerate(answers):
                if asked.get(answer, heir) != heir:
                    yield _fault(
                        material, ("answers", plant, sign, number),
                        f"'{answer}' now answers '{asked[answer]}'",
                        f"links still mean '{sign}' by it: give the new answer another id",
                    )  # fmt: skip


def wrong_move(material: Material) -> Faults:
    """What is moved or ended was published, is gone, and leads to what is there."""
    promised = promised_of(material.library)
    for plant, moves in promised.moved_answers.items():
        found = material.library.knowledge.plants.get(plant)
        known = _ids(found) if found else {}
        for old, new in moves.items():
            why = move_fault(old, new, moves, known, _ever(promised, plant))
            if why:
                yield _fault(material, ("moved", "answers", plant, old), *why)
        for old in promised.ended_answers.get(plant, {}):
            if old in known:
                yield _fault(material, ("ended", "answers", plant, old), *still_there(old))


def move_fault(
    old: str,
    new: str,
    moves: Mapping[str, str],
    known: Mapping[str, str],
    ever: frozenset[str],
) -> tuple[str, str] | None:
    """What is wrong with one move, and what to do; nothing if it is right."""
    end = followed(moves, new)
    if old in known:
        return still_there(old)
    if end is None:
        return "these moves go round in a ring", "let the last one lead to what is there"
    if end not in known:
        return f"there is no '{new}'", did_you_mean(new, known) or "name what is there now"
    if old not in ever:
        return f"'{old}' was never published", did_you_mean(old, ever) or "take it out"
    return None


def still_there(old: str) -> tuple[str, str]:
    """What is wrong with moving or ending what is there, and what to do."""
    return f"'{old}' is still there", "take this line out, or remove what it names"


def _ids(plant: Plant) -> dict[str, str]:
    """The sign of every id that may stand in a link to a plant."""
    signs = {sign.id: sign.id for sign in plant.signs.values()}
    return signs | {
        answer.id: sign.id for sign in plant.signs.values() for answer in sign.all_answers
    }


def _published(
    plant: str, signs: Mapping[str, tuple[str, ...]]
) -> Iterator[tuple[Steps, str]]:
    for sign, answers in signs.items():
        yield ("answers", plant, sign), sign
        for number, answer in enumerate(answers):
            yield ("answers", plant, sign, number), answer


def _ever(promised: Promised, plant: str) -> frozenset[str]:
    signs = promised.answers.get(plant, {})
    return frozenset(id_ for _, id_ in _published(plant, signs))


def _fault(material: Material, path: Steps, message: str, hint: str) -> Fault:
    # A sign is a key; an answer, a moved id and a plant are what is at fault themselves.
    key = isinstance(path[-1], str)
    place = material.library.place(FILE, *path, key=key)
    return Fault(place=place, message=message, hint=hint)
