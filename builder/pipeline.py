"""The whole story: from a grower's folder to every page and file, or to the problems.

    read  ->  check shape  ->  check meaning  ->  weigh  ->  compile

Nothing is written here; `builder.site` writes what comes out.
"""

from dataclasses import dataclass, field, replace
from pathlib import Path

from builder import checks
from builder.addresses import check_pages
from builder.assemble import Library, read_library
from builder.compile.assets import Asset, bundle, photo_files
from builder.compile.handout_pages import sheets_of
from builder.compile.how_sure_pages import reports
from builder.compile.key_pages import keys_of
from builder.compile.offline import newest_review
from builder.compile.pages import all_assets, all_pages
from builder.compile.site import SitePage, site
from builder.compile.templates import templates
from builder.kept import FOLDER, Kept
from builder.model import Nursery
from builder.photo_source import Photos, read_photos
from builder.plain_text import collector_paused
from builder.problems import ERROR, Problem
from builder.season_model import SeasonKnowledge
from builder.season_source import read_season
from builder.site_source import read_look


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
    look = read_look(root)
    files = (*bundle(look.assets), *photo_files(read.photos))
    library = read.library
    desk = site(library, templates(look, library.knowledge.nursery, files), look.words)
    desk = replace(desk, season=read.season, kept=read.kept)
    desk = replace(desk, hasty=read.hasty, measured=look.measured)
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
            for address, name in look.words["places"].items()
            if address in built_at
        ),
        pages=pages,
        assets=(*files, *computed),
        waiting=len(reports(desk)) < len(library.knowledge.plants),
        newest=newest_review(desk),
    )
