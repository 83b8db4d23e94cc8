"""What a change does to the page addresses and ids that were published."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from bedside.checks.published_ids import move_fault, still_there
from bedside.model.library import Library
from bedside.model.published_addresses import FILE, Promised, bare, is_promised, promised_of
from bedside.model.season import SeasonTables
from bedside.pages.frame.every_address import all_addresses
from bedside.problems import WARNING, Problem, did_you_mean


@dataclass(frozen=True, kw_only=True, slots=True)
class Change:
    """What the knowledge does to what was published, each in the order of names."""

    added: tuple[str, ...] = ()  # pages
    added_ids: tuple[str, ...] = ()  # "plant: sign: answer"
    moved: tuple[tuple[str, str], ...] = ()  # pages
    ended: tuple[str, ...] = ()
    lost: tuple[str, ...] = ()


def change_of(library: Library, season: SeasonTables | None) -> Change:
    """Compare the knowledge with what was published."""
    return _change(library, frozenset(all_addresses(library, season)))


def _change(library: Library, live: frozenset[str]) -> Change:
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


def grown(library: Library, season: SeasonTables | None) -> Promised:
    """What will have been published after this knowledge is: never less than before."""
    old = promised_of(library)
    answers = {plant: dict(signs) for plant, signs in old.answers.items()}
    for plant in library.knowledge.plants.values():
        signs = answers.setdefault(plant.id, {})
        for sign in plant.signs.values():
            ids = (*signs.get(sign.id, ()), *(it.id for it in sign.all_answers))
            signs[sign.id] = tuple(dict.fromkeys(ids))
    pages = {*old.pages, *all_addresses(library, season)}
    return replace(old, pages=tuple(sorted(pages)), answers=answers)


def check_pages(library: Library, season: SeasonTables | None) -> Iterator[Problem]:
    """Yield a problem for each page that is named or was published, and is not there."""
    live = dict.fromkeys(all_addresses(library, season), "")
    yield from _unknown(library, live)
    if is_promised(library):
        change = _change(library, frozenset(live))
        yield from _lost(library, change, live)
        yield from _wrong_moves(library, live)
        yield from _unlisted(library, change)


def _unknown(library: Library, live: dict[str, str]) -> Iterator[Problem]:
    for document in library.documents.values():
        for name, asked in document.data.items() if document.kind == "asked" else ():
            page = asked["page"]
            if bare(page) not in live:
                yield library.problem(
                    document.file, (name, "page"), "unknown-page",
                    f"there is no page {page}",
                    did_you_mean(bare(page), live) or "name a page of the site",
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
            "before you publish, run bedside links --write", level=WARNING,
        )  # fmt: skip


def _how_to_keep(page: str, live: dict[str, str]) -> str:
    near = did_you_mean(bare(page), live)
    like = f" ({near})" if near else ""
    return f"write below moved: pages: {{{page}: its new address}}{like}"
