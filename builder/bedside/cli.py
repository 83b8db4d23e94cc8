"""The command line: `bedside COMMAND`. Exit code 0 all well, 1 problems, 2 wrong usage."""

import argparse
import os
import sys
from collections.abc import Sequence
from pathlib import Path

from bedside.commands import (
    build,
    check,
    handout,
    headers,
    links,
    new,
    report,
    serve,
    tree,
    trial,
)
from bedside.commands.terminal import FOLDER, PROBLEMS, USAGE, UsageError

COMMANDS = (check, build, serve, trial, tree, report, handout, links, headers, new)
SITE_SETTINGS = "mkdocs.yml"
STOPPED = 130  # what a shell reports for a program stopped with Ctrl+C


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and give its exit code."""
    parser = make_parser()
    args = parser.parse_args(arguments)
    try:
        args.root = _root(args.root)
        code: int = args.run(args)
        sys.stdout.flush()
    except UsageError as error:
        print(f"bedside: {error}", file=sys.stderr)
        return USAGE
    except PermissionError as error:
        print(f"bedside: {error.filename} may not be written", file=sys.stderr)
        return PROBLEMS
    except KeyboardInterrupt:
        return STOPPED
    except BrokenPipeError:
        # Whoever read our output, such as `head`, has seen enough.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return USAGE
    return code


def make_parser() -> argparse.ArgumentParser:
    """Make the parser with every command."""
    parser = argparse.ArgumentParser(
        prog="bedside",
        description="From a nursery's notes to a help site.",
        epilog="example:\n  bedside check\n\nmore about one: bedside COMMAND --help",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument(
        "--root",
        type=Path,
        metavar="DIR",
        help=f"the project: the folder that holds {FOLDER}/ (default: looked for upwards)",
    )
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    for command in COMMANDS:
        command.register(commands)
    return parser


def _root(given: Path | None) -> Path:
    if given is not None:
        if not (given / FOLDER).is_dir():
            raise UsageError(f"there is no folder {FOLDER}/ in {given}")
        return given
    here = Path.cwd()
    for folder in (here, *here.parents):
        if (folder / FOLDER).is_dir() and (folder / SITE_SETTINGS).is_file():
            return folder
    raise UsageError(
        f"no folder above here holds {FOLDER}/ and {SITE_SETTINGS}; "
        "go to the project, or name it with --root"
    )
