"""`bedside build`: make the site; problems leave the last good one as it was."""

import sys
from pathlib import Path

import click

from bedside.checks import kinds_in_words
from bedside.commands.project import in_project
from bedside.commands.terminal import (
    CLEAN,
    PROBLEMS,
    patience,
    print_problems,
    quiet_option,
)
from bedside.problems import ERROR, WARNING, count

EXAMPLE = "\b\nexample:\n  bedside build --out site"
DEFAULT_OUT = "site"


@click.command(
    help="Make the site. If there are problems, the last good site stays.",
    short_help="make the site",
    epilog=EXAMPLE,
)
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    metavar="DIR",
    help="where to (default: site/)",
)
@click.option("--strict", is_flag=True, help="let warnings fail too")
@quiet_option
@in_project
def command(root: Path, out: Path | None, *, strict: bool, quiet: bool) -> int:
    """Build beside the old site and swap."""
    # Imported late: the site generator alone takes longer to load than a whole check.
    from bedside.publish.whole_site import build_site

    out = (out or root / DEFAULT_OUT).resolve()
    with patience("building the site"):
        problems = build_site(root, out, progress=_keep_quiet if quiet else _say)
    fails = count(problems, ERROR) + (strict and count(problems, WARNING))
    if quiet:
        problems = tuple(it for it in problems if it.level == ERROR)
    if problems:
        print_problems(problems, kinds=kinds_in_words())
    if count(problems, ERROR):
        print("the site was not built; if there was one, the last one is as it was")
    elif not quiet:
        print(f"built {out}")
    return PROBLEMS if fails else CLEAN


def _keep_quiet(_: str) -> None:
    """Say nothing."""


def _say(words: str) -> None:
    print(words, file=sys.stderr, flush=True)
