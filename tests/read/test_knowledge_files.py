"""Reading: plain YAML, plain CSV, and which file is which."""

import gc
import json
from pathlib import Path
from typing import Any

import pytest

from bedside.problems import NOTE
from bedside.read import plain_csv, plain_yaml
from bedside.read.knowledge_files import read_knowledge, read_schemas
from bedside.read.layout import rule_for
from bedside.read.library import read_library
from bedside.read.plain_text import MAX_PROBLEMS, collector_paused
from tests.conftest import ROOT, TOY

COLUMNS = ("state", "name")


def value_of(written: str) -> Any:
    parsed = plain_yaml.parse("x.yaml", f"key: {written}\n")
    assert not parsed.problems
    return parsed.data["key"]


# YAML 1.1 (yaml.org/type: bool, int, float, timestamp) makes something else of each.
@pytest.mark.parametrize(
    "written",
    ["yes", "no", "on", "off", "NO", "True", "y", "n", "1:30", "010", "0o10", "0x1F",
     "1_000",
     "1e5", "1.5", ".nan", ".inf", "-.inf", "+7", "2026-01-15", "null", "~", "=", "<<"],
)  # fmt: skip
def test_a_bare_word_is_text(written: str) -> None:
    """What YAML would turn into a boolean, a number, a date or nothing stays as written."""
    assert value_of(written) == written


@pytest.mark.parametrize(
    ("written", "value"),
    [("true", True), ("false", False), ("0", 0), ("12", 12), ("-3", -3), ("'12'", "12"),
     ('"true"', "true"), ("", ""), ("' '", ""), ("  spaced  ", "spaced"),
     ("|\n  a\n  b\n", "a\nb"),
     (">\n  a\n  b\n", "a b"), ("9" * 15, int("9" * 15)), ("9" * 16, "9" * 16),
     ("[a, 1]", ["a", 1]), ("{a: b}", {"a": "b"})],
)  # fmt: skip
def test_the_few_things_that_are_not_text(written: str, value: Any) -> None:
    """True, false and whole numbers are what they are; what is quoted is text."""
    found = value_of(written)
    assert (found, type(found)) == (value, type(value))


def test_keys_are_text() -> None:
    """A key is text also where it looks like a number or a boolean."""
    assert plain_yaml.parse("x.yaml", "1: a\ntrue: b\nno: c").data == {
        "1": "a", "true": "b", "no": "c",
    }  # fmt: skip


def test_every_value_has_its_place(toy: Any) -> None:
    """Line, column and length of a key, a value, a list item and a thing not written."""
    document = toy.documents["mossbell/signs/bite.yaml"]
    where = document.place("answers", 1, "id")
    assert (where.line, where.column, where.length) == (13, 9, len("round-holes"))
    assert where.source_line == "  - id: round-holes"
    key = document.place("answers", 1, "id", key=True)
    assert (key.line, key.column, key.length) == (13, 5, 2)
    assert document.place("answers", 1, "nothing").line == 13
    assert document.place("nothing").line == 2
    assert document.place().line == 2


def test_places_survive_windows_line_ends(tmp_path: Path) -> None:
    """A file with Windows line ends reads the same, at the same lines."""
    (tmp_path / "nursery.yaml").write_bytes(b"name: a\r\nsite: b\r\nname: c\r\n")
    _, problems = read_knowledge(tmp_path)
    assert [(it.line, it.code) for it in problems if it.file == "nursery.yaml"] == [
        (3, "duplicate-key")
    ]


def test_a_file_reports_a_bounded_number_of_problems() -> None:
    """A file with ten thousand faults reports the first of them."""
    parsed = plain_yaml.parse("x.yaml", "a: b\n" * 10_000)
    assert len(parsed.problems) == MAX_PROBLEMS


def test_a_csv_cell_has_its_place() -> None:
    """A cell is found by row and column name; a row has a place too."""
    parsed = plain_csv.parse("x.csv", "state,name\nOR,Or\n\nWA, Wa \n", COLUMNS)
    assert parsed.data == [{"state": "OR", "name": "Or"}, {"state": "WA", "name": "Wa"}]
    assert parsed.values[0, "name"] == (2, 4, 2)
    assert parsed.values[1,] == (4, 1, 7)


def test_csv_columns_may_stand_in_any_order() -> None:
    """The first line names the columns, so their order is free."""
    parsed = plain_csv.parse("x.csv", "name,state\nOr,OR\n", COLUMNS)
    assert parsed.data == [{"state": "OR", "name": "Or"}]


@pytest.mark.parametrize(
    ("file", "kind"),
    [("nursery.yaml", "nursery"), ("controls/soap.yaml", "control"),
     ("lily/signs/leaf.yaml", "sign"), ("lily/drawings/leaf.svg", "drawing"),
     ("season/places.csv", ""), ("lily/README.md", ""), ("words/taught.yaml", "words")],
)  # fmt: skip
def test_which_file_is_which(file: str, kind: str) -> None:
    """The kind of a record follows from the place of its file."""
    rule = rule_for(file, ("lily",))
    assert rule is not None
    assert rule.kind == kind


@pytest.mark.parametrize(
    "file",
    ["lily/tree.yaml", "controls/.yaml", "signs/a.yaml", "a/b/c/d.yaml", "tree.yaml"],
)
def test_files_without_a_kind(file: str) -> None:
    """What stands in no known place has no kind."""
    assert rule_for(file, ("rose",)) is None


def test_reading_is_in_the_order_of_names() -> None:
    """The order of files on a disk does not matter."""
    documents, problems = read_knowledge(TOY)
    files = [it.file for it in documents]
    assert not problems
    assert sorted(files, key=lambda file: file.split("/")) == files


def test_what_others_leave_is_passed_over_with_one_note(toy_copy: Path) -> None:
    """Files of editors, office programs and systems are no records, and told of at once."""
    for name in (
        ".DS_Store", "Thumbs.db", "mossbell/~$causes.xlsx", "mossbell/.~lock.a.csv#",
        "mossbell/signs/bite.yaml~", "mossbell/drawings/desktop.ini", "controls/a.yaml.bak",
    ):  # fmt: skip
        (toy_copy / name).write_bytes(b"\x00 not yaml")
    (toy_copy / ".hidden").write_text("nobody is told of this", encoding="utf-8")
    documents, problems = read_knowledge(toy_copy)
    assert len(documents) == len(read_knowledge(TOY)[0])
    (note,) = problems
    assert (note.level, note.code) == (NOTE, "passed-over")
    assert ".DS_Store, Thumbs.db, controls/a.yaml.bak, " in note.message
    assert note.message.endswith(" and 3 more")
    assert read_library(toy_copy)[0] is not None


def test_a_mark_at_the_start_of_a_file_is_no_text(toy_copy: Path) -> None:
    """Some editors begin a file with one; places are as they are without it."""
    for name in ("mossbell/signs/bite.yaml", "extension.csv"):
        path = toy_copy / name
        path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes())
    marked, problems = read_knowledge(toy_copy)
    assert not problems
    assert marked == read_knowledge(TOY)[0]


def test_the_collector_is_put_back() -> None:
    """Pausing the cycle collector lasts no longer than the reading, also after a fault."""
    assert gc.isenabled()
    with pytest.raises(KeyError), collector_paused():
        raise KeyError
    assert gc.isenabled()


@pytest.mark.parametrize("text", ["{", "", "[]", "{}", "1"])
def test_a_broken_schema_is_a_problem(toy_copy: Path, text: str) -> None:
    """A schema that is none is named, and nothing is checked against it."""
    (toy_copy / "schema").mkdir()
    (toy_copy / "schema" / "cause.schema.json").write_text(text, encoding="utf-8")
    schemas, problems = read_schemas(toy_copy)
    assert "cause" not in schemas
    assert [(it.file, it.code) for it in problems] == [
        ("schema/cause.schema.json", "broken-schema")
    ]


def test_what_a_folder_does_not_bring_ships(toy_copy: Path) -> None:
    """Schemas, words and zones come with the package; a file of the same name wins."""
    ships = read_schemas(ROOT / "knowledge")
    assert read_schemas(toy_copy) == ships
    (toy_copy / "schema").mkdir()
    own = {"$id": "cause.schema.json"}
    (toy_copy / "schema" / "cause.schema.json").write_text(
        json.dumps(own), encoding="utf-8"
    )
    assert read_schemas(toy_copy) == ({**ships[0], "cause": own}, ())
    (toy_copy / "zones.yaml").unlink()
    read = {it.file: it for it in read_knowledge(toy_copy)[0]}
    assert "gulf-southeast" in read["zones.yaml"].data["zones"]
    assert [*read["words/taught.yaml"].data] == ["mossbell"]
    assert read["words/jargon.yaml"].data


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ("name: Hosta\n  plural: hostas\n", "start this line in the same column"),
        ("name:Hosta\nplural: hostas\n", "a space is missing after the colon"),
        ("say: Two things: look, wait\n", "put the text in quotes"),
    ],
)
def test_a_line_that_does_not_fit_is_told_by_what_stands_above(
    text: str, hint: str
) -> None:
    """A wrong indent and a missing space are no lack of quotes."""
    (problem,) = plain_yaml.parse("x.yaml", text).problems
    assert hint in problem.hint
