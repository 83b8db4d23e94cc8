"""`bedside remove`: take a plant out, once it is said what goes with it."""

import itertools
import shutil
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

import click
import yaml

from bedside.checking import problems_of
from bedside.commands.links import FATES, write_list, written_by_hand
from bedside.commands.project import in_project
from bedside.commands.terminal import (
    CLEAN,
    FOLDER,
    PROBLEMS,
    known,
    patience,
    print_problems,
)
from bedside.model.library import Library
from bedside.model.published_addresses import FILE, Promised, promised_of
from bedside.model.records import Plant
from bedside.pages.frame.addresses import all_addresses
from bedside.problems import ERROR, Problem, counted, in_order
from bedside.read.library import Folder, read_folder
from bedside.read.load import Loaded, load_published
from bedside.read.season import read_season

EXAMPLE = """\b
examples:
  bedside remove mossbell         say what would go
  bedside remove mossbell --yes   take it out"""


@dataclass(frozen=True, kw_only=True, slots=True)
class Loss:
    """What goes with a plant: promised pages, ids in links, and its own records."""

    plant: Plant
    files: int
    pages: tuple[str, ...]  # promised, and dying
    ids: tuple[str, ...]  # promised


@click.command(
    help="Say what a plant's folder takes along: addresses, cases, phrases, sheets. With "
    "--yes take it out; its old links then say that it is gone.",
    short_help="take a plant out, once it is said what goes with it",
    epilog=EXAMPLE,
)
@click.argument("plant")
@click.option("--yes", is_flag=True, help="do it")
@in_project
def command(root: Path, plant: str, *, yes: bool) -> int:
    """Print what goes; delete the folder and end its addresses only if told so."""
    with patience("reading"):
        folder = read_folder(root / FOLDER)
        library = folder.whole()
    if library is None or folder.faulty:
        print_problems(folder.problems, folder.files)
        return PROBLEMS
    plants = library.knowledge.plants
    known(plant, plants, "plant")
    if len(plants) == 1:
        print(f"'{plant}' is the only plant; first make another: bedside new plant NAME")
        return PROBLEMS
    before, after = (
        load_published(root / FOLDER, it) for it in (folder, folder.less(plant))
    )
    if before.library and not after.library:
        print(f"every other plant is a draft; finish one before you take '{plant}' out")
        return PROBLEMS
    loss = _loss(root, folder, library, plant)
    print("\n".join(_told(loss)))
    left = newly_wrong(before, after)
    if left:
        print("\nwhat names it elsewhere is yours to mend then:\n")
        print_problems(left)
        print()
    if not yes:
        print(
            "nothing was changed; to take it out, and keep a copy beside the folder "
            f"{FOLDER}/: bedside remove {plant} --yes"
        )
        return CLEAN
    ends = bool(loss.pages or loss.ids)
    if ends:
        _end(root, promised_of(library), loss)
    kept = _set_aside(root, plant)
    print(f"took {FOLDER}/{plant}/ out, and kept it as {kept.relative_to(root)}/")
    print(
        f"next: bedside check. To have it back, move that folder to {FOLDER}/{plant}/"
        + (f" and take its lines below 'ended' out of {FOLDER}/{FILE}" if ends else "")
        + "; delete it once you are sure"
    )
    return CLEAN


def _set_aside(root: Path, plant: str) -> Path:
    """Move a plant's folder beside the knowledge, where nothing reads it."""
    today = date.today().isoformat()  # noqa: DTZ011 - the day on the writer's own wall
    named = f"removed-{plant}-{today}"
    names = itertools.chain((named,), (f"{named}-{at}" for at in itertools.count(2)))
    kept = next(it for it in map(root.joinpath, names) if not it.exists())
    shutil.move(root / FOLDER / plant, kept)
    return kept


def _loss(root: Path, folder: Folder, library: Library, plant: str) -> Loss:
    left = folder.less(plant).whole()
    assert left is not None
    stays = set(_addresses(root, left))
    promised = promised_of(library)
    gone = set(_addresses(root, library)) - stays
    moved = {old for old in promised.moved_pages if promised.heir(old) in gone}
    signs = promised.answers.get(plant, {})
    return Loss(
        plant=library.knowledge.plants[plant],
        files=sum(it.plant == plant for it in folder.documents),
        pages=tuple(sorted(moved | (gone & set(promised.pages)))),
        ids=tuple(sorted({*signs, *(it for ids in signs.values() for it in ids)})),
    )


def newly_wrong(before: Loaded, after: Loaded) -> tuple[Problem, ...]:
    """The errors that taking a plant out makes elsewhere, but for its addresses."""
    told = {(it.file, it.code, it.message) for it in problems_of(before)}
    return in_order(
        it
        for it in problems_of(after)
        if it.level == ERROR
        and it.file != FILE
        and (it.file, it.code, it.message) not in told
    )


def _addresses(root: Path, library: Library) -> Iterator[str]:
    season, _ = read_season(root / FOLDER, library)
    yield from all_addresses(library, season)


def _told(loss: Loss) -> Iterator[str]:
    plant = loss.plant
    phrases = sum(len(it.words) for sign in plant.signs.values() for it in sign.answers)
    yield (
        f"{FOLDER}/{plant.id}/ has {counted(loss.files, 'file')}: "
        f"{counted(len(plant.causes), 'cause')}, {counted(len(plant.signs), 'sign')}, "
        f"{counted(len(plant.cases), 'case')}, {counted(phrases, 'phrase')} of letters, "
        f"{counted(len(plant.drawings), 'drawing')}, its sheets and its key"
    )
    if not loss.pages and not loss.ids:
        yield "none of its addresses was promised"
        return
    yield f"{counted(len(loss.pages), 'promised page')} will say: it has ended"
    yield from (f"    /{page}" for page in loss.pages)
    ids = counted(len(loss.ids), "id")
    yield f"{ids} in links that were mailed will mean nothing any more"


def _end(root: Path, promised: Promised, loss: Loss) -> None:
    """Write down what ended, so that old links find a page that says so."""
    plant = loss.plant
    say = f"We do not help with {plant.plural} any more."
    moved = {old: new for old, new in promised.moved_pages.items() if old not in loss.pages}
    moved_ids = {it: to for it, to in promised.moved_answers.items() if it != plant.id}
    ended = {**promised.ended_pages, **dict.fromkeys(loss.pages, say)}
    by_hand = {
        "moved": {"pages": _slashed(moved, both=True), "answers": moved_ids},
        "ended": {
            "pages": _slashed(ended),
            "answers": {**promised.ended_answers, plant.id: dict.fromkeys(loss.ids, say)},
        },
    }
    filled = {
        key: {what: it for what, it in parts.items() if it}
        for key, parts in by_hand.items()
    }
    text = yaml.safe_dump(
        {key: it for key, it in filled.items() if it}, sort_keys=False, allow_unicode=True,
        width=200,
    )  # fmt: skip
    written = (root / FOLDER / FILE).read_text(encoding="utf-8")
    comments = FATES.sub("", written_by_hand(written))
    write_list(root, replace(promised, ended_pages=ended), by_hand=comments + text)


def _slashed(pages: Mapping[str, str], *, both: bool = False) -> dict[str, str]:
    return {f"/{old}": f"/{new}" if both else new for old, new in pages.items()}
