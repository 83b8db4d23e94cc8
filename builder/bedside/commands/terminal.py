"""What commands share: exit codes, printing problems, and a word when a wait is long."""

import os
import sys
import threading
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager

import click

from bedside.problems import ERROR, WARNING, Problem, did_you_mean, render

CLEAN, PROBLEMS, USAGE = 0, 1, 2
PATIENCE_SECONDS = 2.0
FOLDER = "knowledge"


class UsageError(Exception):
    """The command was called with words it does not know; says what to do."""


quiet_option = click.option(
    "-q", "--quiet", is_flag=True, help="print errors and nothing else"
)


def print_problems(
    problems: Iterable[Problem],
    files: int | None = None,
    kinds: Mapping[str, str] | None = None,
) -> None:
    """Print every problem the one way, in colour where that is wanted.

    With words for kinds, warnings of which there are many are counted.
    """
    folder = f"{FOLDER}/"
    colour = wants_colour()
    print(render(problems, files=files, folder=folder, colour=colour, kinds=kinds), end="")


def fails(problems: Iterable[Problem], *, strict: bool) -> bool:
    """Whether a command ends in failure: on an error, and if strict on a warning."""
    levels = {it.level for it in problems}
    return ERROR in levels or (strict and WARNING in levels)


def wants_colour() -> bool:
    """Whether what is printed is read on a terminal whose reader takes colour."""
    plain = os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb"
    return sys.stdout.isatty() and not plain


def known(word: str, names: Iterable[str], what: str) -> str:
    """Give the word back if it is one of the names; else say what could have been meant."""
    names = tuple(names)
    if word in names:
        return word
    hint = did_you_mean(word, names) or f"known: {', '.join(names)}"
    raise UsageError(f"no {what} called '{word}'; {hint}")


@contextmanager
def patience(words: str, *, quiet: bool = False) -> Iterator[None]:
    """Say what is going on if it takes longer than two seconds, unless that is unwanted."""
    if quiet:
        yield
        return

    def say() -> None:
        print(f"{words} …", file=sys.stderr, flush=True)

    timer = threading.Timer(PATIENCE_SECONDS, say)
    timer.daemon = True
    timer.start()
    try:
        yield
    finally:
        timer.cancel()
