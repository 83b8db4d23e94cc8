"""All pages and computed files of a site. A page kind is one line in PAGE_KINDS.

A kind whose titles are in words.json names them in `SAYS`, each with the slots it fills.
"""

from collections.abc import Callable, Iterator, Mapping
from string import Formatter
from typing import Any, Protocol

from bedside.pages import (
    how_sure_page,
    previews,
    redirects,
    reference_pages,
    service_worker,
)
from bedside.pages.frame.assets import Asset
from bedside.pages.frame.desk import Site, SitePage
from bedside.pages.letters import letter_pages
from bedside.pages.season import mixing_page, season_pages
from bedside.pages.sheets import sheet_pages
from bedside.pages.walk import browser_data, question_pages, result_pages
from bedside.problems import Location, Problem, problem_at

WORDS = "../site_src/words.json"  # a problem's file is told from the knowledge folder


class PageKind(Protocol):
    """What a module of pages offers."""

    def pages(self, site: Site) -> Iterator[SitePage]: ...


# Under the names that `addresses.ADDRESSES` has for them.
PAGE_KINDS: Mapping[str, PageKind] = {
    "questions": question_pages,
    "results": result_pages,
    "references": reference_pages,
    "how_sure": how_sure_page,
    "season": season_pages,
    "mixing": mixing_page,
    "short": redirects,
    "sheets": sheet_pages,
    "letters": letter_pages,
}
ASSET_KINDS: tuple[Callable[[Site], Iterator[Asset]], ...] = (
    browser_data.assets,
    reference_pages.assets,
    season_pages.assets,
    sheet_pages.assets,
    letter_pages.assets,
    previews.assets,
    redirects.assets,
    service_worker.assets,
)


def unsaid(words: Mapping[str, Any]) -> Iterator[Problem]:
    """Yield a problem for each title or description that words.json does not say right."""
    for kind in PAGE_KINDS.values():
        for name, slots in getattr(kind, "SAYS", {}).items():
            key, _, id_ = name.partition(".")
            text = words.get(key, {}).get(id_, "")
            if not text:
                hint = f'write a text for "{id_}" below "{key}"'
                yield _unsaid(f"there is no text '{name}'", hint)
            held = {slot for _, slot, *_ in Formatter().parse(text) if slot is not None}
            for slot in sorted(held - set(slots)):
                hint = (
                    f"it may hold {', '.join(f'{{{it}}}' for it in slots) or 'no braces'}"
                )
                yield _unsaid(f"nothing fills {{{slot}}} in '{name}'", hint)


def _unsaid(message: str, hint: str) -> Problem:
    return problem_at(Location(file=WORDS), "missing-words", message, hint)


def all_pages(site: Site) -> tuple[SitePage, ...]:
    """Every page, in the order of the kinds; then one for each address of old."""
    made = (page for kind in PAGE_KINDS.values() for page in kind.pages(site))
    return (*made, *redirects.pages_of_old(site))


def all_assets(site: Site) -> tuple[Asset, ...]:
    """Every computed file."""
    return tuple(asset for kind in ASSET_KINDS for asset in kind(site))
