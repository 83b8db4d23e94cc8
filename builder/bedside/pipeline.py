"""The whole story: from a grower's folder to every page and file, or to the problems.

    read  ->  check shape  ->  check meaning  ->  weigh  ->  compile

Nothing is written here; `bedside.publish.whole_site` writes what comes out.
"""

from dataclasses import dataclass, field, replace
from pathlib import Path

from bedside import checks
from bedside.cache import FOLDER, Kept
from bedside.model.library import Library
from bedside.model.records import Nursery
from bedside.model.season import SeasonKnowledge
from bedside.pages.address_changes import check_pages
from bedside.pages.all_pages import all_assets, all_pages
from bedside.pages.frame.assets import Asset, bundle, photo_files
from bedside.pages.frame.desk import SitePage, site
from bedside.pages.frame.templates import templates
from bedside.pages.how_sure.how_sure_page import reports
from bedside.pages.service_worker import newest_review
from bedside.pages.sheets.key_pages import keys_of
from bedside.pages.sheets.sheet_pages import sheets_of
from bedside.problems import ERROR, Problem
from bedside.read.library import read_library
from bedside.read.photos import Photos, read_photos
from bedside.read.plain_text import collector_paused
from bedside.read.season import read_season
from bedside.read.theme import read_theme


@dataclass(frozen=True, kw_only=True, slots=True)
class Built:
    """Every page and file of a site, or the problems that kept it from being made."""

    problems: tuple[Problem, ...]
    files: int = 0
    nursery: Nursery | None = None
    pages: tuple[SitePage, ...] = ()
    assets: tuple[Asset, ...] = ()
    places: tuple[tuple[str, str], ...] = ()  # what every reference page links to
    waiting: bool = False  # a page says that its numbers are still being measured
    newest: str = ""  # the latest review date: the only date a build may know

    @property
    def failed(self) -> bool:
        return any(problem.level == ERROR for problem in self.problems)


@dataclass(frozen=True, kw_only=True, slots=True)
class Read:
    """All that was read and found clean, what is kept of it, and whether someone waits."""

    library: Library
    season: SeasonKnowledge | None = None
    photos: Photos = field(default_factory=dict)
    kept: Kept = field(default_factory=Kept)
    hasty: bool = False


def build(root: Path, knowledge: Path | None = None, *, hasty: bool = False) -> Built:
    """Read, check and compile the project at `root`; all problems come back at once.

    A hasty build says on one page that its numbers are still being measured.
    """
    with collector_paused():
        return _built(root, knowledge or root / "knowledge", hasty=hasty)


def _built(root: Path, folder: Path, *, hasty: bool) -> Built:
    kept = Kept(root / FOLDER)
    library, problems, files = read_library(folder, kept)
    if library is None:
        return Built(problems=problems, files=files)
    season, faults = read_season(folder, library.season("insects"), library.season("year"))
    problems = (*problems, *faults, *checks.run(library), *check_pages(library, season))
    photos, unfit = read_photos(folder, library)
    problems = (*problems, *unfit)
    built = Built(problems=problems, files=files, nursery=library.knowledge.nursery)
    read = Read(library=library, season=season, photos=photos, kept=kept, hasty=hasty)
    return built if built.failed else compiled(root, read, built)


def compiled(root: Path, read: Read, built: Built) -> Built:
    """Make every page and file of a clean library."""
    theme = read_theme(root)
    files = (*bundle(theme.assets), *photo_files(read.photos))
    library = read.library
    desk = site(library, templates(theme, library.knowledge.nursery, files), theme.words)
    desk = replace(desk, season=read.season, kept=read.kept)
    desk = replace(desk, hasty=read.hasty, measured=theme.measured)
    unprinted = (*sheets_of(desk).problems, *keys_of(desk).problems)
    built = replace(built, problems=(*built.problems, *unprinted))
    if built.failed:
        return built
    # The data files need no link to a file; the pages link to them.
    computed = all_assets(desk)
    desk = replace(desk, templates=desk.templates.knowing(computed))
    pages = all_pages(desk)
    built_at = {page.address for page in pages}
    return replace(
        built,
        places=tuple(
            (address, name)
            for address, name in theme.words["places"].items()
            if address in built_at
        ),
        pages=pages,
        assets=(*files, *computed),
        waiting=len(reports(desk)) < len(library.knowledge.plants),
        newest=newest_review(desk),
    )
