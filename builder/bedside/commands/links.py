"""`bedside links`: what a change adds, moves and ends among all published addresses."""

import re
from pathlib import Path

import click

from bedside.checks.published import Change, change_of, grown
from bedside.commands.project import in_project
from bedside.commands.terminal import (
    CLEAN,
    FOLDER,
    PROBLEMS,
    UsageError,
    patience,
    print_problems,
)
from bedside.model.library import Library
from bedside.model.published_addresses import FILE, Promised, promised_in, promised_of
from bedside.pages.frame.addresses import all_addresses
from bedside.problems import ERROR, count, counted
from bedside.read.load import load
from bedside.read.plain_yaml import parse

EXAMPLE = """\b
examples:
  bedside links
  bedside links --grown-from OLD.yaml   fail if the list lost anything that OLD.yaml holds
  bedside links --external              every address outside this site, to be looked at"""
HEAD = """\
# yaml-language-server: $schema=schema/addresses.schema.json
# Everything ever published. Links are mailed and printed, so nothing is taken out of here.
# Renamed something? Write it down, and old links go on to work:
#
#   moved:
#     pages: {/old/address/: /new/address/}
#     answers: {PLANT: {old-id: new-id}}
#   ended:
#     pages: {/old/address/: One line for whoever still has the link.}
#     answers: {PLANT: {old-id: One line on why we no longer ask.}}
#
"""
START = "# From here on written by `bedside publish`.\n"
STARTS = re.compile(r"(?m)^# From here on written by .*\n")  # in whatever words
FATES = re.compile(r"(?m)^(?:moved|ended):.*\n(?:(?:[ \t].*)?\n)*")
OUTSIDE = re.compile(r"https?://[^\s\"'<>)\]]+")


@click.command(
    help="Compare the addresses and ids of the site with all ever published.",
    short_help="show which addresses a change adds, moves and ends",
    epilog=EXAMPLE,
)
@click.option("--write", is_flag=True, hidden=True)  # what once kept the list
@click.option(
    "--grown-from",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="an older list, which must be kept",
)
@click.option(
    "--external", "outside", is_flag=True, help="list links to other sites instead"
)
@in_project
def command(root: Path, grown_from: Path | None, *, write: bool, outside: bool) -> int:
    """Show the change; fail if something published would be lost."""
    if write:
        raise UsageError("the list is kept by: bedside publish (or with --list-only)")
    with patience("reading"):
        loaded = load(root / FOLDER)
    library, season = loaded.library, loaded.season
    if library is None or count(loaded.problems, ERROR):
        print_problems(loaded.problems, loaded.files)
        return PROBLEMS
    if outside:
        print("\n".join(external(library)))
        return CLEAN
    live = all_addresses(library, season)
    change = change_of(library, live)
    print("\n".join(told(change)))
    lost = len(change.lost)
    if grown_from:
        lost += _report_shrunk(grown_from, promised_of(library))
    return PROBLEMS if lost else CLEAN


def promise(root: Path) -> tuple[int, int]:
    """Add all that is published now to the list; gives how many pages and ids are new."""
    loaded = load(root / FOLDER)
    assert loaded.library is not None
    live = all_addresses(loaded.library, loaded.season)
    change = change_of(loaded.library, live)
    write_list(root, grown(loaded.library, live))
    return len(change.added), len(change.added_ids)


def write_list(root: Path, promised: Promised, by_hand: str = "") -> None:
    """Write the list; what was written by hand stays, or is said anew."""
    path = root / FOLDER / FILE
    old = path.read_text(encoding="utf-8") if path.exists() else HEAD + START
    if by_hand:
        old = by_hand + START
    path.write_text(rewritten(old, promised), encoding="utf-8")


def told(change: Change) -> tuple[str, ...]:
    """The change in lines, and a line of counts."""
    return (
        *(f"new    /{page}" for page in change.added),
        *(f"new    {id_}" for id_ in change.added_ids),
        *(f"moved  /{old} -> /{new}" for old, new in change.moved),
        *(f"ended  /{page}" for page in change.ended),
        *(f"LOST   /{page}" for page in change.lost),
        f"{counted(len(change.added), 'page')} and "
        f"{counted(len(change.added_ids), 'id')} new, "
        f"{counted(len(change.moved), 'page')} moved, {len(change.ended)} ended, "
        f"{len(change.lost)} lost",
    )


def rewritten(old: str, promised: Promised) -> str:
    """The text of the list: what was written by hand stays, the rest is made anew."""
    by_hand = written_by_hand(old)
    lines = ["pages:", *(f"  - /{page}" for page in promised.pages), "answers:"]
    for plant, signs in sorted(promised.answers.items()):
        lines.append(f"  {plant}:")
        lines += [f"    {sign}: [{', '.join(ids)}]" for sign, ids in sorted(signs.items())]
    return by_hand + START + "\n".join(lines) + "\n"


def written_by_hand(text: str) -> str:
    """What stands in the list above all that a command writes."""
    by_hand, *rest = STARTS.split(text, maxsplit=1)
    return by_hand if rest else re.split(r"(?m)^(?:pages|answers):", text, maxsplit=1)[0]


def external(library: Library) -> tuple[str, ...]:
    """Every link to another site with the file it stands in, each once."""
    found: dict[str, str] = {}
    for file, document in library.documents.items():
        # A drawing names its language by an address that nobody opens.
        lines = () if document.kind == "drawing" else document.lines
        for link in OUTSIDE.findall("\n".join(lines)):
            found.setdefault(link.rstrip(".,;"), file)
    return tuple(f"{link}  {file}" for link, file in sorted(found.items()))


def _report_shrunk(path: Path, now: Promised) -> int:
    if not path.is_file():
        raise UsageError(f"there is no file {path}")
    text = path.read_text(encoding="utf-8")
    before = promised_in(parse(str(path), text).data or {})
    gone = [f"/{page}" for page in before.pages if page not in now.pages]
    for plant, signs in before.answers.items():
        kept = now.answers.get(plant, {})
        gone += [f"{plant}: {sign}" for sign in signs if sign not in kept]
        gone += [
            f"{plant}: {sign}: {answer}"
            for sign, answers in signs.items()
            for answer in answers
            if answer not in kept.get(sign, ())
        ]
    for name in gone:
        print(f"taken out of the list: {name}")
    return len(gone)
