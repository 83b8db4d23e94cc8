"""Drafts: what they may lack, and what the published site is without them."""

from pathlib import Path

import pytest

from bedside.checking import problems_of
from bedside.problems import ERROR, WARNING
from bedside.read.load import load

MOTH = "mossbell/causes/bell-moth.yaml"


def drafted(folder: Path, file: str) -> None:
    """Make a draft of a record."""
    path = folder / file
    path.write_text("status: draft\n" + path.read_text("utf-8"), encoding="utf-8")


def cut(folder: Path, file: str, key: str) -> None:
    """Take out one line of a record."""
    path = folder / file
    lines = path.read_text("utf-8").splitlines(keepends=True)
    kept = [line for line in lines if not line.startswith(f"{key}:")]
    assert len(kept) < len(lines)
    path.write_text("".join(kept), encoding="utf-8")


@pytest.mark.parametrize("file", [MOTH, "mossbell/signs/leaf-look.yaml",
    "controls/pick-off.yaml", "topics/dividing.yaml"])  # fmt: skip
def test_a_draft_never_stops_what_is_published(toy_copy: Path, file: str) -> None:
    """Whatever record becomes a draft, the rest is whole; what names it is said to be left
    out, at its place."""
    drafted(toy_copy, file)
    loaded = load(toy_copy)
    problems = problems_of(loaded)
    assert loaded.library is not None
    assert file not in loaded.library.documents
    found = [f"{it.file}:{it.line}: {it.message}" for it in problems if it.level == ERROR]
    assert found == []


def test_what_names_a_draft_is_left_out_and_said(toy_copy: Path) -> None:
    """Look-alikes, ends of the tree and cases that name a draft are warned of."""
    drafted(toy_copy, MOTH)
    loaded = load(toy_copy)
    assert loaded.library is not None
    plant = loaded.library.knowledge.plants["mossbell"]
    assert "bell-moth" not in plant.causes
    assert all(
        it.cause != "bell-moth" for c in plant.causes.values() for it in c.look_alikes
    )
    assert all("bell-moth" not in end.shows for end in plant.tree.ends.values())
    assert all(case.cause != "bell-moth" for case in plant.cases)
    told = [it for it in loaded.problems if it.code == "left-out"]
    assert {it.level for it in told} == {WARNING}
    assert {"mossbell/tree.yaml"} < {it.file for it in told}
    for it in told:
        assert "bell-moth" in it.source_line, "the mark stands where the name is"


def test_what_stays_keeps_its_place(toy_copy: Path) -> None:
    """After something was left out of a file, each value is still found on its own line."""
    drafted(toy_copy, MOTH)
    library = load(toy_copy).library
    assert library is not None
    for cause in library.knowledge.plants["mossbell"].causes.values():
        for number, other in enumerate(cause.look_alikes):
            place = library.place(cause.file, "look_alikes", number, "cause")
            assert other.cause in place.source_line


@pytest.mark.parametrize(
    ("key", "level"),
    [("in_short", ERROR), ("first_step", ERROR), ("works_when", WARNING),
     ("write_if", WARNING), ("reviewed", WARNING)],
)  # fmt: skip
def test_only_drafts_relax(toy_copy: Path, key: str, level: str) -> None:
    """A draft needs a name, a sentence, evidence and a first step; others need the lot."""
    cut(toy_copy, MOTH, key)
    (problem,) = [it for it in load(toy_copy).problems if it.code == "missing-key"]
    assert problem.level == ERROR
    drafted(toy_copy, MOTH)
    (problem,) = [it for it in load(toy_copy).problems if it.code == "missing-key"]
    assert problem.level == level


def test_a_cause_whose_check_is_a_draft_is_left_out(toy_copy: Path) -> None:
    """A published cause always has a look that could prove it wrong."""
    library = load(toy_copy).library
    assert library is not None
    causes = library.knowledge.plants["mossbell"].causes.values()
    cause = next(it for it in causes if it.check)
    assert cause.check is not None
    drafted(toy_copy, f"mossbell/signs/{cause.check.sign}.yaml")
    loaded = load(toy_copy)
    assert loaded.library is not None
    assert cause.id not in loaded.library.knowledge.plants["mossbell"].causes
    assert any(it.file == cause.file and it.code == "left-out" for it in loaded.problems)


def test_a_site_of_drafts_alone_says_what_to_do(toy_copy: Path) -> None:
    """Nothing is published then, and the next step is told."""
    drafted(toy_copy, "mossbell/plant.yaml")
    loaded = load(toy_copy)
    assert loaded.library is None
    assert any(it.code == "no-plant" and "bedside serve" in it.hint
               for it in loaded.problems)  # fmt: skip
