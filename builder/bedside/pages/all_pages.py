"""All pages and computed files of a site. A page kind is one line in PAGE_KINDS."""

from collections.abc import Callable, Iterator, Mapping

from bedside.pages import previews, redirects, service_worker, short_addresses
from bedside.pages.frame.assets import Asset
from bedside.pages.frame.desk import Site, SitePage
from bedside.pages.how_sure import how_sure_page
from bedside.pages.letters import letter_pages
from bedside.pages.records import cause_pages, control_pages, reference_pages
from bedside.pages.season import mixing_page, season_pages
from bedside.pages.sheets import key_pages, sheet_pages
from bedside.pages.walk import browser_data, question_pages, result_pages

# Under the names that `every_address.ADDRESSES` has for them.
PAGE_KINDS: Mapping[str, Callable[[Site], Iterator[SitePage]]] = {
    "questions": question_pages.pages,
    "results": result_pages.pages,
    "causes": cause_pages.pages,
    "controls": control_pages.pages,
    "references": reference_pages.pages,
    "how_sure": how_sure_page.pages,
    "season": season_pages.pages,
    "mixing": mixing_page.pages,
    "short": short_addresses.pages,
    "sheets": sheet_pages.pages,
    "keys": key_pages.pages,
    "letters": letter_pages.pages,
}
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
    """Every page, in the order of the kinds; then one for each address of old."""
    made = (page for pages in PAGE_KINDS.values() for page in pages(site))
    return (*made, *redirects.pages(site))


def all_assets(site: Site) -> tuple[Asset, ...]:
    """Every computed file."""
    return tuple(asset for kind in ASSET_KINDS for asset in kind(site))
