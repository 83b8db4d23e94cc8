"""What commands share: exit codes, printing problems, and a word when a wait is long."""

import argparse
import sys
import threading
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

from bedside import checks
from bedside.model.library import Library
from bedside.model.season import SeasonKnowledge
from bedside.problems import ERROR, Problem, count, did_you_mean, render
from bedside.read.load import load

CLEAN, PROBLEMS, USAGE = 0, 1, 2
PATIENCE_SECONDS = 2.0
FOLDER = "knowledge"


class UsageError(Exception):
    """The command was called with words it does not know; says what to do."""


def knowledge_of(args: argparse.Namespace) -> Path:
    """Give the knowledge folder of the project."""
    folder: Path = args.root / FOLDER
    return folder


def print_problems(problems: Iterable[Problem], files: int | None = None) -> None:
    """Print every problem the one way, in colour on a terminal."""
    colour = sys.stdout.isatty()
    print(render(problems, files=files, folder=f"{FOLDER}/", colour=colour), end="")


def sound(args: argparse.Namespace) -> tuple[Library, SeasonKnowledge | None] | None:
    """Read and check the knowledge; if there are errors, print them and give nothing."""
    loaded = load(knowledge_of(args))
    library, problems = loaded.library, loaded.problems
    if library is not None:
        problems = (*problems, *checks.run(library))
    if library is None or count(problems, ERROR):
        print_problems([it for it in problems if it.level == ERROR], loaded.files)
        return None
    return library, loaded.season


def sound_library(args: argparse.Namespace) -> Library | None:
    """The records alone of a sound folder."""
    found = sound(args)
    return found[0] if found else None


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
