"""The command line: `bedside COMMAND`. Exit code 0 all well, 1 problems, 2 wrong usage."""

import os
import sys
from collections.abc import Mapping, Sequence
from importlib import import_module
from io import TextIOWrapper
from pathlib import Path

import click
from click.shell_completion import shell_complete

from bedside.commands.terminal import FOLDER, PROBLEMS, USAGE, UsageError
from bedside.problems import did_you_mean

# What is typed, and the module that does it; one module may hold two that are alike.
COMMANDS: Mapping[str, str] = {
    "check": "check",
    "build": "build",
    "serve": "serve",
    "publish": "build:publish",
    "try": "trial",
    "tree": "tree",
    "report": "report",
    "tally": "tally",
    "handout": "handout",
    "links": "links",
    "headers": "headers",
    "new": "new",
    "remove": "remove",
    "grid": "grid",
}
EXAMPLE = """\b
example:
  bedside check

more about one: bedside COMMAND --help"""
COMPLETE = "_BEDSIDE_COMPLETE"  # set by a shell that asks what may come next
STOPPED = 130  # what a shell reports for a program stopped with Ctrl+C


class Commands(click.Group):
    """Loads a command when it is named: a check needs nothing that prints or draws."""

    def list_commands(self, _: click.Context) -> list[str]:
        """In the order of use."""
        return list(COMMANDS)

    def get_command(self, _: click.Context, name: str) -> click.Command | None:
        """The command of one module."""
        if name not in COMMANDS:
            return None
        module, _colon, found = COMMANDS[name].partition(":")
        held = import_module(f"bedside.commands.{module}")
        command: click.Command = getattr(held, found or "command")
        return command

    def resolve_command(
        self, context: click.Context, words: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the command; where there is none, name the nearest."""
        name = words[0]
        if name not in COMMANDS and not name.startswith("-"):
            hint = did_you_mean(name, COMMANDS) or f"there are {', '.join(COMMANDS)}"
            context.fail(f"no command called '{name}'; {hint}")
        return super().resolve_command(context, words)


@click.group(cls=Commands, epilog=EXAMPLE)
@click.option(
    "--root",
    type=click.Path(path_type=Path),
    metavar="DIR",
    help=f"the project: the folder that holds {FOLDER}/ (default: looked for upwards)",
)
@click.version_option(package_name="bedside", message="%(prog)s %(version)s")
@click.pass_context
def bedside(context: click.Context, root: Path | None) -> None:
    """From a nursery's notes to a help site."""
    context.obj = root


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and give its exit code."""
    words = [*(sys.argv[1:] if arguments is None else arguments)]
    _print_what_can_be_shown()
    if COMPLETE in os.environ:
        return shell_complete(bedside, {}, "bedside", COMPLETE, os.environ[COMPLETE])
    try:
        with bedside.make_context("bedside", words) as context:
            code: int = bedside.invoke(context)
        sys.stdout.flush()
    except click.exceptions.Exit as done:  # after --help
        return done.exit_code
    except click.ClickException as error:
        error.show()
        return USAGE
    except UsageError as error:
        print(f"bedside: {error}", file=sys.stderr)
        return USAGE
    except KeyboardInterrupt:
        return STOPPED
    except OSError as error:
        return _refused(error)
    return code


def _print_what_can_be_shown() -> None:
    # A terminal that is not UTF-8 shows a question mark for a letter that it lacks.
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="replace")


def _refused(error: OSError) -> int:
    """Say what the system would not do: a full disk, a file where a folder should be."""
    if isinstance(error, BrokenPipeError):
        # Whoever read our output, such as `head`, has seen enough.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return USAGE
    if isinstance(error, PermissionError):
        print(f"bedside: {error.filename} may not be written", file=sys.stderr)
        return PROBLEMS
    where = f"{error.filename}: " if error.filename else ""
    print(f"bedside: {where}{error.strerror}", file=sys.stderr)
    return PROBLEMS
