"""`bedside check`: read everything, and print every problem with its place."""

import argparse
from datetime import date

from bedside.cache import FOLDER, Kept
from bedside.commands.terminal import (
    CLEAN,
    PROBLEMS,
    knowledge_of,
    patience,
    print_problems,
)
from bedside.pipeline import problems_of
from bedside.problems import ERROR, count
from bedside.read.load import load

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
        loaded = load(knowledge_of(args), Kept(args.root / FOLDER))
        problems = problems_of(loaded, args.today)
    print_problems(problems, loaded.files)
    fails = len(problems) if args.strict else count(problems, ERROR)
    return PROBLEMS if fails else CLEAN


def day(text: str) -> date:
    """Read a date such as 2026-11-25."""
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        message = f"'{text}' is not a date such as 2026-11-25"
        raise argparse.ArgumentTypeError(message) from error
