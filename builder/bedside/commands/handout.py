"""`bedside handout`: print the sheets for the box, or one stack for a day's orders."""

import argparse
from collections.abc import Iterable
from pathlib import Path

from bedside.commands.terminal import (
    CLEAN,
    FOLDER,
    PROBLEMS,
    UsageError,
    known,
    patience,
    sound,
)
from bedside.model.library import Library
from bedside.model.records import Plant
from bedside.model.season import SeasonKnowledge
from bedside.pages.sheets.print_stack import (
    atlas_of,
    guides_on,
    print_stack,
    read_order_rows,
    summary,
)
from bedside.pages.sheets.sheet_jobs import PAPERS, Job, faults_of, jobs, print_job
from bedside.problems import Problem, render
from bedside.publish.site_files import write_sheet
from bedside.read.handout import handout_of
from bedside.read.layout import at_file
from bedside.read.orders import read_orders

EXAMPLE = """examples:
  bedside handout
  bedside handout --region REGION --paper letter-half
  bedside handout --cause CAUSE --out shed/
  bedside handout --orders today.csv --paper letter --out today.pdf

A file of orders is a CSV with a column `zip`, and `order` if you like, in packing order."""
DEFAULT_OUT = "handouts"
DEFAULT_STACK = "stack.pdf"


def register(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = commands.add_parser(
        "handout",
        help="print the sheets for the box",
        description="Print every sheet, some of them, or a stack with one for each order.",
        epilog=EXAMPLE,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--plant", default="", help="one plant; else the first, or each")
    parser.add_argument("--region", default="", help="one region, or 'unsure'")
    parser.add_argument("--cause", default="", help="one cause's sheet")
    parser.add_argument("--paper", default="", help=", ".join(PAPERS))
    parser.add_argument(
        "--orders", type=Path, metavar="CSV", help="print a stack for these"
    )
    parser.add_argument(
        "--out", type=Path, metavar="PATH", help=f"where to (default: {DEFAULT_OUT}/)"
    )
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Print, or show what is in the way."""
    if args.orders and (args.region or args.cause):
        raise UsageError("--orders picks the region of each order itself")
    if args.region and args.cause:
        raise UsageError("a sheet is for a region or for a cause, not for both")
    found = sound(args)
    if found is None:
        return PROBLEMS
    library, season = found
    if args.orders:
        return _stack(args, library, season)
    return _sheets(args, library, _chosen(args, jobs(library, season)))


def _chosen(args: argparse.Namespace, every: tuple[Job, ...]) -> tuple[Job, ...]:
    """The sheets that the words of the command leave."""
    for word, names, what in (
        (args.plant, {it.plant for it in every}, "plant"),
        (args.region, {it.about for it in every if not it.is_cause}, "region"),
        (args.cause, {it.about for it in every if it.is_cause}, "cause"),
        (args.paper, set(PAPERS), "paper"),
    ):
        if word:
            known(word, sorted(names), what)
    found = tuple(it for it in every if _fits(args, it))
    if not found:
        raise UsageError("no sheet is like this; a cause's sheet is on whole paper only")
    return found


def _fits(args: argparse.Namespace, job: Job) -> bool:
    return (
        args.plant in ("", job.plant)
        and args.paper in ("", job.paper.id)
        and (not args.region or (not job.is_cause and job.about == args.region))
        and (not args.cause or (job.is_cause and job.about == args.cause))
    )


def _sheets(args: argparse.Namespace, library: Library, chosen: tuple[Job, ...]) -> int:
    out = args.out or Path(DEFAULT_OUT)
    problems: list[Problem] = []
    pdfs: dict[str, bytes] = {}
    with patience("printing"):
        for job in chosen:
            printed = print_job(library, job)
            problems += faults_of(library, job, printed)
            pdfs[job.address.partition("/")[2]] = printed.pdf
    if problems:
        return _refuse(problems)
    for name, pdf in pdfs.items():
        write_sheet(out / name, pdf)
    print(f"{len(pdfs)} sheets in {out}")
    return CLEAN


def _refuse(problems: Iterable[Problem], folder: str = f"{FOLDER}/") -> int:
    print(render(problems, folder=folder), end="")
    print("nothing was written")
    return PROBLEMS


def _stack(
    args: argparse.Namespace, library: Library, season: SeasonKnowledge | None
) -> int:
    plant = _plant(args, library)
    handout = handout_of(library, plant.id)
    if handout is None:
        raise UsageError(f"{plant.id} has no handout.yaml")
    name = str(args.orders)
    content = read_orders(args.orders)
    if isinstance(content, str):
        raise UsageError(f"{name}: {content}")
    orders, problems = read_order_rows(name, content)
    if problems:
        return _refuse(problems, folder="")
    paper = known(args.paper or library.knowledge.nursery.paper, PAPERS, "paper")
    guides = guides_on(library, season, plant, paper)
    atlas = atlas_of(handout, season, library.knowledge.zones)
    placed = [atlas.place(order) for order in orders]
    with patience("printing the stack"):
        sheets = {job.about: print_job(library, job) for job in guides}
        faults = [it for job in guides for it in faults_of(library, job, sheets[job.about])]
        if faults:
            return _refuse(faults)
        pdfs = {region: it.pdf for region, it in sheets.items()}
        printed = print_stack(library, pdfs, guides, placed)
    if not printed.pdf:
        return _refuse([at_file(name, "no-stack", printed.refused)], folder="")
    out = args.out or Path(DEFAULT_STACK)
    write_sheet(out, printed.pdf)
    print("\n".join(summary(guides, placed)))
    print(f"printed into {out}")
    return CLEAN


def _plant(args: argparse.Namespace, library: Library) -> Plant:
    plants = library.knowledge.plants
    with_sheets = [it for it in plants if handout_of(library, it)]
    if args.plant:
        return plants[known(args.plant, plants, "plant")]
    return plants[(with_sheets or [*plants])[0]]
