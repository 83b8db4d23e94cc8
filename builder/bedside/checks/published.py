"""What was published and must be found again: ids in links, and pages.

Pages are checked apart from the rulebook: which addresses are live, only those know who
know every page of a site.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from bedside.checks.material import Fault, Faults, Material
from bedside.model.library import Library, uses_in
from bedside.model.library import Path as Steps
from bedside.model.published_addresses import (
    FILE,
    Promised,
    bare,
    followed,
    is_promised,
    promised_of,
)
from bedside.model.records import Plant
from bedside.problems import WARNING, Problem, did_you_mean
from bedside.read.drafts import pages_named


def lost_id(material: Material) -> Faults:
    """Every sign and answer id that was ever in a link still means something."""
    promised = promised_of(material.library)
    for plant, signs in promised.answers.items():
        found = material.library.knowledge.plants.get(plant)
        ended = promised.ended_answers.get(plant, {})
        if found is None:
            if any(id_ not in ended for _, id_ in _published(plant, signs)):
                yield _fault(
                    material, ("answers", plant), f"there is no plant '{plant}' now",
                    "links to it were published; bring its folder back, and take it out "
                    f"with: bedside remove {plant}",
                )  # fmt: skip
            continue
        known = {
            *_ids(found),
            *promised.heirs(plant),
            *ended,
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


@dataclass(frozen=True, kw_only=True, slots=True)
class Change:
    """What the knowledge does to what was published, each in the order of names."""

    added: tuple[str, ...] = ()  # pages
    added_ids: tuple[str, ...] = ()  # "plant: sign: answer"
    moved: tuple[tuple[str, str], ...] = ()  # pages
    ended: tuple[str, ...] = ()
    lost: tuple[str, ...] = ()


def change_of(library: Library, addresses: Iterable[str]) -> Change:
    """Compare the pages that this knowledge makes with what was published."""
    live = frozenset(addresses)
    promised = promised_of(library)
    gone = [page for page in promised.pages if page not in live]
    moved = {page: promised.heir(page) for page in gone if page in promised.moved_pages}
    return Change(
        added=tuple(sorted(live - set(promised.pages))),
        added_ids=tuple(sorted(_new_ids(library, promised))),
        moved=tuple(sorted((old, new or "") for old, new in moved.items())),
        ended=tuple(sorted(page for page in gone if page in promised.ended_pages)),
        lost=tuple(
            sorted(set(gone) - set(promised.moved_pages) - set(promised.ended_pages))
        ),
    )


def _new_ids(library: Library, promised: Promised) -> Iterator[str]:
    for plant in library.knowledge.plants.values():
        before = promised.answers.get(plant.id, {})
        for sign in plant.signs.values():
            if sign.id not in before:
                yield f"{plant.id}: {sign.id}"
            for answer in sign.all_answers:
                if answer.id not in before.get(sign.id, ()):
                    yield f"{plant.id}: {sign.id}: {answer.id}"


def grown(library: Library, addresses: Iterable[str]) -> Promised:
    """What will have been published after this knowledge is: never less than before."""
    old = promised_of(library)
    answers = {plant: dict(signs) for plant, signs in old.answers.items()}
    for plant in library.knowledge.plants.values():
        signs = answers.setdefault(plant.id, {})
        for sign in plant.signs.values():
            ids = (*signs.get(sign.id, ()), *(it.id for it in sign.all_answers))
            signs[sign.id] = tuple(dict.fromkeys(ids))
    pages = {*old.pages, *addresses}
    return replace(old, pages=tuple(sorted(pages)), answers=answers)


def check_pages(library: Library, addresses: Iterable[str]) -> Iterator[Problem]:
    """Yield a problem for each page that is named or was published, and is not there."""
    live = dict.fromkeys(addresses, "")
    yield from _unknown(library, live)
    if is_promised(library):
        change = change_of(library, live)
        yield from _lost(library, change, live)
        yield from _wrong_moves(library, live)
        yield from _unlisted(library, change)


def _unknown(library: Library, live: dict[str, str]) -> Iterator[Problem]:
    topics = [bare(it.address) for it in library.knowledge.topics.values()]
    for kind, place in pages_named():
        known, what = (topics, "topic") if "read_more" in place else (live, "page")
        documents = (it for it in library.documents.values() if it.kind == kind)
        for use in (use for document in documents for use in uses_in(document, place)):
            if bare(use.name) not in known:
                yield library.problem(
                    use.document.file, use.path, "unknown-page",
                    f"there is no {what} {use.name}",
                    did_you_mean(bare(use.name), known) or f"name a {what} of the site",
                )  # fmt: skip


def _lost(library: Library, change: Change, live: dict[str, str]) -> Iterator[Problem]:
    for number, page in enumerate(library.documents[FILE].data["pages"]):
        if bare(page) in change.lost:
            yield library.problem(
                FILE, ("pages", number), "lost-page",
                f"the page {page} was published and is gone", _how_to_keep(page, live),
            )  # fmt: skip


def _wrong_moves(library: Library, live: dict[str, str]) -> Iterator[Problem]:
    promised = promised_of(library)
    ever = frozenset(promised.pages)
    for old, new in promised.moved_pages.items():
        why = move_fault(old, new, promised.moved_pages, live, ever)
        if why:
            path = ("moved", "pages", f"/{old}")
            yield library.problem(FILE, path, "wrong-move", *why, key=True)
    for old in promised.ended_pages:
        if old in live:
            path = ("ended", "pages", f"/{old}")
            yield library.problem(FILE, path, "wrong-move", *still_there(old), key=True)


def _unlisted(library: Library, change: Change) -> Iterator[Problem]:
    count = len(change.added) + len(change.added_ids)
    if count:
        yield library.problem(
            FILE, (), "unlisted-address",
            f"{count} new addresses and ids are not in the list of what is published",
            "promise them when the site goes on the web: bedside publish", level=WARNING,
        )  # fmt: skip


def _how_to_keep(page: str, live: dict[str, str]) -> str:
    near = did_you_mean(bare(page), live)
    like = f" ({near})" if near else ""
    return f"write below moved: pages: {{{page}: its new address}}{like}"
