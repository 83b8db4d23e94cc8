"""The sheets on the site: the PDFs, the page that lists them, links for cause pages."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from bedside.model.records import Cause
from bedside.pages.frame.addresses import GUIDE, GUIDE_SHORT, HOME
from bedside.pages.frame.assets import Asset
from bedside.pages.frame.desk import Asker, Site, SitePage
from bedside.pages.frame.views import Named, SheetLink
from bedside.pages.sheets.key_pages import key_links
from bedside.pages.sheets.printing import Printed
from bedside.pages.sheets.sheet_jobs import Job, faults_of, jobs, print_job, sheet_key
from bedside.pages.sheets.sheet_words import UNSURE
from bedside.problems import Problem


@dataclass(frozen=True, kw_only=True, slots=True)
class SheetRow:
    """A region or a cause with its sheets; `about` says for whom."""

    name: str
    about: str
    links: tuple[SheetLink, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class GuideView:
    keys: tuple[Named, ...]
    regions: tuple[SheetRow, ...]
    causes: tuple[SheetRow, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Sheets:
    """Every sheet of a site as bytes by address, and what kept others from being made."""

    jobs: tuple[Job, ...]
    pdfs: dict[str, bytes]
    problems: tuple[Problem, ...]


def sheets_of(site: Site) -> Sheets:
    """Print every sheet once; those of an earlier build if nothing in them changed."""
    return _asked(Asker(site))


# Sheets are laid out once a build, not once for each page that links to one.
@lru_cache(maxsize=2)
def _asked(asker: Asker) -> Sheets:
    site, library = asker.site, asker.site.library
    todo = {it.address: it for it in jobs(library, site.season, site.sheets, site.kept)}
    keys = {address: sheet_key(library, job) for address, job in todo.items()}
    refused: dict[str, Printed] = {}

    def make(addresses: tuple[str, ...]) -> dict[str, bytes]:
        printed = {it: print_job(library, todo[it]) for it in addresses}
        refused.update({it: made for it, made in printed.items() if not made.pdf})
        return {it: made.pdf for it, made in printed.items() if made.pdf}

    pdfs = site.kept.all("sheets", keys, make)
    problems: list[Problem] = []
    for address, job in todo.items():
        printed = refused.get(address) or Printed(pdf=pdfs[address])
        problems += faults_of(library, job, printed)
    return Sheets(jobs=tuple(todo.values()), pdfs=pdfs, problems=tuple(problems))


def assets(site: Site) -> Iterator[Asset]:
    """Every sheet as a file."""
    for address, pdf in sheets_of(site).pdfs.items():
        yield Asset(address=address, content=pdf)


def pages(site: Site) -> Iterator[SitePage]:
    """The page of all sheets, and the short address that every guide prints."""
    words = site.sheets.words["page"]
    yield site.page(
        GUIDE,
        "guide.html.j2",
        title=words["title"],
        description=words["description"],
        view=guide_view(site),
        shell="reference",
        search=True,
    )
    # Who types the printed address has a sick plant in hand, and wants the questions.
    yield site.page(
        f"{GUIDE_SHORT}/",
        "short.html.j2",
        title=words["short"],
        view=Named(name=words["questions"], address=HOME),
    )


def guide_view(site: Site) -> GuideView:
    """All sheets by region, then by cause from A to Z."""
    sheets = sheets_of(site)
    by_cause: dict[str, list[Job]] = {}
    by_region: dict[tuple[str, str], list[Job]] = {}
    for job in sheets.jobs:
        if job.is_cause:
            by_cause.setdefault(job.about, []).append(job)
        else:
            by_region.setdefault((job.plant, job.about), []).append(job)
    return GuideView(
        keys=key_links(site),
        regions=tuple(
            SheetRow(
                name=todo[0].sheet["place"],
                about=_states(site, region),
                links=_links(sheets, todo),
            )
            for (_, region), todo in by_region.items()
        ),
        causes=tuple(
            SheetRow(name=todo[0].sheet["title"], about="", links=_links(sheets, todo))
            for todo in sorted(by_cause.values(), key=lambda it: str(it[0].sheet["title"]))
        ),
    )


def cause_links(site: Site, cause: Cause) -> tuple[SheetLink, ...]:
    """Links to one cause's sheets."""
    sheets = sheets_of(site)
    return _links(
        sheets, [it for it in sheets.jobs if it.is_cause and it.about == cause.id]
    )


def _links(sheets: Sheets, todo: list[Job]) -> tuple[SheetLink, ...]:
    return tuple(
        SheetLink(
            address=job.address,
            paper=job.paper.name,
            kilobytes=max(1, round(len(sheets.pdfs[job.address]) / 1000)),
        )
        for job in todo
        if job.address in sheets.pdfs
    )


def _states(site: Site, region: str) -> str:
    if region == UNSURE:
        return str(site.sheets.words["page"]["unsure"])
    return ", ".join(site.knowledge.zones[region].states)
