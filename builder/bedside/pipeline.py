"""The whole story: from a grower's folder to every page and file, or to the problems.

    read  ->  check shape  ->  check meaning  ->  weigh  ->  compile

Nothing is written here; `bedside.publish.whole_site` writes what comes out.
"""

from dataclasses import dataclass, replace
from pathlib import Path

from bedside.cache import FOLDER, Kept
from bedside.checking import problems_of
from bedside.model.records import Nursery
from bedside.pages.all_pages import all_assets, all_pages, unsaid
from bedside.pages.frame.assets import Asset, bundle, photo_files
from bedside.pages.frame.desk import Site, SitePage, site
from bedside.pages.how_sure_page import reports
from bedside.pages.service_worker import newest_review
from bedside.pages.sheets.sheet_pages import keys_of, sheets_of
from bedside.problems import ERROR, Problem
from bedside.read.load import load
from bedside.read.plain_text import collector_paused
from bedside.read.theme import read_theme
from bedside.reason.daily_normals import warmed


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


def build(root: Path, knowledge: Path | None = None, *, hasty: bool = False) -> Built:
    """Read, check and compile the project at `root`; all problems come back at once.

    A hasty build says on one page that its numbers are still being measured.
    """
    with collector_paused():
        return _built(root, knowledge or root / "knowledge", hasty=hasty)


def _built(root: Path, folder: Path, *, hasty: bool) -> Built:
    kept = Kept(root / FOLDER)
    loaded = load(folder)
    built = Built(problems=problems_of(loaded), files=loaded.files)
    if loaded.library is None or built.failed:
        return built
    theme = read_theme(root)
    files = (*bundle(theme.assets), *photo_files(loaded.photos))
    desk = replace(
        site(loaded.library, theme, files),
        season=warmed(loaded.season) if loaded.season else None,
        kept=kept,
        hasty=hasty,
    )
    return compiled(desk, files, replace(built, nursery=desk.knowledge.nursery))


def compiled(desk: Site, files: tuple[Asset, ...], built: Built) -> Built:
    """Make every page and file of a clean library."""
    built = replace(built, problems=(*built.problems, *unsaid(desk.words)))
    if not built.failed:
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
            for address, name in desk.words["places"].items()
            if address in built_at
        ),
        pages=pages,
        assets=(*files, *computed),
        waiting=len(reports(desk)) < len(desk.knowledge.plants),
        newest=newest_review(desk),
    )
