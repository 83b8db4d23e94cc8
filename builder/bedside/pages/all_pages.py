"""All pages and computed files of a site. A page kind is one line in PAGE_KINDS."""

from collections.abc import Callable, Iterator
from typing import Protocol

from bedside.model.library import Library
from bedside.model.season import SeasonKnowledge
from bedside.pages import previews, redirects, service_worker, short_addresses
from bedside.pages.frame.assets import Asset
from bedside.pages.frame.desk import Site, SitePage
from bedside.pages.how_sure import how_sure_page
from bedside.pages.letters import letter_pages
from bedside.pages.records import cause_pages, control_pages, reference_pages
from bedside.pages.season import mixing_page, season_pages
from bedside.pages.sheets import key_pages, sheet_pages
from bedside.pages.walk import browser_data, question_pages, result_pages


class PageKind(Protocol):
    """What a module of pages offers: its addresses, from records alone, and its pages."""

    def addresses(
        self, library: Library, season: SeasonKnowledge | None, /
    ) -> Iterator[str]: ...

    def pages(self, site: Site) -> Iterator[SitePage]: ...


PAGE_KINDS: tuple[PageKind, ...] = (
    question_pages,
    result_pages,
    cause_pages,
    control_pages,
    reference_pages,
    how_sure_page,
    season_pages,
    mixing_page,
    short_addresses,
    sheet_pages,
    key_pages,
    letter_pages,
)
ASSET_KINDS: tuple[Callable[[Site], Iterator[Asset]], ...] = (
    browser_data.assets,
    reference_pages.assets,
    season_pages.assets,
    sheet_pages.assets,
    key_pages.assets,
    letter_pages.assets,
    previews.assets,
    redirects.assets,
    service_worker.assets,
)


def all_addresses(library: Library, season: SeasonKnowledge | None) -> tuple[str, ...]:
    """Every page address of the site that this knowledge makes, each once.

    From records alone: no page is made, so a check stays quick.
    """
    every = (it for kind in PAGE_KINDS for it in kind.addresses(library, season))
    return tuple(dict.fromkeys(every))


def all_pages(site: Site) -> tuple[SitePage, ...]:
    """Every page, in the order of the kinds; then one for each address of old."""
    made = (page for kind in PAGE_KINDS for page in kind.pages(site))
    return (*made, *redirects.pages(site))


def all_assets(site: Site) -> tuple[Asset, ...]:
    """Every computed file."""
    return tuple(asset for kind in ASSET_KINDS for asset in kind(site))
