"""The only module that knows MkDocs: it hands over ready pages, and MkDocs frames them.

Lean pages pass through whole; reference pages get the theme's frame, navigation and search.
A move to another site generator costs this file.
"""

import os
from collections.abc import Iterator
from datetime import UTC, datetime
from html import escape
from pathlib import Path

from jinja2 import Environment
from mkdocs.commands.build import build as mkdocs_build
from mkdocs.config import load_config
from mkdocs.config.base import Config
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import PluginError
from mkdocs.plugins import BasePlugin
from mkdocs.structure.files import File, Files, InclusionLevel
from mkdocs.structure.pages import Page

from bedside import pipeline
from bedside.pages.frame.addresses import LOST
from bedside.pages.frame.desk import SitePage
from bedside.pages.frame.templates import with_policy
from bedside.pipeline import Built
from bedside.problems import render
from bedside.publish.offline_copy import offline_files
from bedside.publish.site_files import read_site, write_files
from bedside.publish.sitemap import root_files
from bedside.read.plain_text import collector_paused
from bedside.read.shipped import SHIPPED, place_of


class NoSettings(Config):  # type: ignore[no-untyped-call]  # untyped in MkDocs
    """What the site is comes from the knowledge, so there is nothing to set."""


class Bedside(BasePlugin[NoSettings]):  # type: ignore[no-untyped-call]  # the same
    """Gives MkDocs every page and file of one build."""

    def __init__(self, built: Built) -> None:
        self.built = built
        self.by_source = {_source(page): page for page in built.pages}

    def on_config(self, config: MkDocsConfig) -> MkDocsConfig:
        nursery = self.built.nursery
        if nursery is not None:
            config.site_name = nursery.name
            config.site_url = nursery.site.rstrip("/") + "/"
            config.extra["email"] = nursery.email
            config.extra["places"] = self.built.places
        return config

    def on_files(self, files: Files, *, config: MkDocsConfig, **_: object) -> Files:
        for file in _files(self.built, config):
            files.append(file)
        return files

    def on_env(self, env: Environment, **_: object) -> Environment:
        # No template changes during a build, so none is asked thousands of times if it did.
        env.auto_reload = False
        return env

    def on_page_markdown(self, markdown: str, *, page: Page, **_: object) -> str:
        ours = self.by_source.get(page.file.src_uri)
        if ours:
            # The theme and its search put these in as they are.
            page.meta["title"] = _plain(escape(ours.title))
            page.meta["description"] = escape(ours.description)
            page.meta["search"] = {"exclude": not ours.search}
            if ours.plant:
                # What is found says whose it is, and a plant's name finds all of its pages.
                page.meta["tags"] = [_plain(escape(ours.plant))]
            if ours.shell == "lean":
                page.meta["template"] = "lean.html"
        return markdown

    def on_page_content(self, html: str, *, page: Page, **_: object) -> str:
        ours = self.by_source.get(page.file.src_uri)
        return html if ours is None else _plain(_unsourced(_inside(ours)))

    def on_post_page(self, output: str, *, page: Page, **_: object) -> str:
        ours = self.by_source.get(page.file.src_uri)
        if ours is not None and ours.shell == "lean":
            return ours.html
        return with_policy(output)

    def on_post_build(self, *, config: MkDocsConfig, **_: object) -> None:
        built, folder = self.built, Path(config.site_dir)
        if built.nursery is not None:
            write_files(folder, root_files(built.nursery, built.pages, built.newest))
        write_files(folder, offline_files(read_site(folder)))


def on_config(config: MkDocsConfig) -> MkDocsConfig:
    """Serve bare `mkdocs build` too: compile the site, or stop with every problem."""
    root = Path(config.config_file_path).parent
    built = pipeline.build(root)
    if built.failed:
        raise PluginError(render(built.problems, files=built.files))
    return _with(config, built, root)


def write_site(root: Path, out: Path, built: Built) -> None:
    """Let MkDocs write the site of one build into the empty folder `out`."""
    _fix_clock(built.newest)
    config = load_config(
        str(place_of(root, "mkdocs.yml")),
        site_dir=str(out),
        docs_dir=str(place_of(root, "site_src/pages")),
        hooks=[],
    )
    with collector_paused():
        mkdocs_build(_with(config, built, root))


def _with(config: MkDocsConfig, built: Built, root: Path) -> MkDocsConfig:
    # The first folder that has a template gives it: her own, then ours, then the theme's.
    config.theme.dirs[:0] = [str(it / "site_src" / "overrides") for it in (root, SHIPPED)]
    config.theme.static_templates -= {LOST, "sitemap.xml"}  # ours come from the records
    plugin = Bedside(built)
    config.plugins["bedside"] = plugin
    return plugin.on_config(config)


def _fix_clock(date: str) -> None:
    # Dates in the output come from the knowledge, never from the clock.
    moment = datetime.fromisoformat(date or "2000-01-01").replace(tzinfo=UTC)
    os.environ["SOURCE_DATE_EPOCH"] = str(int(moment.timestamp()))


def _files(built: Built, config: MkDocsConfig) -> Iterator[File]:
    for page in built.pages:
        source = _source(page)
        content = "" if source.endswith(".md") else page.html
        file = File.generated(config, source, content=content)
        if source.endswith(".md"):
            file.inclusion = InclusionLevel.NOT_IN_NAV
        yield file
    for asset in built.assets:
        yield File.generated(config, asset.address, content=asset.content)


def _source(page: SitePage) -> str:
    # Only what is searched or framed needs to be a page of MkDocs: the rest costs nothing.
    if page.address.endswith(".html"):
        return page.address
    is_page = page.search or page.shell == "reference"
    return f"{page.address}index.{'md' if is_page else 'html'}"


def _inside(page: SitePage) -> str:
    # What search reads of a lean page is its main part.
    if page.shell == "reference":
        return page.html
    return page.html.partition('<main id="main" tabindex="-1">')[2].partition("</main>")[0]


def _unsourced(html: str) -> str:
    # What a page is from is found on the page of all sources, and would fill each find.
    for opening in ('<section class="sources"', '<h2 id="sources"'):
        html = html.replace(opening, f"{opening} data-search-exclude")
    return html


def _plain(html: str) -> str:
    # The theme's search unescapes headings and then takes them for markup: with other
    # brackets there is nothing in them that it could take so.
    return html.replace("&lt;", "‹").replace("&gt;", "›")
