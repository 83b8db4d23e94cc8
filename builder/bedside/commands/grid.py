"""`bedside grid`: what a plant's causes say of each answer, as a spreadsheet."""

from pathlib import Path

import click

from bedside.commands.new import write_file
from bedside.commands.project import in_project, sound_library
from bedside.commands.terminal import CLEAN, PROBLEMS, known
from bedside.read.grid import grid_of, written

EXAMPLE = """\b
examples:
  bedside grid PLANT --out causes.csv
  bedside grid PLANT --out causes.csv --semicolon
  bedside new plant OTHER --from causes.csv

Row 1 holds the questions, row 2 their answers; from row 3 on each row is a cause. A cell
says how often the answer is seen with it: always, usually, sometimes, rarely or never."""


@click.command(
    help="Print the causes of a plant by the answers to its signs, as CSV.",
    short_help="print a plant's causes by answers, as a spreadsheet",
    epilog=EXAMPLE,
)
@click.argument("plant")
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    metavar="CSV",
    help="write it there, for an office program; overwrites nothing",
)
@click.option(
    "--semicolon", is_flag=True, help="for an office program that takes commas for decimals"
)
@in_project
def command(root: Path, plant: str, out: Path | None, *, semicolon: bool) -> int:
    """Print the grid, or write it."""
    library = sound_library(root, drafts=True)
    if library is None:
        return PROBLEMS
    name = known(plant, library.knowledge.plants, "plant")
    text = written(grid_of(library.knowledge.plants[name]), ";" if semicolon else ",")
    if out is None:
        print(text, end="")
        return CLEAN
    # The mark at the start tells office programs that this is UTF-8.
    return write_file(out, "\ufeff" + text.replace("\n", "\r\n"))
