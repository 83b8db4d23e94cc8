"""Sheets and keys on the site: PDFs, the page of all sheets, the page of each key, links.

A key is a plant's whole tree; a sheet is for the box, by region, or for one cause.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from bedside.model.records import Cause, Plant
from bedside.pages.frame.addresses import GUIDE, GUIDE_SHORT, HOME, key_address
from bedside.pages.frame.assets import Asset
from bedside.pages.frame.desk import Asker, Site, SitePage, View
from bedside.pages.frame.views import Named, SheetLink
from bedside.pages.sheets.key_sheet import (
    KeyPrinted,
    key_faults,
    key_jobs,
    key_of_key,
    print_key_job,
)
from bedside.pages.sheets.key_words import KeyWords, key_of, title_of
from bedside.pages.sheets.printing import Printed
from bedside.pages.sheets.sheet_jobs import Job, faults_of, jobs, print_job, sheet_key
from bedside.pages.sheets.sheet_words import UNSURE
from bedside.problems import Problem


@dataclass(frozen=True, kw_only=True, slots=True)
class Sheets:
    """Every sheet of a site as bytes by address, and what kept others from being made."""

    jobs: tuple[Job, ...]
    pdfs: dict[str, bytes]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Keys:
    """Every key of a site that could be printed, by address, and what to know of them."""

    jobs: tuple[KeyWords, ...]
    printed: dict[str, KeyPrinted]
    problems: tuple[Problem, ...]

    def links(self, plant: Plant) -> tuple[SheetLink, ...]:
        """Links to one plant's keys."""
        return tuple(
            _link(it.pdf, it.paper.name, made.printed.pdf, made.sides)
            for it in self.jobs
            if it.desk.plant is plant
            for made in [self.printed.get(it.pdf)]
            if made
        )


def sheets_of(site: Site) -> Sheets:
    """Print every sheet once; those of an earlier build if nothing in them changed."""
    return _sheets(Asker(site))


def keys_of(site: Site) -> Keys:
    """Print every key once; those of an earlier build if nothing in them changed."""
    return _keys(Asker(site))


# Sheets are laid out once a build, not once for each page that links to one.
@lru_cache(maxsize=2)
def _sheets(asker: Asker) -> Sheets:
    site = asker.site
    made = jobs(site.library, site.season, site.sheets, site.kept)
    todo = {job.address: job for job in made}
    keys = {address: sheet_key(job) for address, job in todo.items()}
    refused: dict[str, Printed] = {}

    def make(addresses: tuple[str, ...]) -> dict[str, bytes]:
        printed = {it: print_job(todo[it]) for it in addresses}
        refused.update({it: made for it, made in printed.items() if not made.pdf})
        return {it: made.pdf for it, made in printed.items() if made.pdf}

    pdfs = site.kept.all("sheets", keys, make)
    problems: list[Problem] = []
    for address, job in todo.items():
        printed = refused.get(address) or Printed(pdf=pdfs[address])
        problems += faults_of(job, printed)
    return Sheets(jobs=tuple(todo.values()), pdfs=pdfs, problems=tuple(problems))


@lru_cache(maxsize=2)
def _keys(asker: Asker) -> Keys:
    site, plants = asker.site, asker.site.knowledge.plants.values()
    todo = {
        job.pdf: job for it in plants for job in key_jobs(site.library, it, site.sheets)
    }
    keys = {address: key_of_key(job) for address, job in todo.items()}
    found: dict[str, KeyPrinted] = {}

    def make(addresses: tuple[str, ...]) -> dict[str, bytes]:
        found.update({it: print_key_job(todo[it]) for it in addresses})
        return {it: _packed(found[it]) for it in addresses if found[it].printed.pdf}

    kept = site.kept.all("keys", keys, make)
    found.update({address: _unpacked(content) for address, content in kept.items()})
    problems: list[Problem] = []
    for address, job in todo.items():
        problems += key_faults(job, found[address])
    return Keys(
        jobs=tuple(todo.values()),
        printed={it: found[it] for it in todo if found[it].printed.pdf},
        problems=tuple(problems),
    )


def _packed(made: KeyPrinted) -> bytes:
    return f"{made.sides} {made.size}\n".encode() + made.printed.pdf


def _unpacked(content: bytes) -> KeyPrinted:
    head, _, pdf = content.partition(b"\n")
    sides, size = head.decode().split(" ")
    return KeyPrinted(printed=Printed(pdf=pdf), sides=int(sides), size=float(size))


def assets(site: Site) -> Iterator[Asset]:
    """Every sheet and every key as a file."""
    for address, pdf in sheets_of(site).pdfs.items():
        yield Asset(address=address, content=pdf)
    for address, made in keys_of(site).printed.items():
        yield Asset(address=address, content=made.printed.pdf)


def pages(site: Site) -> Iterator[SitePage]:
    """The page of all sheets, the short address that every guide prints, and the keys."""
    words = site.sheets.words["page"]
    yield site.page(
        GUIDE,
        "guide.html.j2",
        title=words["title"],
        description=words["description"],
        view=_guide_view(site),
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
    for plant in site.knowledge.plants.values():
        yield key_page(site, plant)


def key_page(site: Site, plant: Plant) -> SitePage:
    """The whole tree, to read and to print."""
    words = site.sheets.words["key"]
    return site.page(
        key_address(plant),
        "key.html.j2",
        title=_key_title(site, plant),
        description=words["description"].format(plant=plant.name.lower()),
        view={"first": key_of(plant), "links": keys_of(site).links(plant), **words},
        search=True,
        plant=plant.id,
        drawings=plant.drawings,
    )


def key_links(site: Site) -> tuple[Named, ...]:
    """Links to the keys of all plants, for pages that lead there."""
    return tuple(
        Named(name=_key_title(site, plant), address=key_address(plant))
        for plant in site.knowledge.plants.values()
    )


def _key_title(site: Site, plant: Plant) -> str:
    sides = [link.sides for link in keys_of(site).links(plant)]
    return title_of(site.sheets.words["key"], plant, max(sides, default=0))


def cause_links(site: Site, cause: Cause) -> tuple[SheetLink, ...]:
    """Links to one cause's sheets."""
    sheets = sheets_of(site)
    return _links(
        sheets, [it for it in sheets.jobs if it.is_cause and it.about == cause.id]
    )


def _guide_view(site: Site) -> View:
    """All sheets of each plant: by region, then by cause from A to Z."""
    plants = site.knowledge.plants.values()
    return {
        "whole": key_links(site),
        "regions": [(it, found) for it in plants if (found := _by_region(site, it))],
        "causes": [(it, _by_cause(site, it)) for it in plants],
    }


def _by_region(site: Site, plant: Plant) -> list[tuple[str, str, tuple[SheetLink, ...]]]:
    sheets, found = sheets_of(site), _jobs_about(site, plant, is_cause=False)
    return [
        (str(it[0].sheet["place"]), _states(site, region), _links(sheets, it))
        for region, it in found.items()
    ]


def _by_cause(site: Site, plant: Plant) -> list[tuple[str, tuple[SheetLink, ...]]]:
    sheets, found = sheets_of(site), _jobs_about(site, plant, is_cause=True)
    named = ((str(it[0].sheet["title"]), it) for it in found.values())
    return [(name, _links(sheets, it)) for name, it in sorted(named, key=lambda it: it[0])]


def _jobs_about(site: Site, plant: Plant, *, is_cause: bool) -> dict[str, list[Job]]:
    """The sheets of one plant on every paper, by region or by cause."""
    found: dict[str, list[Job]] = {}
    for job in sheets_of(site).jobs:
        if job.desk.plant.id == plant.id and job.is_cause == is_cause:
            found.setdefault(job.about, []).append(job)
    return found


def _links(sheets: Sheets, todo: list[Job]) -> tuple[SheetLink, ...]:
    return tuple(
        _link(job.address, job.paper.name, sheets.pdfs[job.address])
        for job in todo
        if job.address in sheets.pdfs
    )


def _link(address: str, paper: str, pdf: bytes, sides: int = 1) -> SheetLink:
    kilobytes = max(1, round(len(pdf) / 1000))
    return SheetLink(address=address, paper=paper, sides=sides, kilobytes=kilobytes)


def _states(site: Site, region: str) -> str:
    if region == UNSURE:
        return str(site.sheets.words["page"]["unsure"])
    return ", ".join(site.knowledge.zones[region].states)
