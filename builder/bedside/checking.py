"""Everything wrong with what was read: its shape, then its meaning, then its pages."""

from datetime import date

from bedside import checks
from bedside.checks.published import check_pages
from bedside.pages.frame.addresses import all_addresses
from bedside.problems import Problem
from bedside.read.load import Loaded


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
    return (*loaded.problems, *checks.run(library, today), *pages)
