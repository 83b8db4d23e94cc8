"""Everything wrong with what was read: its shape, then its meaning, then its pages."""

from collections.abc import Iterable, Iterator
from datetime import date

from bedside import checks
from bedside.checks.published import check_pages
from bedside.pages.frame.addresses import all_addresses
from bedside.problems import Problem
from bedside.read.drafts import softened, softer
from bedside.read.load import Loaded

# What every page takes something from: without it there is nothing to show.
EVERY_PAGE = ("nursery.yaml", "sources.yaml", "zones.yaml", "emergencies.yaml")

# What a page shows all the same.
STILL_SHOWN = frozenset(("missing-evidence", "two-always"))


def problems_of(loaded: Loaded, today: date | None = None) -> tuple[Problem, ...]:
    """Everything wrong with what was read; its meaning is checked once its shape is right.

    With a day, also the records that nobody has reviewed for long.
    """
    library, season = loaded.library, loaded.season
    if library is None:
        return loaded.problems
    # A season that can't be read would make all its pages look lost.
    live = () if loaded.season_is_faulty else all_addresses(library, season)
    pages = check_pages(library, live) if live else ()
    return (*loaded.problems, *meaning_of(loaded, today), *pages)


def meaning_of(loaded: Loaded, today: date | None = None) -> tuple[Problem, ...]:
    """What the rulebook says of what is published, and of drafts as warnings."""
    assert loaded.library is not None
    found = checks.run(loaded.library, today)
    if loaded.with_drafts is None:
        return found
    whole = checks.run(loaded.with_drafts, today)
    return tuple(softened(found, whole, loaded.drafts))


def preview_problems(loaded: Loaded, *, whole: bool) -> Iterator[Problem]:
    """Everything wrong with what is shown while it is edited; a draft's are warnings.

    Only the `whole` site can say which published pages are gone.
    """
    library = loaded.library
    assert library is not None
    yield from loaded.problems
    for it in checks.run(library):
        yield softer(it) if it.file in loaded.drafts else it
    if whole and not loaded.season_is_faulty:
        yield from check_pages(library, all_addresses(library, loaded.season))


def unusable(problems: Iterable[Problem]) -> frozenset[str]:
    """The files of which no page can be made, so wrong are the ids that they name."""
    codes = {checks.code_of(check) for check in checks.STRUCTURE} - STILL_SHOWN
    return frozenset(
        it.file for it in problems if it.code in codes and it.file not in EVERY_PAGE
    )
