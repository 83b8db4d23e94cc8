"""`bedside grid`: what a plant's causes say of each answer, as a spreadsheet.

A grid is made of a plant's records and written as text that `read/grid.py` reads again.
"""

import csv
import io
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

import click

from bedside.commands.new import write_file
from bedside.commands.project import in_project, sound_library
from bedside.commands.terminal import CLEAN, PROBLEMS, known
from bedside.model.records import Plant
from bedside.read.grid import (
    ABOUT,
    HEARD,
    MARK,
    NONE,
    NONE_MARK,
    NORMAL,
    Grid,
    GridCause,
    GridSign,
    cell_of,
    read_grid,
)

EXAMPLE = """\b
examples:
  bedside grid PLANT --out causes.csv
  bedside grid PLANT --out causes.csv --semicolon
  bedside new plant OTHER --from causes.csv

Row 1 holds the questions, row 2 their answers; from row 3 on each row is a cause. A cell
says how often the answer is seen with it: always, usually, sometimes, rarely or never. The
row 'normal' marks what a healthy plant shows, the row 'words' has what people write."""


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


def grid_of(plant: Plant) -> Grid:
    """What a plant's records say, as a grid; what is on no list has no row."""
    signs = tuple(
        GridSign(
            id=sign.id,
            question=sign.question,
            answers={it.id: it.says for it in sign.all_answers},
            none=sign.none.id if sign.none else "",
            normal=sign.normal,
            heard={it.id: _plain(it.words) for it in sign.all_answers if it.words},
        )
        for sign in plant.signs.values()
    )
    order = [answer for sign in signs for answer in sign.answers]
    causes = []
    for cause in plant.causes.values():
        said = {it: word for words in cause.evidence.values() for it, word in words.items()}
        step = plant.first_steps[cause.first_step]
        about = {"common": cause.common, "kind": cause.kind, "in short": cause.in_short,
                 "first step": step.do}  # fmt: skip
        words = {it: said[it] for it in order if it in said}
        if cause.kind != "unlisted":
            causes.append(GridCause(id=cause.id, name=cause.name, about=about, words=words))
    return Grid(signs=signs, causes=tuple(causes))


def _plain(phrases: Iterable[str]) -> tuple[str, ...]:
    # A semicolon says nothing in a phrase, and stands between phrases in a cell.
    return tuple(" ".join(it.replace(";", " ").split()) for it in phrases)


def written(grid: Grid, between: str = ",") -> str:
    """A grid as the text of a CSV file, with ids where the words do not make them."""
    plain = _saved(_rows(grid, with_ids=False), between)
    again, _ = read_grid("", plain.encode())
    return plain if again == grid else _saved(_rows(grid, with_ids=True), between)


def _saved(rows: Iterable[Sequence[str]], between: str) -> str:
    # All is quoted, so that no other sign can be taken for the one between the cells.
    text = io.StringIO()
    writer = csv.writer(text, delimiter=between, quoting=csv.QUOTE_ALL, lineterminator="\n")
    writer.writerows(rows)
    return text.getvalue()


def _rows(grid: Grid, *, with_ids: bool) -> Iterator[list[str]]:
    about = [it for it in ABOUT if any(it in cause.about for cause in grid.causes)]
    before = [""] * len(about)
    answers = [it for sign in grid.signs for it in sign.answers]
    questions: list[str] = []
    says: list[str] = []
    for sign in grid.signs:
        questions += [_named(sign.question, sign.id, with_ids)]
        questions += [""] * (len(sign.answers) - 1)
        for answer, said in sign.answers.items():
            mark = f"{NONE_MARK} " if answer == sign.none and said.lower() != NONE else ""
            says.append(mark + _named(said, answer, with_ids))
    yield ["", *before, *questions]
    yield ["cause", *about, *says]
    yield from _rows_of_answers(grid, before)
    for cause in grid.causes:
        told = [cause.about.get(it, "") for it in about]
        words = [cause.words.get(it, "") for it in answers]
        yield [_named(cause.name, cause.id, with_ids), *told, *words]


def _rows_of_answers(grid: Grid, before: Sequence[str]) -> Iterator[list[str]]:
    columns = [(sign, answer) for sign in grid.signs for answer in sign.answers]
    if any(sign.normal for sign in grid.signs):
        marks = [MARK if answer == sign.normal else "" for sign, answer in columns]
        yield [NORMAL, *before, *marks]
    if any(sign.heard for sign in grid.signs):
        heard = [cell_of(sign.heard.get(answer, ())) for sign, answer in columns]
        yield [HEARD, *before, *heard]


def _named(words: str, name: str, with_id: bool) -> str:
    return f"{words} [{name}]" if with_id else words
