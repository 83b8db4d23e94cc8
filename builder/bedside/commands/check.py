"""`bedside check`: read everything, and print every problem with its place."""

from datetime import date
from pathlib import Path

import click

from bedside.checking import problems_of
from bedside.commands.project import in_project
from bedside.commands.terminal import CLEAN, FOLDER, PROBLEMS, patience, print_problems
from bedside.problems import ERROR, count
from bedside.read.load import load

EXAMPLE = "\b\nexample:\n  bedside check --today 2026-11-25"


class Day(click.ParamType[date]):
    """A date such as 2026-11-25."""

    name = "date"

    def convert(
        self, value: str, param: click.Parameter | None, ctx: click.Context | None
    ) -> date:
        """Read it."""
        try:
            return date.fromisoformat(value)
        except ValueError:
            self.fail(f"'{value}' is not a date such as 2026-11-25", param, ctx)


@click.command(
    help="Read the knowledge and print every problem, with file and line.",
    short_help="read the knowledge and print every problem",
    epilog=EXAMPLE,
)
@click.option(
    "--today",
    type=Day(),
    metavar="DATE",
    help="also name records not reviewed for 24 months on this day (2026-11-25)",
)
@click.option("--strict", is_flag=True, help="let warnings fail too")
@in_project
def command(root: Path, today: date | None, *, strict: bool) -> int:
    """Check; the second round runs only on what the first found clean."""
    with patience("reading and checking"):
        loaded = load(root / FOLDER)
        problems = problems_of(loaded, today)
    print_problems(problems, loaded.files)
    fails = len(problems) if strict else count(problems, ERROR)
    return PROBLEMS if fails else CLEAN
