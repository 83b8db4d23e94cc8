"""All pages and computed files of a site. A page kind is one line in PAGE_KINDS."""

from collections.abc import Callable, Iterator

from bedside.pages import previews, redirects, service_worker, short_addresses
from bedside.pages.frame.assets import Asset
from bedside.pages.frame.desk import Site, SitePage
from bedside.pages.how_sure import how_sure_page
from bedside.pages.letters import letter_pages
from bedside.pages.records import cause_pages, control_pages, reference_pages
from bedside.pages.season import mixing_page, season_pages
from bedside.pages.sheets import key_pages, sheet_pages
from bedside.pages.walk import browser_data, question_pages, result_pages

PAGE_KINDS: tuple[Callable[[Site], Iterator[SitePage]], ...] = (
    question_pages.pages,
    result_pages.pages,
    cause_pages.pages,
    control_pages.pages,
    reference_pages.pages,
    how_sure_page.pages,
    season_pages.pages,
    mixing_page.pages,
    short_addresses.pages,
    sheet_pages.pages,
    key_pages.pages,
    letter_pages.pages,
    redirects.pages,
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


def all_pages(site: Site) -> tuple[SitePage, ...]:
    """Every page, in the order of the kinds."""
    return tuple(page for kind in PAGE_KINDS for page in kind(site))


def all_assets(site: Site) -> tuple[Asset, ...]:
    """Every computed file."""
    return tuple(asset for kind in ASSET_KINDS for asset in kind(site))
