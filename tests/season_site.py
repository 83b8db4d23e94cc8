"""The invented plant's knowledge with the real season laid in."""

import re
import shutil
from dataclasses import replace
from pathlib import Path

from bedside.model.library import Library
from bedside.pages.frame.assets import Asset, bundle
from bedside.pages.frame.desk import Site, SitePage, site
from bedside.pages.season import mixing_page, season_pages
from bedside.read.season import read_season
from bedside.read.theme import read_theme
from bedside.reason.daily_normals import warmed
from tests.conftest import ROOT, TOY, read_clean
from tests.season_data import KNOWLEDGE
from tests.shipped import PLANT

# One record of sources.yaml: its id, and the lines below it.
ENTRY = re.compile(r"^([\w-]+):\n((?:[ #].*\n)+)", re.MULTILINE)
CONTROLS = (f"{PLANT}/controls/unroll-and-squash.yaml", "controls/btk.yaml")
SOURCES = ("sources.yaml", f"{PLANT}/sources.yaml")


def knowledge_folder(under: Path) -> Path:
    """A copy of the toy, with the real season, its sources and its two controls."""
    folder = Path(shutil.copytree(TOY, under / "knowledge"))
    shutil.copytree(KNOWLEDGE / "season", folder / "season", dirs_exist_ok=True)
    for name in ("year.yaml", "insects.yaml"):
        shutil.copy(KNOWLEDGE / PLANT / name, folder / "mossbell")
    for control in CONTROLS:
        shutil.copy(KNOWLEDGE / control, folder / "controls")
    files = (folder / "sources.yaml", *(KNOWLEDGE / it for it in SOURCES))
    merged: dict[str, str] = {}
    for file in files:
        merged |= dict(ENTRY.findall(file.read_text(encoding="utf-8")))
    text = "\n".join(f"{name}:\n{body}" for name, body in merged.items())
    (folder / "sources.yaml").write_text(text, encoding="utf-8")
    return folder


def season_site(folder: Path) -> tuple[Site, tuple[Asset, ...]]:
    """The desk for the season's pages, and the files of the site."""
    library: Library = read_clean(folder)
    theme = read_theme(ROOT)
    files = bundle(theme.assets)
    desk = site(library, theme, files)
    season, problems = read_season(folder, library)
    assert season, problems
    desk = replace(desk, season=warmed(season))
    computed = tuple(season_pages.assets(desk))
    desk = replace(desk, templates=desk.templates.knowing(computed))
    return desk, (*files, *computed)


def season_page_set(desk: Site) -> dict[str, SitePage]:
    """Every page of the season and the mixing page, by address."""
    both = (*season_pages.pages(desk), *mixing_page.pages(desk))
    return {page.address: page for page in both}


def write_site(out: Path, pages: dict[str, SitePage], files: tuple[Asset, ...]) -> Path:
    """Write the pages where a browser finds them."""
    for page in pages.values():
        path = out / page.address / "index.html"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(page.html, encoding="utf-8")
    for file in files:
        path = out / file.address
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(file.content)
    return out
