"""One load for every command: what is wrong is said once, and the same by all of them."""

import shutil
from pathlib import Path

import pytest

from bedside import pipeline
from bedside.checking import problems_of
from bedside.cli import main
from bedside.problems import ERROR
from bedside.read.load import load
from tests.conftest import ROOT


@pytest.fixture
def spoiled(tmp_path: Path) -> Path:
    """A project whose knowledge is whole but for one cell of one climate table."""
    folder = Path(shutil.copytree(ROOT / "knowledge", tmp_path / "knowledge"))
    table = folder / "season" / "stations.csv"
    head, first, *rest = table.read_text("utf-8").splitlines()
    column = head.split(",").index("lat")
    cells = first.split(",")
    cells[column] = "far north"
    table.write_text("\n".join((head, ",".join(cells), *rest)) + "\n", "utf-8")
    return tmp_path


@pytest.mark.slow  # reads all that ships seven times
def test_one_wrong_cell_is_one_error_for_every_command(
    spoiled: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Check, build, links, handout and try all name it, and nothing looks lost for it."""
    loaded = load(spoiled / "knowledge")
    assert loaded.library is not None
    assert loaded.season is None
    (wrong,) = loaded.problems
    assert wrong.file == "season/stations.csv"
    for found in (problems_of(loaded), pipeline.build(spoiled).problems):
        assert [it for it in found if it.level == ERROR] == [wrong]
    plant = next(iter(loaded.library.knowledge.plants))
    for words in (["check"], ["build"], ["links"], ["handout"], ["try", plant]):
        assert main(["--root", str(spoiled), *words]) == 1
        said = capsys.readouterr().out
        assert said.count(": error: ") == 1, words
        assert wrong.message in said, words


def test_a_wrong_shape_is_all_that_is_said(toy_copy: Path) -> None:
    """Nothing else is read then: other messages would only follow from that one."""
    tree = toy_copy / "mossbell" / "tree.yaml"
    tree.write_text("leaf-look: 3\n", "utf-8")
    loaded = load(toy_copy)
    assert loaded.library is None
    assert problems_of(loaded) == loaded.problems
    assert {it.file for it in loaded.problems} == {"mossbell/tree.yaml"}
