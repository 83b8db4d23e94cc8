"""The key on the site: its page, its PDFs, what a grower should know, links to it."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import chain

from bedside.model.records import Plant
from bedside.pages.frame.addresses import key_address
from bedside.pages.frame.assets import Asset
from bedside.pages.frame.desk import Asker, Site, SitePage
from bedside.pages.frame.views import Named
from bedside.pages.sheets.key_sheet import (
    KeyPrinted,
    key_faults,
    key_jobs,
    key_of_key,
    print_key_job,
)
from bedside.pages.sheets.key_views import Asked, key_of
from bedside.pages.sheets.key_words import title_of
from bedside.pages.sheets.printing import Printed
from bedside.problems import Problem


@dataclass(frozen=True, kw_only=True, slots=True)
class KeyLink:
    """A link to a PDF that says what it is."""

    address: str
    paper: str
    sides: int
    kilobytes: int


@dataclass(frozen=True, kw_only=True, slots=True)
class KeyView:
    """The page of a key."""

    first: Asked
    sheets: tuple[KeyLink, ...]
    how: str
    care: str
    other: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Keys:
    """Every key of a site that could be printed, by address, and what to know of them."""

    printed: dict[str, KeyPrinted]
    problems: tuple[Problem, ...]


def keys_of(site: Site) -> Keys:
    """Print every key once; those of an earlier build if nothing in them changed."""
    return _asked(Asker(site))


@lru_cache(maxsize=2)
def _asked(asker: Asker) -> Keys:
    site, library = asker.site, asker.site.library
    plants = site.knowledge.plants.values()
    jobs = {job.address: job for plant in plants for job in key_jobs(plant, site.sheets)}
    keys = {address: key_of_key(library, job) for address, job in jobs.items()}
    found: dict[str, KeyPrinted] = {}

    def make(addresses: tuple[str, ...]) -> dict[str, bytes]:
        found.update({it: print_key_job(library, jobs[it]) for it in addresses})
        return {it: _packed(found[it]) for it in addresses if found[it].printed.pdf}

    kept = site.kept.all("keys", keys, make)
    found.update({address: _unpacked(content) for address, content in kept.items()})
    faults = (key_faults(library, job, found[address]) for address, job in jobs.items())
    return Keys(
        printed={it: found[it] for it in jobs if found[it].printed.pdf},
        problems=tuple(chain.from_iterable(faults)),
    )


def _packed(made: KeyPrinted) -> bytes:
    return f"{made.sides} {made.size}\n".encode() + made.printed.pdf


def _unpacked(content: bytes) -> KeyPrinted:
    head, _, pdf = content.partition(b"\n")
    sides, size = head.decode().split(" ")
    return KeyPrinted(printed=Printed(pdf=pdf), sides=int(sides), size=float(size))


def assets(site: Site) -> Iterator[Asset]:
    """Every key as a file."""
    for address, made in keys_of(site).printed.items():
        yield Asset(address=address, content=made.printed.pdf)


def pages(site: Site) -> Iterator[SitePage]:
    """A page for each plant: the whole tree, to read and to print."""
    words = site.sheets.words["key"]
    for plant in site.knowledge.plants.values():
        name = plant.name.lower()
        yield site.page(
            key_address(plant),
            "key.html.j2",
            title=_title(site, plant),
            description=words["description"].format(plant=name),
            view=KeyView(
                first=key_of(plant),
                sheets=_links(site, plant),
                how=words["how"],
                care=words["care"],
                other=words["other"],
            ),
            search=True,
            drawings=plant.drawings,
        )


def key_links(site: Site) -> tuple[Named, ...]:
    """Links to the keys of all plants, for pages that lead there."""
    return tuple(
        Named(name=_title(site, plant), address=key_address(plant))
        for plant in site.knowledge.plants.values()
    )


def _title(site: Site, plant: Plant) -> str:
    printed = keys_of(site).printed
    sides = [
        printed[it.address].sides
        for it in key_jobs(plant, site.sheets)
        if it.address in printed
    ]
    return title_of(site.sheets.words["key"], plant, max(sides, default=0))


def _links(site: Site, plant: Plant) -> tuple[KeyLink, ...]:
    printed = keys_of(site).printed
    return tuple(
        KeyLink(
            address=job.address,
            paper=job.paper.name,
            sides=printed[job.address].sides,
            kilobytes=max(1, round(len(printed[job.address].printed.pdf) / 1000)),
        )
        for job in key_jobs(plant, site.sheets)
        if job.address in printed
    )
