"""All pages and computed files of a site. A page kind is one line in PAGE_KINDS."""

from collections.abc import Callable, Iterator

from builder.compile import (
    browser_data,
    cause_pages,
    control_pages,
    handout_pages,
    how_sure_pages,
    key_pages,
    letter_pages,
    mixing_pages,
    offline,
    preview_pages,
    question_pages,
    redirects,
    reference_pages,
    result_pages,
    season_pages,
    short_pages,
)
from builder.compile.assets import Asset
from builder.compile.site import Site, SitePage

PAGE_KINDS: tuple[Callable[[Site], Iterator[SitePage]], ...] = (
    question_pages.pages,
    result_pages.pages,
    cause_pages.pages,
    control_pages.pages,
    reference_pages.pages,
    how_sure_pages.pages,
    season_pages.pages,
    mixing_pages.pages,
    short_pages.pages,
    handout_pages.pages,
    key_pages.pages,
    letter_pages.pages,
    redirects.pages,
)
ASSET_KINDS: tuple[Callable[[Site], Iterator[Asset]], ...] = (
    browser_data.assets,
    reference_pages.assets,
    season_pages.assets,
    handout_pages.assets,
    key_pages.assets,
    letter_pages.assets,
    preview_pages.assets,
    redirects.assets,
    offline.assets,
)


def all_pages(site: Site) -> tuple[SitePage, ...]:
    """Every page, in the order of the kinds."""
    return tuple(page for kind in PAGE_KINDS for page in kind(site))


def all_assets(site: Site) -> tuple[Asset, ...]:
    """Every computed file."""
    return tuple(asset for kind in ASSET_KINDS for asset in kind(site))
