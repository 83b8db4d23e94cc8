"""`bedside handout`: print the sheets for the box, or one stack for a day's orders."""

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click

from bedside.commands.project import in_project, sound
from bedside.commands.terminal import (
    CLEAN,
    FOLDER,
    PROBLEMS,
    UsageError,
    known,
    patience,
)
from bedside.model.handout import Handout
from bedside.model.library import Library
from bedside.model.season import SeasonKnowledge
from bedside.pages.sheets.print_stack import (
    atlas_of,
    guides_on,
    print_stack,
    read_order_rows,
    summary,
)
from bedside.pages.sheets.printing import PAPERS, Desk
from bedside.pages.sheets.sheet_jobs import Job, faults_of, jobs, print_job
from bedside.problems import Problem, counted, render
from bedside.publish.site_files import write_sheet
from bedside.read.assemble import handout_of
from bedside.read.layout import at_file
from bedside.read.saved_sheet import read_saved
from bedside.read.sheet_theme import SheetTheme, read_sheet_theme
from bedside.reason.daily_normals import warmed

EXAMPLE = """\b
examples:
  bedside handout
  bedside handout --region REGION --paper letter-half
  bedside handout --cause CAUSE --out shed/
  bedside handout --orders today.csv --paper letter --out today.pdf

A file of orders is a CSV with a column `zip`, and `order` if you like, in packing order;
with several plants also a column `plant`."""
DEFAULT_OUT = "handouts"
DEFAULT_STACK = "stack.pdf"


@dataclass(frozen=True, kw_only=True, slots=True)
class Asked:
    """What was typed after the command."""

    plant: str
    region: str
    cause: str
    paper: str
    orders: Path | None
    out: Path | None


@click.command(
    help="Print every sheet, some of them, or a stack with one for each order.",
    short_help="print the sheets for the box",
    epilog=EXAMPLE,
)
@click.option(
    "--plant", default="", help="one plant; with --orders that of orders that name none"
)
@click.option("--region", default="", help="one region, or 'unsure'")
@click.option("--cause", default="", help="one cause's sheet")
@click.option("--paper", default="", help=", ".join(PAPERS))
@click.option(
    "--orders",
    type=click.Path(path_type=Path),
    metavar="CSV",
    help="print a stack for these",
)
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    metavar="PATH",
    help=f"where to (default: {DEFAULT_OUT}/)",
)
@in_project
def command(root: Path, /, **words: Any) -> int:
    """Print, or show what is in the way."""
    asked = Asked(**words)
    if asked.orders and (asked.region or asked.cause):
        raise UsageError("--orders picks the region of each order itself")
    if asked.region and asked.cause:
        raise UsageError("a sheet is for a region or for a cause, not for both")
    found = sound(root)
    if found is None:
        return PROBLEMS
    library, tables = found
    season = warmed(tables) if tables else None
    theme = read_sheet_theme(root)
    if asked.orders is None:
        return _sheets(asked, _chosen(asked, tuple(jobs(library, season, theme))))
    return _stack(asked, asked.orders, library, season, theme)


def _chosen(asked: Asked, every: tuple[Job, ...]) -> tuple[Job, ...]:
    """The sheets that the words of the command leave."""
    for word, names, what in (
        (asked.plant, {it.desk.plant.id for it in every}, "plant"),
        (asked.region, {it.about for it in every if not it.is_cause}, "region"),
        (asked.cause, {it.about for it in every if it.is_cause}, "cause"),
        (asked.paper, set(PAPERS), "paper"),
    ):
        if word:
            known(word, sorted(names), what)
    found = tuple(it for it in every if _fits(asked, it))
    if not found:
        raise UsageError("no sheet is like this; a cause's sheet is on whole paper only")
    return found


def _fits(asked: Asked, job: Job) -> bool:
    return (
        asked.plant in ("", job.desk.plant.id)
        and asked.paper in ("", job.paper.id)
        and (not asked.region or (not job.is_cause and job.about == asked.region))
        and (not asked.cause or (job.is_cause and job.about == asked.cause))
    )


def _sheets(asked: Asked, chosen: tuple[Job, ...]) -> int:
    out = asked.out or Path(DEFAULT_OUT)
    problems: list[Problem] = []
    pdfs: dict[str, bytes] = {}
    with patience("printing"):
        for job in chosen:
            printed = print_job(job)
            problems += faults_of(job, printed)
            pdfs[job.address.partition("/")[2]] = printed.pdf
    if problems:
        return _refuse(problems)
    for name, pdf in pdfs.items():
        write_sheet(out / name, pdf)
    print(f"{counted(len(pdfs), 'sheet')} in {out}")
    return CLEAN


def _refuse(problems: Iterable[Problem], folder: str = f"{FOLDER}/") -> int:
    print(render(problems, folder=folder), end="")
    print("nothing was written")
    return PROBLEMS


def _stack(
    asked: Asked,
    listed: Path,
    library: Library,
    season: SeasonKnowledge | None,
    theme: SheetTheme,
) -> int:
    handouts, usual = _with_guides(asked, library)
    plants = [library.knowledge.plants[it] for it in handouts]
    name = str(listed)
    content = read_saved(listed)
    if isinstance(content, str):
        raise UsageError(f"{name}: {content}")
    orders, problems = read_order_rows(name, content, plants, usual)
    if problems:
        return _refuse(problems, folder="")
    paper = known(asked.paper or library.knowledge.nursery.paper, PAPERS, "paper")
    zones, ordered = library.knowledge.zones, {it.plant for it in orders}
    desks = (Desk(library=library, plant=it, theme=theme) for it in plants)
    guides = [
        guide
        for desk in desks
        if desk.plant.id in ordered
        for guide in guides_on(desk, season, paper)
    ]
    atlases = {it: atlas_of(handouts[it], season, zones) for it in ordered}
    placed = [atlases[order.plant].place(order) for order in orders]
    with patience("printing the stack"):
        sheets = {job.region_of: print_job(job) for job in guides}
        faults = [it for job in guides for it in faults_of(job, sheets[job.region_of])]
        if faults:
            return _refuse(faults)
        pdfs = {sheet: it.pdf for sheet, it in sheets.items()}
        printed = print_stack(pdfs, guides, placed)
    if not printed.pdf:
        return _refuse([at_file(name, "no-stack", printed.refused)], folder="")
    out = asked.out or Path(DEFAULT_STACK)
    write_sheet(out, printed.pdf)
    print("\n".join(summary(guides, placed)))
    print(f"printed into {out}")
    return CLEAN


def _with_guides(asked: Asked, library: Library) -> tuple[dict[str, Handout], str]:
    """The plants that have a guide, and the one that is meant where none is named."""
    plants = library.knowledge.plants
    found = {it: made for it in plants if (made := handout_of(library, it))}
    usual = known(asked.plant, plants, "plant") if asked.plant else ""
    if not found or (usual and usual not in found):
        raise UsageError(f"{usual or next(iter(plants))} has no handout.yaml")
    return found, usual or (next(iter(found)) if len(plants) == 1 else "")
