"""`bedside build` and `bedside publish`: make the site; problems leave the last good one.

To publish is to promise: every address of the site is kept in a list, and a check fails
when one would die. Nothing else promises anything.
"""

import sys
from pathlib import Path

import click

from bedside.checks import kinds_in_words
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
from bedside.problems import ERROR, count, counted, errors_of

EXAMPLE = "\b\nexample:\n  bedside build --out site"
DEFAULT_OUT = "site"


out_option = click.option(
    "--out",
    type=click.Path(path_type=Path),
    metavar="DIR",
    help="where to (default: site/)",
)


@click.command(
    help="Make the site. If there are problems, the last good site stays.",
    short_help="make the site",
    epilog=EXAMPLE,
)
@out_option
@click.option("--strict", is_flag=True, help="let warnings fail too")
@quiet_option
@in_project
def command(root: Path, out: Path | None, *, strict: bool, quiet: bool) -> int:
    """Build beside the old site and swap."""
    return make(root, (out or root / DEFAULT_OUT).resolve(), strict=strict, quiet=quiet)


def make(root: Path, out: Path, *, strict: bool = False, quiet: bool = False) -> int:
    """Make the site and print what is wrong."""
    # Imported late: the site generator alone takes longer to load than a whole check.
    from bedside.publish import whole_site

    with patience("building the site", quiet=quiet):
        say = whole_site.quiet if quiet else _say
        problems = whole_site.build_site(root, out, progress=say)
    failed = fails(problems, strict=strict)
    if quiet:
        problems = errors_of(problems)
    if problems:
        print_problems(problems, kinds=kinds_in_words())
    if count(problems, ERROR):
        print("the site was not built; if there was one, the last one is as it was")
    elif not quiet:
        print(f"built {out}")
    return PROBLEMS if failed else CLEAN


@click.command(
    help="Make the site that goes on the web, and promise its addresses: from now on "
    "a check fails when a link that was mailed or printed would die.",
    short_help="make the site, and keep all its addresses from now on",
    epilog="\b\nexamples:\n  bedside publish\n"
    "  bedside publish --list-only   promise alone; the site is built elsewhere",
)
@out_option
@click.option("--list-only", is_flag=True, help="promise, and make no site")
@quiet_option
@in_project
def publish(root: Path, out: Path | None, *, list_only: bool, quiet: bool) -> int:
    """Build, and if that went well add every address to the list."""
    from bedside.commands.links import promise

    out = (out or root / DEFAULT_OUT).resolve()
    code = _sound(root) if list_only else make(root, out, quiet=quiet)
    if code == CLEAN:
        pages, ids = promise(root)
        if not quiet:
            print(
                f"new in {FOLDER}/addresses.yaml, and promised from now on: "
                f"{counted(pages, 'page')} and {counted(ids, 'id')}. Next: put "
                f"{'the built site' if list_only else f'{out.name}/'} on the web; bedside "
                "headers prints what your host should send with it"
            )
    return code


def _sound(root: Path) -> int:
    """Print the errors of the knowledge, if there are any."""
    from bedside.checking import problems_of
    from bedside.read.load import load

    loaded = load(root / FOLDER)
    errors = errors_of(problems_of(loaded))
    if errors:
        print_problems(errors, loaded.files)
    return PROBLEMS if errors else CLEAN


def _say(words: str) -> None:
    print(words, file=sys.stderr, flush=True)
