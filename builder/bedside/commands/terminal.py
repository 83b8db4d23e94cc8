"""What commands share: exit codes, printing problems, and a word when a wait is long."""

import sys
import threading
from collections.abc import Iterable, Iterator
from contextlib import contextmanager

from bedside.problems import Problem, did_you_mean, render

CLEAN, PROBLEMS, USAGE = 0, 1, 2
PATIENCE_SECONDS = 2.0
FOLDER = "knowledge"


class UsageError(Exception):
    """The command was called with words it does not know; says what to do."""


def print_problems(problems: Iterable[Problem], files: int | None = None) -> None:
    """Print every problem the one way, in colour on a terminal."""
    colour = sys.stdout.isatty()
    print(render(problems, files=files, folder=f"{FOLDER}/", colour=colour), end="")


def known(word: str, names: Iterable[str], what: str) -> str:
    """Give the word back if it is one of the names; else say what could have been meant."""
    names = tuple(names)
    if word in names:
        return word
    hint = did_you_mean(word, names) or f"known: {', '.join(names)}"
    raise UsageError(f"no {what} called '{word}'; {hint}")


@contextmanager
def patience(words: str) -> Iterator[None]:
    """Say what is going on if it takes longer than two seconds."""

    def say() -> None:
        print(f"{words} …", file=sys.stderr, flush=True)

    timer = threading.Timer(PATIENCE_SECONDS, say)
    timer.daemon = True
    timer.start()
    try:
        yield
    finally:
        timer.cancel()
