"""`bedside tally`: join what the page for letters saved, and say what came of it."""

import calendar
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

import click

from bedside.commands.project import in_project, sound_library
from bedside.commands.terminal import CLEAN, FOLDER, PROBLEMS, UsageError
from bedside.measure.letters_tally import (
    FEWEST,
    Joined,
    Proposal,
    Row,
    by_month,
    first_right,
    joined,
    proposals,
    read_rows,
)
from bedside.model.records import Plant
from bedside.problems import Problem, counted, render
from bedside.read.saved_sheet import read_saved

EXAMPLE = """\b
examples:
  bedside tally letters-2026-07-14.csv
  bedside tally letters-*.csv

The page /letters/ saves such a file at the end of a sitting. No letter's words are in it.
Nothing is changed: a proposal is a line for you to write into the record, or not."""
ASK = "Choose 'What it was' on the page when you hear how it went."


@click.command(
    help="Join the tallies of letters: what came, how often we were right, what to change.",
    short_help="what came of the letters of a season",
    epilog=EXAMPLE,
)
@click.argument(
    "files", nargs=-1, required=True, metavar="FILE...", type=click.Path(path_type=Path)
)
@in_project
def command(root: Path, files: tuple[Path, ...]) -> int:
    """Print the tally; bad lines first, for they are not counted."""
    library = sound_library(root)
    if library is None:
        return PROBLEMS
    plants = library.knowledge.plants
    causes = {id_: tuple(plant.causes) for id_, plant in plants.items()}
    read: list[Sequence[Row]] = []
    bad: list[Problem] = []
    for file in dict.fromkeys(files):
        rows, problems = read_rows(str(file), _content(file), causes)
        read.append(rows)
        bad += problems
    if bad:
        print(render(bad), end="")
        print("these lines are left out\n")
    for line in tally_lines(joined(read), plants.values()):
        print(line)
    return PROBLEMS if bad else CLEAN


def tally_lines(all_: Joined, plants: Iterable[Plant]) -> Iterator[str]:
    """Everything that the files tell, line by line."""
    days = [row.date for row in all_.rows]
    yield counted(len(days), "letter") + (f", {days[0]} to {days[-1]}" if days else "")
    if all_.twice:
        yield f"stood in two files, counted once: {all_.twice}"
    for month, kinds in by_month(all_.rows).items():
        said = ", ".join(f"{kind} {count}" for kind, count in kinds.most_common())
        yield f"  {calendar.month_name[month]:<10}{kinds.total():4}  {said}"
    yield ""
    yield _right(all_.rows)
    for plant in plants:
        own = [row for row in all_.rows if row.plant == plant.id]
        if own:
            yield from _plant_lines(plant, own)


def _plant_lines(plant: Plant, rows: Sequence[Row]) -> Iterator[str]:
    common = {id_: cause.common for id_, cause in plant.causes.items()}
    found = list(proposals(rows, common))
    yield ""
    if not found:
        yield f"{plant.name}: no word for how common a cause is needs a change"
        yield f"(one is proposed from {FEWEST} letters on, if they differ clearly)"
        return
    yield f"{plant.name}: these causes are not as common in letters as their records say"
    for it in found:
        yield from _proposed(plant, it)
    yield "Letters tell what customers meet where they live. If you would say so too,"
    yield "change the word, then run `bedside check` and `bedside report`."


def _proposed(plant: Plant, it: Proposal) -> Iterator[str]:
    yield f"  {FOLDER}/{plant.id}/causes/{it.cause}.yaml: common: {it.word} -> {it.instead}"
    yield (
        f"      rests on {it.seen} of {counted(it.of, 'letter')} with a known cause; "
        f"'{it.word}' would bring about {it.expected:.1f}"
    )


def _right(rows: Iterable[Row]) -> str:
    share = first_right(rows)
    if not share.of:
        return f"No letter tells yet what it was. {ASK}"
    of = counted(share.of, "letter")
    return (
        f"The first cause was right in {share.right} of {of} of which you know the cause."
    )


def _content(file: Path) -> bytes:
    content = read_saved(file)
    if isinstance(content, str):
        raise UsageError(f"{file}: {content}")
    return content
