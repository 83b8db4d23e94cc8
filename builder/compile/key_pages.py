"""The key on the site: its page, its PDFs, what a grower should know, links to it."""

from base64 import b64decode, b64encode
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import lru_cache

from builder.assemble import Library
from builder.compile.addresses import key_address
from builder.compile.assets import Asset
from builder.compile.handout_print import Printed
from builder.compile.key_sheet import (
    KeyJob,
    KeyPrinted,
    key_faults,
    key_jobs,
    print_key_job,
)
from builder.compile.key_views import Asked, key_of
from builder.compile.key_words import title_of
from builder.compile.site import Keep, Site, SitePage
from builder.compile.views import Named
from builder.handout_source import read_sheet_look
from builder.kept import digest
from builder.model import Plant
from builder.problems import Problem


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


@dataclass(frozen=True, kw_only=True, slots=True)
class _Order:
    """What to print; two orders are equal if they would print the same."""

    key: str
    library: Library = field(compare=False)
    jobs: tuple[KeyJob, ...] = field(compare=False)
    keep: Keep = field(compare=False)


def keys_of(site: Site) -> Keys:
    """Print every key once; those of an earlier build if nothing in them changed."""
    library = site.library
    jobs = tuple(job for plant in site.knowledge.plants.values() for job in key_jobs(plant))
    key = _digest(library, jobs)
    return _keys(_Order(key=key, library=library, jobs=jobs, keep=site.keep))


@lru_cache(maxsize=2)
def _keys(order: _Order) -> Keys:
    kept = order.keep(f"keys-{order.key}", lambda: dict(_all_printed(order)))
    printed: dict[str, KeyPrinted] = {}
    problems: list[Problem] = []
    for job in order.jobs:
        text = kept.get(job.address)
        made = _unpacked(text) if text else print_key_job(order.library, job)
        problems += key_faults(order.library, job, made)
        if made.printed.pdf:
            printed[job.address] = made
    return Keys(printed=printed, problems=tuple(problems))


def _all_printed(order: _Order) -> Iterator[tuple[str, str]]:
    for job in order.jobs:
        made = print_key_job(order.library, job)
        if made.printed.pdf:
            pdf = b64encode(made.printed.pdf).decode()
            yield job.address, f"{made.sides} {made.size} {pdf}"


def _unpacked(text: str) -> KeyPrinted:
    sides, size, pdf = text.split(" ")
    return KeyPrinted(
        printed=Printed(pdf=b64decode(pdf)), sides=int(sides), size=float(size)
    )


def _digest(library: Library, jobs: tuple[KeyJob, ...]) -> str:
    """One name for all that goes into the keys."""
    parts = [repr(read_sheet_look()), repr(library.knowledge.nursery)]
    for job in jobs:
        reviewed = sorted(cause.reviewed for cause in job.plant.causes.values())
        drawings = sorted(job.plant.drawings.items())
        parts += map(repr, (job.address, key_of(job.plant), reviewed, drawings))
    return digest(part.encode() for part in parts)


def assets(site: Site) -> Iterator[Asset]:
    """Every key as a file."""
    for address, made in keys_of(site).printed.items():
        yield Asset(address=address, content=made.printed.pdf)


def pages(site: Site) -> Iterator[SitePage]:
    """A page for each plant: the whole tree, to read and to print."""
    words = read_sheet_look().words["key"]
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
    sides = [printed[it.address].sides for it in key_jobs(plant) if it.address in printed]
    return title_of(read_sheet_look().words["key"], plant, max(sides, default=0))


def _links(site: Site, plant: Plant) -> tuple[KeyLink, ...]:
    printed = keys_of(site).printed
    return tuple(
        KeyLink(
            address=job.address,
            paper=job.paper.name,
            sides=printed[job.address].sides,
            kilobytes=max(1, round(len(printed[job.address].printed.pdf) / 1000)),
        )
        for job in key_jobs(plant)
        if job.address in printed
    )
