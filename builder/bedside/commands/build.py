"""`bedside build`: make the site; problems leave the last good one as it was."""

import argparse
import sys
from pathlib import Path

from bedside.commands.terminal import CLEAN, PROBLEMS, patience, print_problems
from bedside.problems import ERROR, count

EXAMPLE = "example:\n  bedside build --out site"
DEFAULT_OUT = "site"


def register(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = commands.add_parser(
        "build",
        help="make the site",
        description="Make the site. If there are problems, the last good site stays.",
        epilog=EXAMPLE,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--out", type=Path, metavar="DIR", help="where to (default: site/)")
    parser.add_argument("--strict", action="store_true", help="let warnings fail too")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Build beside the old site and swap."""
    # Imported late: the site generator alone takes longer to load than a whole check.
    from bedside.publish.whole_site import build_site

    out = (args.out or args.root / DEFAULT_OUT).resolve()
    with patience("building the site"):
        problems = build_site(args.root, out, progress=_say)
    if problems:
        print_problems(problems)
    if count(problems, ERROR):
        print("the site was not built; the last one is as it was")
        return PROBLEMS
    print(f"built {out}")
    return PROBLEMS if problems and args.strict else CLEAN


def _say(words: str) -> None:
    print(words, file=sys.stderr, flush=True)
