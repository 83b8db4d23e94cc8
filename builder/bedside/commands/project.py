"""Where the project is that a command works on, and what its knowledge says."""

import functools
from collections.abc import Callable
from pathlib import Path
from typing import Concatenate, ParamSpec

import click

from bedside.commands.terminal import FOLDER, UsageError, print_problems
from bedside.model.library import Library
from bedside.model.season import SeasonTables
from bedside.problems import ERROR, count, errors_of
from bedside.read.load import load

Words = ParamSpec("Words")


def in_project(run: Callable[Concatenate[Path, Words], int]) -> Callable[Words, int]:
    """Hand a command the root of its project, looked for once all words are read."""

    @functools.wraps(run)
    def command(*words: Words.args, **options: Words.kwargs) -> int:
        return run(root_of(click.get_current_context().obj), *words, **options)

    return command


def root_of(given: Path | None) -> Path:
    """The folder that was named, or the nearest one above here that is a project."""
    if given is not None:
        if not (given / FOLDER).is_dir():
            what = (
                f"there is no folder {FOLDER}/ in {given}"
                if given.is_dir()
                else (f"{given} is {'no folder' if given.exists() else 'not there'}")
            )
            raise UsageError(f"{what}; make a site: bedside new site FOLDER")
        return given
    here = Path.cwd()
    for folder in (here, *here.parents):
        if (folder / FOLDER).is_dir():
            return folder
    raise UsageError(
        f"no folder from here upwards holds {FOLDER}/; "
        "go to your site, name it with --root, or make one: bedside new site FOLDER"
    )


def sound(
    root: Path, *, drafts: bool = False
) -> tuple[Library, SeasonTables | None] | None:
    """Read and check the knowledge; if there are errors, print them and give nothing.

    With `drafts` they are among the records, as for the one who writes them.
    """
    # Imported late: who only asks where the project is waits for no check.
    from bedside.checking import meaning_of

    loaded = load(root / FOLDER)
    library, problems = loaded.library, loaded.problems
    if library is not None:
        problems = (*problems, *meaning_of(loaded))
    if library is None or count(problems, ERROR):
        print_problems(errors_of(problems), loaded.files)
        return None
    return (loaded.with_drafts if drafts else None) or library, loaded.season


def sound_library(root: Path, *, drafts: bool = False) -> Library | None:
    """The records alone of a sound folder."""
    found = sound(root, drafts=drafts)
    return found[0] if found else None
