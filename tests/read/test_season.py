"""Tables with faults: each is a problem at its cell, and nothing is made from the rest."""

import shutil
from pathlib import Path

import pytest

from bedside.problems import Problem
from bedside.read.season import read_season
from tests.conftest import TOY, read_clean
from tests.season_data import KNOWLEDGE
from tests.shipped import PLANT


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy of the real season, to be spoiled."""
    shutil.copytree(KNOWLEDGE / "season", tmp_path / "season")
    return tmp_path


def problems_in(folder: Path) -> tuple[Problem, ...]:
    season, problems = read_season(folder, read_clean(KNOWLEDGE))
    assert season is None or not problems
    return problems


def spoil(folder: Path, table: str, line: int, column: str, value: str) -> None:
    """Write another value into one cell; lines are counted as an editor counts them."""
    path = folder / "season" / f"{table}.csv"
    lines = path.read_text(encoding="utf-8").split("\n")
    cells = lines[line - 1].split(",")
    cells[lines[0].split(",").index(column)] = value
    lines[line - 1] = ",".join(cells)
    path.write_text("\n".join(lines), encoding="utf-8")


@pytest.mark.parametrize(
    ("table", "column", "value", "code"),
    [
        ("normals", "tmin_f_7", "120", "low-above-high"),
        ("normals", "tmax_f_1", "warm", "not-a-number"),
        ("normals", "tmax_f_1", "nan", "out-of-range"),
        ("normals", "tmax_f_1", "999", "out-of-range"),
        ("stations", "last_freeze", "02-31", "no-such-day"),
        ("stations", "first_freeze", "13-01", "no-such-day"),
        ("stations", "first_freeze", "soon", "no-such-day"),
        ("stations", "freezes", "often", "unknown-word"),
        ("stations", "state", "ZZ", "unknown-place"),
        ("stations", "lat", "951.0", "out-of-range"),
        ("zips", "place", "charlote-nc", "unknown-place"),
        ("zips", "zip3", "2820", "not-a-zip"),
    ],
)
def test_a_wrong_cell_is_named(
    folder: Path, table: str, column: str, value: str, code: str
) -> None:
    """The problem names file and line of the cell, and says what is wrong."""
    spoil(folder, table, 5, column, value)
    found = problems_in(folder)
    assert {(it.code, it.file, it.line) for it in found} == {
        (code, f"season/{table}.csv", 5)
    }


def test_a_close_name_is_offered(folder: Path) -> None:
    """A misspelt place brings up the one that was meant."""
    spoil(folder, "zips", 5, "place", "charlote-nc")
    assert [it.hint for it in problems_in(folder)] == ["did you mean 'charlotte-nc'?"]


def test_a_station_twice(folder: Path) -> None:
    """A place that stands in the table twice is a problem at the second."""
    spoil(folder, "stations", 6, "place", "anchorage-ak")
    assert [(it.code, it.line) for it in problems_in(folder)] == [("written-twice", 6)]


def test_a_station_without_normals(folder: Path) -> None:
    """A place needs its temperatures."""
    spoil(folder, "stations", 6, "place", "nowhere-ak")
    assert [(it.code, it.line) for it in problems_in(folder)] == [("unknown-place", 6)]


def test_unreadable_tables(folder: Path) -> None:
    """A table that is no text is one problem; the others are still read."""
    (folder / "season" / "zips.csv").write_text("zip3\n", encoding="utf-8")
    (folder / "season" / "states.csv").write_bytes(b"state,name\nNC,\xff\n")
    assert {it.code for it in problems_in(folder)} == {"not-utf-8", "wrong-columns"}


def test_tables_that_a_folder_does_not_bring_ship(tmp_path: Path) -> None:
    """A folder with its season records alone has every place; its own table wins."""
    season = shutil.copytree(KNOWLEDGE / "season", tmp_path / "season")
    library = read_clean(KNOWLEDGE)
    whole, _ = read_season(tmp_path, library)
    for table in season.glob("*.csv"):
        table.unlink()
    assert read_season(tmp_path, library) == (whole, ())
    (season / "states.csv").write_text("state,name\nNC,Own name\n", encoding="utf-8")
    _, problems = read_season(tmp_path, library)
    assert {it.code for it in problems} == {"unknown-place"}


def test_a_folder_without_a_season(tmp_path: Path) -> None:
    """No plant says what to do when: no season pages, and no problem."""
    assert read_season(tmp_path, read_clean(TOY)) == (None, ())


def test_a_plant_without_insects_has_its_year(toy_copy: Path) -> None:
    """Frost dates alone say what to do when; nobody must know an insect's warmth."""
    shutil.copy(KNOWLEDGE / PLANT / "year.yaml", toy_copy / "mossbell")
    (_,) = read_season(toy_copy, read_clean(toy_copy))[1]  # no climate to count with
    (toy_copy / "season").mkdir()
    shutil.copy(KNOWLEDGE / "season" / "climate.yaml", toy_copy / "season")
    season, problems = read_season(toy_copy, read_clean(toy_copy))
    assert season is not None, problems
    assert season.insects == ()
    assert {it.plant for it in season.tasks} == {"mossbell"}
