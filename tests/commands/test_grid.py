"""From a spreadsheet to a plant that the site can show, and back."""

from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bedside.checks import run
from bedside.commands.grid import grid_of, written
from bedside.commands.new import texts_of
from bedside.model.library import Document, Library
from bedside.problems import ERROR
from bedside.read.assemble import assemble
from bedside.read.grid import Grid, cell_of, phrases_in, read_grid
from bedside.read.knowledge_files import read_knowledge, read_schemas
from bedside.read.layout import rule_for
from bedside.read.library import read_folder
from bedside.read.plain_yaml import parse
from bedside.read.schema import check_shape
from tests.commands.test_cli import bedside
from tests.conftest import ROOT, TOY, read_clean
from tests.read.test_grid import TEXT, good, grids
from tests.sweep import SWEEP

Printed = pytest.CaptureFixture[str]
EIGHT = """\
,,,,How does the bulb feel?,,,What is on the leaves?,,,,When did it start?,,
cause,common,in short,first step,firm,soft,none of these,brown spots,small holes,sticky \
film,none of these,in spring,in summer,in the store
Bulb rot,common,It rots in wet soil.,Let it dry.,rarely,always,,sometimes,,,usually,\
usually,sometimes,
Leaf spot,very common,,Pick off the leaves.,usually,,,always,rarely,,,sometimes,usually,
Slugs,common,,Look at night.,always,,,,usually,sometimes,sometimes,usually,sometimes,never
Aphids,common,,Rub them off.,always,,,,,usually,sometimes,sometimes,usually,
Too dry,,,Water it well.,usually,rarely,sometimes,sometimes,,,usually,rarely,usually,
Dried in store,,,,rarely,sometimes,usually,,,,always,,,always
Frost,uncommon,,,sometimes,usually,,usually,,,sometimes,always,,sometimes
Old leaf,,The lowest leaf dies.,Leave it be.,always,,,sometimes,,,usually,,usually,
"""


@pytest.fixture
def project(toy_copy: Path) -> Path:
    """Give a project of the invented plant, and a sheet beside it."""
    (toy_copy.parent / "mkdocs.yml").write_text("site_name: x\n", encoding="utf-8")
    (toy_copy.parent / "causes.csv").write_text(EIGHT, encoding="utf-8")
    return toy_copy.parent


@cache
def invented() -> tuple[Document, ...]:
    return read_knowledge(TOY)[0]


def library_of(grid: Grid) -> Library:
    """The invented plant's library, and a lily of the files that are written of a grid."""
    documents = []
    for file, text in texts_of("lily", grid).items():
        rule, parsed = rule_for(file, ("lily",)), parse(file, text)
        assert rule is not None
        assert not parsed.problems, parsed.problems
        name = Path(file).stem
        documents.append(
            Document(
                kind=rule.kind, file=file, id=name, plant="lily", data=parsed.data,
                keys=parsed.keys, values=parsed.values, lines=parsed.lines,
            )
        )  # fmt: skip
    schemas, _ = read_schemas(ROOT / "knowledge")
    assert not list(check_shape(documents, schemas))
    return assemble([*invented(), *documents])


@given(grids())
@settings(max_examples=500 if SWEEP else 60)
def test_what_a_grid_says_stands_in_the_records(text: str) -> None:
    """Whatever the words: names, ids, answers and how often; none is left out."""
    grid, _ = read_grid("", text.encode(), {"unlisted"}, "lily")
    if grid is None:
        return
    back = grid_of(library_of(grid).knowledge.plants["lily"])
    assert {it.id: it for it in back.signs} == {it.id: it for it in grid.signs}
    found = {it.id: it for it in back.causes}
    assert set(found) == {it.id for it in grid.causes}
    for cause in grid.causes:
        assert found[cause.id].name == cause.name
        assert dict(found[cause.id].words) == dict(cause.words)
        assert {**found[cause.id].about, **cause.about} == found[cause.id].about


def test_eight_causes_from_nothing_to_pages(project: Path, capsys: Printed) -> None:
    """One command, no error, a tree, and each file explains itself."""
    assert (
        bedside(project, "new", "plant", "lily", "--from", str(project / "causes.csv")) == 0
    )
    said = capsys.readouterr().out
    assert "8 causes and 3 questions" in said
    assert "bedside serve" in said
    assert "lily" not in read_clean(project / "knowledge").knowledge.plants, "a draft"
    library = read_folder(project / "knowledge").whole()
    assert library is not None
    lily = library.knowledge.plants["lily"]
    assert [it.message for it in run(library) if it.level == ERROR] == []
    assert not lily.tree.proposed
    shown = {cause for end in lily.tree.ends.values() for cause in end.shows}
    assert {it.id for it in lily.causes.values() if it.kind != "unlisted"} <= shown
    lines = library.documents["lily/tree.yaml"].lines
    assert len([it for it in lines if it and not it.startswith("#")]) <= 40
    rot = lily.causes["bulb-rot"]
    assert rot.check is not None
    assert (rot.check.sign, rot.check.passes) == ("bulb-feel", ("soft",))
    assert len(rot.look_alikes) == 2
    assert lily.first_steps[rot.first_step].do == "Let it dry."
    assert lily.causes["dried-store"].first_step == "write-to-us"
    for file in (project / "knowledge" / "lily").rglob("*.yaml"):
        drafted = "status: draft" in file.read_text(encoding="utf-8")
        assert drafted == (file.name == "plant.yaml")
        assert (
            file.read_text(encoding="utf-8").count("\n# ") >= 1 or "unlisted" in file.name
        )


def test_one_line_publishes_it(project: Path, capsys: Printed) -> None:
    """A draft until then, which may be tried, and printed; afterwards no error either."""
    bedside(project, "new", "plant", "lily", "--from", str(project / "causes.csv"))
    assert bedside(project, "try", "lily", "soft") == 0
    assert "Bulb rot" in capsys.readouterr().out
    assert bedside(project, "new", "handout", "lily") == 0
    plant = project / "knowledge" / "lily" / "plant.yaml"
    text = plant.read_text(encoding="utf-8")
    plant.write_text(text.replace("status: draft\n", ""), encoding="utf-8")
    assert bedside(project, "check") == 0, capsys.readouterr().out


def test_the_grid_is_written_back(project: Path, capsys: Printed) -> None:
    """To the screen or into a file that office programs read; nothing is overwritten."""
    sheet = project / "causes.csv"
    bedside(project, "new", "plant", "lily", "--from", str(sheet))
    capsys.readouterr()
    assert bedside(project, "grid", "lily") == 0
    printed = capsys.readouterr().out
    again, _ = read_grid("", printed.encode())
    first, _ = read_grid("", sheet.read_bytes(), {"unlisted", "new-leaf"})
    assert again is not None
    assert first is not None
    assert {it.id: it.words for it in again.causes} == {
        it.id: it.words for it in first.causes
    }
    out = project / "back.csv"
    words = ("grid", "lily", "--semicolon", "--out", str(out))
    assert bedside(project, *words) == 0
    content = out.read_bytes()
    assert content.startswith(b'\xef\xbb\xbf"";"";')
    assert read_grid("", content)[0] == again
    assert bedside(project, *words) == 1
    assert "nothing was written" in capsys.readouterr().out
    assert out.read_bytes() == content


def test_faults_of_a_sheet_leave_nothing_behind(project: Path, capsys: Printed) -> None:
    """Every fault at once, by row and column; no half plant."""
    sheet = project / "causes.csv"
    sheet.write_text(EIGHT.replace("rarely,always", "seldom,allways"), encoding="utf-8")
    assert bedside(project, "new", "plant", "lily", "--from", str(sheet)) == 1
    said = capsys.readouterr().out
    assert "causes.csv:3:5: error: row 3, column E: 'seldom'" in said
    assert "did you mean 'always'?" in said
    assert not (project / "knowledge" / "lily").exists()


def test_wrong_words_about_a_sheet(project: Path, capsys: Printed) -> None:
    """A file that is not there, and a record that no sheet holds."""
    assert bedside(project, "new", "plant", "lily", "--from", "none.csv") == 2
    assert "none.csv: there is no such file" in capsys.readouterr().err
    sheet = str(project / "causes.csv")
    assert bedside(project, "new", "sign", "leaf", "--from", sheet) == 2
    assert "only a plant" in capsys.readouterr().err


@given(grids(), st.sampled_from(",;\t"))
def test_there_and_back_loses_nothing(text: str, between: str) -> None:
    """Whatever a grid holds stands in the file that is written of it."""
    grid, _ = read_grid("", text.encode())
    if grid is not None:
        assert good(written(grid, between).encode()) == grid
        marked = "\ufeff" + written(grid, between).replace("\n", "\r\n")
        assert good(marked.encode()) == grid


def test_the_grid_of_records_there_and_back(toy: Library, real: Library) -> None:
    """Each plant's grid can be read again, word for word and with every id."""
    for library in (toy, real):
        for plant in library.knowledge.plants.values():
            grid = grid_of(plant)
            assert good(written(grid).encode()) == grid
            assert len(grid.causes) == len(plant.causes) - 1


@given(st.lists(TEXT.map(lambda it: " ".join(it.replace(";", " ").split())).filter(bool)))
def test_any_phrases_stand_in_one_cell(phrases: list[str]) -> None:
    """With commas or without, many or none."""
    assert phrases_in(cell_of(phrases)) == tuple(phrases)


def test_what_people_write_goes_into_the_signs(project: Path, capsys: Printed) -> None:
    """A row `words` is what letters are read by; a sign without any stays without."""
    sheet = project / "causes.csv"
    heard = 'words,,,,"hard, not soft",mushy,"fine; firm, really;",,,,,,,\n'
    sheet.write_text(EIGHT + heard, encoding="utf-8")
    assert bedside(project, "new", "plant", "lily", "--from", str(sheet)) == 0
    library = read_folder(project / "knowledge").whole()
    assert library is not None
    lily = library.knowledge.plants["lily"]
    feel = {it.id: it.words for it in lily.signs["bulb-feel"].all_answers}
    assert feel == {
        "firm": ("hard", "not soft"),
        "soft": ("mushy",),
        "none-these": ("fine", "firm, really"),
    }
    assert not any(it.words for it in lily.signs["leaves"].all_answers)
    capsys.readouterr()
    assert bedside(project, "grid", "lily") == 0
    assert '"words","","","","","hard, not soft","mushy","fine; firm, really;"' in (
        capsys.readouterr().out
    )
