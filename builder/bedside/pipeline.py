"""The whole story: from a grower's folder to every page and file, or to the problems.

    read  ->  check shape  ->  check meaning  ->  weigh  ->  compile

Nothing is written here; `bedside.publish.whole_site` writes what comes out.
"""

from dataclasses import dataclass, replace
from pathlib import Path

from bedside.cache import FOLDER, Kept
from bedside.checking import preview_problems, problems_of, unusable
from bedside.model.library import Library
from bedside.model.records import Nursery
from bedside.pages.all_pages import all_assets, all_pages, unsaid
from bedside.pages.frame.assets import Asset, bundle, photo_files
from bedside.pages.frame.desk import Site, SitePage, site
from bedside.pages.how_sure_page import reports
from bedside.pages.service_worker import newest_review
from bedside.pages.sheets.sheet_pages import keys_of, sheets_of
from bedside.problems import ERROR, Location, Problem, count, in_order, problem_at
from bedside.read.library import read_folder
from bedside.read.load import Loaded, load, load_preview
from bedside.read.plain_text import collector_paused
from bedside.read.shipped import own_look
from bedside.read.theme import read_theme
from bedside.reason.daily_normals import warmed

OWN_FAULT = "own-fault"


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
    drafts: frozenset[str] = frozenset()  # files; only a preview has pages of them
    library: Library | None = None
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
    loaded = load(folder)
    built = Built(problems=problems_of(loaded), files=loaded.files)
    if loaded.library is None or built.failed:
        return built
    try:
        return _made(root, loaded, built, hasty=hasty)
    except Exception as error:
        if not own_look(root):
            raise
        return replace(built, problems=(*built.problems, _own_fault(error, root)))


def preview(root: Path, *, hasty: bool = False) -> Built:
    """Compile all that can be shown, drafts among it, beside everything that is wrong.

    A record of which no page can be made is set aside with what names it. No pages come
    back where nothing can be shown.
    """
    with collector_paused():
        return _previewed(root, hasty=hasty)


def _previewed(root: Path, *, hasty: bool) -> Built:
    folder = root / "knowledge"
    found = read_folder(folder)
    told: tuple[Problem, ...] = ()
    aside: frozenset[str] = frozenset()
    built = Built(problems=found.problems, files=found.files)
    while True:
        loaded = load_preview(folder, found, aside)
        if loaded.library is None:
            return replace(built, problems=in_order((*found.problems, *told)))
        whole = not (aside or found.faulty)
        wrong = tuple(preview_problems(loaded, whole=whole))
        broken = unusable(wrong)
        # What a record lacks because another one is set aside, is nothing to mend.
        told = (*told, *(it for it in wrong if whole or it.file in broken - aside))
        if not broken - aside:
            made, broken = _tried(root, loaded, wrong, hasty=hasty)
            if made.pages or not broken - aside:
                problems = in_order((*found.problems, *told, *made.problems))
                return replace(made, problems=problems, files=found.files)
            # Where something else is wrong, that is the cause.
            known = count(wrong, ERROR) > 0
            told += tuple(it for it in made.problems if it.code != OWN_FAULT or not known)
        aside |= broken


def _tried(
    root: Path, loaded: Loaded, wrong: tuple[Problem, ...], *, hasty: bool
) -> tuple[Built, frozenset[str]]:
    """The pages, or the files to set aside before trying again."""
    errors = frozenset(it.file for it in wrong if it.level == ERROR)
    at_fault = errors or loaded.drafts
    try:
        made = _made(root, loaded, Built(problems=()), hasty=hasty)
    except Exception as error:  # noqa: BLE001
        # Pages rely on what checks promise. Somebody in the middle of an edit shall see
        # the rest of her site, and a fault of our own in its words, not a dead server.
        return Built(problems=(_own_fault(error, root),)), at_fault
    return made, frozenset(it.file for it in made.problems if it.level == ERROR)


def _own_fault(error: Exception, root: Path) -> Problem:
    look = own_look(root)
    hint = "mend what else is listed; if nothing is, "
    if look:
        hint += f"look into your own {', '.join(look)}; without them what ships is taken"
    else:
        hint += "this is a fault of bedside: please send us this line"
    message = f"a page could not be made: {type(error).__name__}: {error}"
    return problem_at(
        Location(file=f"../{look[0]}" if look else ""), OWN_FAULT, message, hint
    )


def _made(root: Path, loaded: Loaded, built: Built, *, hasty: bool) -> Built:
    assert loaded.library is not None
    kept = Kept(root / FOLDER)
    theme = read_theme(root)
    files = (*bundle(theme.assets), *photo_files(loaded.photos))
    desk = replace(
        site(loaded.library, theme, files),
        season=warmed(loaded.season) if loaded.season else None,
        kept=kept,
        hasty=hasty,
    )
    named = replace(
        built,
        nursery=desk.knowledge.nursery,
        drafts=loaded.drafts,
        library=loaded.library,
    )
    return compiled(desk, files, named)


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
