"""`bedside check`: read everything, and print every problem with its place."""

import argparse
from datetime import date

from bedside import checks
from bedside.cache import FOLDER, Kept
from bedside.commands.terminal import (
    CLEAN,
    PROBLEMS,
    knowledge_of,
    patience,
    print_problems,
)
from bedside.model.library import Library
from bedside.pages.address_changes import check_pages
from bedside.problems import ERROR, Problem, count
from bedside.read.library import read_library
from bedside.read.photos import read_photos
from bedside.read.season import read_season

EXAMPLE = "example:\n  bedside check --today 2026-11-25"


def register(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = commands.add_parser(
        "check",
        help="read the knowledge and print every problem",
        description="Read the knowledge and print every problem, with file and line.",
        epilog=EXAMPLE,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument(
        "--today",
        type=day,
        metavar="DATE",
        help="also name records not reviewed for 24 months on this day (2026-11-25)",
    )
    parser.add_argument("--strict", action="store_true", help="let warnings fail too")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Check; the second round runs only on what the first found clean."""
    with patience("reading and checking"):
        library, problems, files = read_library(
            knowledge_of(args), Kept(args.root / FOLDER)
        )
        if library is not None:
            problems = (*checks.run(library, args.today), *_season_and_pages(args, library))
            problems = (*problems, *read_photos(knowledge_of(args), library)[1])
    print_problems(problems, files)
    fails = len(problems) if args.strict else count(problems, ERROR)
    return PROBLEMS if fails else CLEAN


def _season_and_pages(args: argparse.Namespace, library: Library) -> tuple[Problem, ...]:
    insects, year = library.season("insects"), library.season("year")
    season, faults = read_season(knowledge_of(args), insects, year)
    # A season that can't be read would make all its pages look lost.
    return faults or tuple(check_pages(library, season))


def day(text: str) -> date:
    """Read a date such as 2026-11-25."""
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        message = f"'{text}' is not a date such as 2026-11-25"
        raise argparse.ArgumentTypeError(message) from error
