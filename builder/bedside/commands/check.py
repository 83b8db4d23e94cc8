"""`bedside check`: read everything, print what is wrong and where, and what to do next."""

import os
from datetime import date
from pathlib import Path

import click

from bedside.checking import problems_of
from bedside.checks import kinds_in_words
from bedside.commands.overrides import changed_since
from bedside.commands.project import in_project
from bedside.commands.terminal import (
    CLEAN,
    FOLDER,
    PROBLEMS,
    fails,
    patience,
    print_problems,
    quiet_option,
)
from bedside.model.published_addresses import is_promised
from bedside.problems import (
    ERROR,
    WARNING,
    Problem,
    as_annotations,
    as_json,
    count,
    errors_of,
    in_order,
)
from bedside.read.load import load

EXAMPLE = """\b
examples:
  bedside check
  bedside check --all                each warning with its place
  bedside check --today 2026-11-25   records that nobody has looked over for long, too
  bedside check --json               for a program
  bedside check --format github      beside the lines of a change on a code host"""


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
    help="Read the knowledge; print every error, and what to mind, with file and line.",
    short_help="read the knowledge and print every problem",
    epilog=EXAMPLE,
)
@click.option(
    "--today",
    type=Day(),
    metavar="DATE",
    help="also name records not reviewed for 24 months on this day (2026-11-25)",
)
@click.option("--strict", is_flag=True, help="let warnings fail too, and print each")
@click.option("--all", "every", is_flag=True, help="print each warning, also where many")
@click.option(
    "--format",
    "form",
    type=click.Choice(("text", "json", "github")),
    default="text",
    help="how to print: text, data, or annotations",
)
@click.option("--json", "form", flag_value="json", help="the same as --format json")
@quiet_option
@in_project
def command(  # noqa: PLR0913 - one for each option
    root: Path, today: date | None, form: str, *, strict: bool, every: bool, quiet: bool
) -> int:
    """Check; the second round runs only on what the first found clean."""
    with patience("reading and checking", quiet=quiet):
        loaded = load(root / FOLDER)
        problems = (*problems_of(loaded, today), *changed_since(root))
    failed = fails(problems, strict=strict)
    if quiet:
        problems = errors_of(problems)
    # Whoever reads these opens the files from where the command was run.
    folder = f"{Path(os.path.relpath(root / FOLDER)).as_posix()}/"
    if form == "json":
        print(as_json(problems, loaded.files, folder), end="")
    elif form == "github":
        print(as_annotations(problems, folder), end="")
    elif problems or not quiet:
        print_problems(
            problems, loaded.files, None if every or strict else kinds_in_words()
        )
        if loaded.library is not None and not is_promised(loaded.library):
            print("no address is promised yet; bedside publish does that, nothing else")
        print(f"next: {next_step(problems, strict=strict)}")
    return PROBLEMS if failed else CLEAN


def next_step(problems: tuple[Problem, ...], *, strict: bool = False) -> str:
    """The one thing to do after a check."""
    level = WARNING if strict and not count(problems, ERROR) else ERROR
    first = next((it for it in in_order(problems) if it.level == level), None)
    if first is not None:
        return f"mend {FOLDER}/{first.file}:{first.line}, then run bedside check again"
    if count(problems, WARNING):
        return "nothing stops a build; bedside serve shows the site, warnings can wait"
    return "all is well; bedside serve shows the site, bedside build makes it"
