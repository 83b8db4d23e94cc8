"""Spoiled knowledge folders: each gives file, line and code, and never a traceback.

A row spoils a copy of the invented plant in one way and names where the message must point.
"""

import os
import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from bedside import pipeline
from bedside.cli import main
from bedside.problems import render
from bedside.read.library import read_library
from tests.conftest import ROOT, TOY

Spoil = Callable[[Path], None]
HERE = ""  # the line that a row changes
SIGN = "mossbell/signs/bite.yaml"
CAUSE = "mossbell/causes/thirst.yaml"
TREE = "mossbell/tree.yaml"


@dataclass(frozen=True, kw_only=True, slots=True)
class Row:
    """`spoil` changes the folder; the message must be at `at` (file:line) with `code`.

    Where `at` is HERE, the message must be at the line that was changed.
    """

    name: str
    spoil: Spoil
    at: str
    code: str


def write(file: str, content: str | bytes) -> Spoil:
    """Put a text or bytes in place of a file."""
    data = content.encode() if isinstance(content, str) else content

    def spoil(root: Path) -> None:
        (root / file).parent.mkdir(exist_ok=True)
        (root / file).write_bytes(data)

    return spoil


@dataclass(frozen=True)
class Change:
    """Puts `new` in place of the first `old` of a file."""

    file: str
    old: str
    new: str

    @property
    def at(self) -> str:
        before, found, _ = (TOY / self.file).read_text(encoding="utf-8").partition(self.old)
        assert found, f"{self.old} is not in {self.file}"
        return f"{self.file}:{before.count(chr(10)) + 1}"

    def __call__(self, root: Path) -> None:
        text = (root / self.file).read_text(encoding="utf-8")
        (root / self.file).write_text(text.replace(self.old, self.new, 1), encoding="utf-8")


def change(file: str, old: str, new: str) -> Change:
    return Change(file, old, new)


def remove(file: str) -> Spoil:
    return lambda root: (root / file).unlink()


def row(name: str, spoil: Spoil, at: str, code: str) -> Row:
    here = spoil.at if at == HERE and isinstance(spoil, Change) else at
    return Row(name=name, spoil=spoil, at=here, code=code)


def link_out(root: Path) -> None:
    outside = root.parent / "secret.yaml"
    outside.write_text("name: not yours\n", encoding="utf-8")
    (root / "controls" / "secret.yaml").symlink_to(outside)


def misspelt_folder(root: Path) -> None:
    (root / "controls").rename(root / "contols")


def folder_link_out(root: Path) -> None:
    (root / "notes").symlink_to(root.parent)


def broken_link(root: Path) -> None:
    (root / "controls" / "gone.yaml").symlink_to(root / "controls" / "nowhere.yaml")


def ring_of_links(root: Path) -> None:
    (root / "controls" / "ring.yaml").symlink_to(root / "controls" / "ring.yaml")


def pipe(root: Path) -> None:
    os.mkfifo(root / "controls" / "pipe.yaml")


def bomb() -> str:
    rows = ["a: &a [x, x, x, x, x, x, x, x, x]"]
    for name, before in zip("bcdefghij", "abcdefghi", strict=True):
        rows.append(f"{name}: &{name} [{', '.join([f'*{before}'] * 9)}]")
    return "\n".join(rows)


DEEP = "name: " + "[" * 30 + "]" * 30 + "\n"
CONTROL = "controls/pick-off.yaml"
SECOND_ANSWER = """\
  - id: round-holes
    says: In the middle
    shows: A round leaf with three holes in its middle.
    drawing: round-holes
    words: [middle]
"""

READING = (
    row("a file is missing", remove("sources.yaml"), "sources.yaml:1", "missing-file"),
    row("a file is empty", write(SIGN, ""), f"{SIGN}:1", "empty-file"),
    row("only a comment", write(SIGN, "# later\n"), f"{SIGN}:1", "empty-file"),
    row("tab", change(SIGN, "  - id: edge", "\t- id: edge"), HERE, "tab"),
    row("byte order mark inside", change(CONTROL, "Pick them off", "Pick \ufeffthem off"),
        HERE, "hidden-character"),
    row("NUL byte", write(SIGN, b"question: a\x00b"), f"{SIGN}:1", "hidden-character"),
    row(
        "mark inside a text that turns the writing direction",
        change(CONTROL, "Pick them off", "Pick \u202ethem off"),
        HERE, "hidden-character",
    ),
    row(
        "hidden character spelt with a backslash",
        change(CONTROL, "Pick them off", '"Pick \\u202ethem off"'),
        HERE, "hidden-character",
    ),
    row("curly quotes around a value", write(SIGN, "question: \u201cWhat?\u201d"),
        f"{SIGN}:1", "curly-quote"),
    row("a curly quote in a key", write(SIGN, "question\u2019: What?"),
        f"{SIGN}:1", "curly-quote"),
    row("escape code", write(SIGN, "question: \x1b[2J"), f"{SIGN}:1", "hidden-character"),
    row("Latin-1", write(SIGN, "a: 1\nquestion: é".encode("latin-1")),
        f"{SIGN}:2", "not-utf8"),
    row("UTF-16", write(SIGN, "question: x".encode("utf-16")), f"{SIGN}:1", "not-utf8"),
    row("ten million letters", write(SIGN, "a: " + "x" * 10**7), f"{SIGN}:1", "too-large"),
    row("aliases that grow", write(SIGN, bomb()), f"{SIGN}:2", "alias"),
    row("alias of itself", write(SIGN, "a: &a [*a]"), f"{SIGN}:1", "alias"),
    row("merge key", write(SIGN, "a: &a {x: y}\nb:\n  <<: *a"), f"{SIGN}:3", "alias"),
    row("thirty levels", write(SIGN, DEEP), f"{SIGN}:1", "too-deep"),
    row("100,000 levels", write(SIGN, "[" * 100_000), f"{SIGN}:1", "not-yaml"),
    row("second record", write(SIGN, "a: b\n---\nc: d"), f"{SIGN}:2", "second-document"),
    row("same key twice", change(SIGN, "ease: hard", "where: x"), HERE, "duplicate-key"),
    row("tag", change(SIGN, "ease: hard", "ease: !!python/name:os.system x"), HERE, "tag"),
    row("list as a key", write(SIGN, "? [a, b]\n: c"), f"{SIGN}:1", "odd-key"),
    row("colon in a text", change(SIGN, "Look at", "Look: at"), f"{SIGN}:3", "not-yaml"),
    row("open quote", change(SIGN, "Look at", '"Look at'), f"{SIGN}:", "not-yaml"),
    row("wrong column", change(SIGN, "ease: hard", "  ease: hard"),
        f"{SIGN}:4", "not-yaml"),
    row("bare star", change(SIGN, "Look at", "*Look at"), HERE, "not-yaml"),
    row("link out", link_out, "controls/secret.yaml:1", "outside-folder"),
    row("folder link out", folder_link_out, "notes:1", "outside-folder"),
    row("broken link", broken_link, "controls/gone.yaml:1", "unreadable"),
    row("ring of links", ring_of_links, "controls/ring.yaml:1", "unreadable"),
    row("pipe", pipe, "controls/pipe.yaml:1", "not-a-file"),
    row(
        "folder named like a file", lambda root: (root / "controls/x.yaml").mkdir(),
        "controls/x.yaml:1", "not-a-file",
    ),
    row(
        "misspelt folder", misspelt_folder,
        "contols:1", "unknown-folder",
    ),
    row("misspelt folder of a plant", write("mossbell/sign/x.yaml", "a: b"),
        "mossbell/sign:1", "unknown-folder"),
    row("wrong ending", write("controls/x.yml", "a: b"),
        "controls/x.yml:1", "unknown-file"),
    row("stray file", write("notes.txt", "x"), "notes.txt:1", "unknown-file"),
    row("capital letters", write("controls/Soap.yaml", "a: b"),
        "controls/Soap.yaml:1", "file-name"),
    row("CSV with wrong columns", change("extension.csv", "state,", "stat,"),
        HERE, "wrong-columns"),
    row("CSV with a cell too many", change("extension.csv", "OR,", "OR,,"),
        HERE, "wrong-columns"),
    row("CSV with an open quote", change("extension.csv", "OR,", 'OR,"'),
        "extension.csv:", "not-csv"),
    row("CSV without a line", write("extension.csv", ""), "extension.csv:1", "empty-file"),
    row("CSV with a NUL", write("extension.csv", b"state\x00"),
        "extension.csv:1", "hidden-character"),
)  # fmt: skip

SHAPE = (
    row("unknown key", change(SIGN, "ease: hard", "eese: hard"), HERE, "unknown-key"),
    row("missing key", change(SIGN, "ease: hard\n", ""), f"{SIGN}:2", "missing-key"),
    row("list for a mapping", write(SIGN, "- a\n- b"), f"{SIGN}:1", "wrong-type"),
    row("text for a file", write(SIGN, "hello"), f"{SIGN}:1", "wrong-type"),
    row("number for text", change(SIGN, "Look at one bitten leaf.", "12"),
        HERE, "wrong-type"),
    row("true for text", change(SIGN, "Look at one bitten leaf.", "true"),
        HERE, "wrong-type"),
    row("list for text", change(SIGN, "Look at one bitten leaf.", "[a]"),
        HERE, "wrong-type"),
    row("text for a list", change(SIGN, "from: [handbook]", "from: handbook"),
        HERE, "wrong-type"),
    row("not a number", change(CAUSE, "look_again_days: 2", "look_again_days: .nan"),
        HERE, "wrong-type"),
    row("power for a number", change(CAUSE, "look_again_days: 2", "look_again_days: 1e2"),
        HERE, "wrong-type"),
    row("number too large", change(CAUSE, "look_again_days: 2", "look_again_days: 4000"),
        HERE, "out-of-range"),
    row("digits without end", change(CAUSE, "look_again_days: 2",
        "look_again_days: " + "9" * 5000), HERE, "wrong-type"),
    row("yes for true", change(CONTROL, "by_hand: true", "by_hand: yes"),
        HERE, "wrong-type"),
    row("unknown word", change(SIGN, "ease: hard", "ease: harrd"), HERE, "unknown-word"),
    row("mapping for a word", change(SIGN, "ease: hard", "ease: {a: b}"),
        HERE, "wrong-type"),
    row("unknown frequency", change(CAUSE, "soil-dry: always", "soil-dry: mostly"),
        HERE, "unknown-word"),
    row("no frequency", change(CAUSE, "soil-dry: always", "soil-dry: ''"), HERE, "empty"),
    row("nothing behind a key", change(SIGN, "Look at one bitten leaf.", ""),
        HERE, "empty"),
    row("blanks for a text", change(SIGN, "Look at one bitten leaf.", "'   '"),
        HERE, "empty"),
    row("text too long", change(SIGN, "Look at", "Look " * 60), HERE, "too-long"),
    row("id with capitals", change(SIGN, "id: edge-bites", "id: Edge"), HERE, "wrong-form"),
    row("id too long", change(SIGN, "id: edge-bites", "id: thirteen-long"),
        HERE, "too-long"),
    row("key that is no id", change(CAUSE, "soil-dry: always", "Soil dry: always"),
        HERE, "wrong-form"),
    row("one answer only", change(SIGN, SECOND_ANSWER, ""), f"{SIGN}:7", "too-few"),
    row("six answers", change(SIGN, SECOND_ANSWER, "".join(
        f"  - {{id: way-{at}, says: Way}}\n" for at in range(5))),
        f"{SIGN}:17", "too-many"),
    row("place to look that is none", change(SIGN, "looked_at: leaf", "looked_at: lef"),
        HERE, "unknown-word"),
    row("true for a place to look", change(SIGN, "looked_at: leaf", "looked_at: true"),
        HERE, "unknown-word"),
    row("day that is none", change(SIGN, "2026-01-15", "2026-02-30"),
        HERE, "wrong-date"),
    row("date in words", change(SIGN, "2026-01-15", "January"), HERE, "wrong-form"),
    row("source twice", change(SIGN, "from: [handbook]", "from: [handbook, handbook]"),
        HERE, "repeated"),
    row("address without https", change("sources.yaml", "https://handbook", "http://handbook"),
        HERE, "wrong-form"),
    row("script for an address", change("sources.yaml", "https://handbook.example/mossbell",
        "javascript:alert(1)"), HERE, "wrong-form"),
    row("colour in words", change("nursery.yaml", "'#FBF7EE'", "cream"),
        HERE, "wrong-form"),
    row("address of a service",
        change("extension.csv", "https://services.example/or", "none"),
        HERE, "wrong-form"),
    row("state in words", change("extension.csv", "OR,", "Oregon,"),
        HERE, "wrong-form"),
    row("empty tree", write(TREE, "{}"), f"{TREE}:1", "too-few"),
    row("tree that is a cause", write(TREE, "slime-nibbler"), f"{TREE}:1", "wrong-type"),
    row("number for an end", change(TREE, "slime: slime-nibbler", "slime: 12"),
        HERE, "wrong-form"),
    row("nothing for an end", change(TREE, "slime: slime-nibbler", "slime:"),
        HERE, "empty"),
    row("list of one cause", change(TREE, "slime: slime-nibbler", "slime: [slime-nibbler]"),
        HERE, "too-few"),
    row("five causes at an end", change(TREE, "[bell-moth, slime-nibbler]",
        "[bell-moth, slime-nibbler, thirst, wet-roots, new-leaf]"), HERE, "too-many"),
    row("one cause twice at an end", change(TREE, "[bell-moth, slime-nibbler]",
        "[bell-moth, bell-moth]"), HERE, "repeated"),
    row("tree 800 levels deep",
        write(TREE, "leaf-look: " + "{holes: {trace: " * 400 + "thirst" + "}" * 800),
        f"{TREE}:1", "too-deep"),
    row("no month thirteen", change("zones.yaml", "[3, 4, 5]", "[3, 4, 13]"),
        HERE, "out-of-range"),
    row("claim without a source", change(CONTROL, "    from: [handbook]\n", ""),
        f"{CONTROL}:8", "missing-key"),
)  # fmt: skip

MEANING = (
    row("unknown source", change(SIGN, "from: [handbook]", "from: [hanbook]"),
        HERE, "unknown-source"),
    row("unknown cause", change(TREE, "slime: slime-nibbler", "slime: slime-nibler"),
        HERE, "unknown-cause"),
    row("unknown answer in evidence", change(CAUSE, "soil-dry: always", "soil-dri: always"),
        HERE, "unknown-answer"),
    row("unknown first step", change(CAUSE, "first_step: water-now", "first_step: water"),
        HERE, "unknown-first-step"),
    row("unknown sign in the tree", change(TREE, "    trace:\n", "    trase:\n"),
        HERE, "unknown-sign"),
    row("unknown answer in the tree", change(TREE, "pellets: bell", "pelets: bell"),
        HERE, "way-without-answer"),
    row("the same question below itself", change(TREE, "bite:\n", "trace:\n"),
        HERE, "asked-twice"),
    row("answers that lead nowhere", change(TREE, "  otherwise: unlisted\n", ""),
        f"{TREE}:2", "missing-otherwise"),
    row("question that nobody can answer there",
        change(TREE, "{soil: {soil-wet: [dust-spot", "{bite: {edge-bites: [dust-spot"),
        HERE, "unmet-needs"),
    row("two answers always seen",
        change("mossbell/causes/dust-spot.yaml", "dust-rubs: usually, dust-stays: rarely",
        "dust-rubs: always, dust-stays: always"), HERE, "two-always"),
    row("answer that is also a sign", change("mossbell/signs/soil.yaml", "id: soil-wet",
        "id: bite"), "mossbell/signs/soil.yaml:", "clashing-answer"),
    row("dose", change(CONTROL, "Do it on a damp night.", "Use 2 ounces per gallon."),
        HERE, "dose"),
    row("script in a drawing", write("mossbell/drawings/holes.svg",
        "<svg viewBox='0 0 160 120'><script>alert(1)</script></svg>"),
        "mossbell/drawings/holes.svg:1", "spoiled-drawing"),
    row("entities that grow in a drawing", write("mossbell/drawings/holes.svg",
        "<!DOCTYPE svg [<!ENTITY a 'aaaa'><!ENTITY b '&a;&a;'>]><svg>&b;</svg>"),
        "mossbell/drawings/holes.svg:1", "spoiled-drawing"),
)  # fmt: skip
ROWS = (*READING, *SHAPE, *MEANING)


@pytest.mark.parametrize("spoiled", ROWS, ids=lambda it: it.name)
def test_a_spoiled_folder_says_where_and_what(
    spoiled: Row, toy_copy: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The check ends with code 1 and a message at the file and line of the fault."""
    spoiled.spoil(toy_copy)
    code = main(["--root", str(toy_copy.parent), "check"])
    out = capsys.readouterr().out
    first_lines = re.findall(
        r"^knowledge/(\S+?:\d+):\d+: error: .* \[([a-z0-9-]+)\]$", out, re.MULTILINE
    )
    assert code == 1
    assert any(
        at.startswith(spoiled.at) and it == spoiled.code for at, it in first_lines
    ), out
    assert len(out) < 20_000, "one fault must not fill the screen"


def test_there_are_enough_rows() -> None:
    """At least forty ways to spoil a folder are tried, each under its own name."""
    assert len({it.name for it in ROWS}) == len(ROWS) >= 40


def test_no_folder_at_all(tmp_path: Path) -> None:
    """A knowledge folder that is not there is one problem."""
    library, problems, _ = read_library(tmp_path / "knowledge")
    assert library is None
    assert [it.code for it in problems] == ["missing-folder"]


def test_no_plant(tmp_path: Path) -> None:
    """An empty folder names everything that must be there."""
    (tmp_path / "knowledge").mkdir()
    library, problems, _ = read_library(tmp_path / "knowledge")
    assert library is None
    assert {it.code for it in problems} == {"no-plant", "missing-file"}


def test_a_file_that_may_not_be_opened(
    toy_copy: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A file without permission is a problem of that file; the others are still read."""
    really_read = Path.read_bytes

    def refuse(path: Path) -> bytes:
        if path.name == "bite.yaml":
            raise PermissionError(13, "Permission denied")
        return really_read(path)

    monkeypatch.setattr(Path, "read_bytes", refuse)
    (toy_copy / CONTROL).write_text("name: [", encoding="utf-8")
    _, problems, _ = read_library(toy_copy)
    assert {(it.file, it.code) for it in problems} >= {
        (SIGN, "unreadable"), (CONTROL, "not-yaml"),
    }  # fmt: skip


def test_one_bad_file_hides_no_other(toy_copy: Path) -> None:
    """Faults of five files come back in one report."""
    for file in (SIGN, CAUSE, TREE, "nursery.yaml", "zones.yaml"):
        (toy_copy / file).write_text("nothing: right\n", encoding="utf-8")
    _, problems, _ = read_library(toy_copy)
    assert {it.file for it in problems} == {SIGN, CAUSE, TREE, "nursery.yaml", "zones.yaml"}


def test_markup_is_text(toy_copy: Path) -> None:
    """HTML and script in every text of a record are read as the letters they are."""
    evil = "<script>alert(1)</script><img src=x onerror=alert(2)>{{ 7*7 }}"
    text = (TOY / CONTROL).read_text(encoding="utf-8")
    spoiled = re.sub(r"(- say|name|targets|in_short): .*", rf"\1: '{evil}'", text)
    (toy_copy / CONTROL).write_text(spoiled, encoding="utf-8")
    library, problems, _ = read_library(toy_copy)
    assert library is not None, problems
    control = library.knowledge.controls["pick-off"]
    assert {control.name, control.in_short, *(it.say for it in control.how)} == {evil}


def test_markup_in_every_text_stays_text_on_every_page(toy_copy: Path) -> None:
    """HTML in every text of every record is escaped on every page that shows it."""
    evil = "<i onclick=x>"
    keys = (
        "say|name|called|in_short|question|where|says|shows|cant_tell|how_to_check|do|when"
    )
    keys += "|split|works_when|write_if|if_fails|heading|title|home_title|home_line|targets"
    keys += "|active|group|sign_off|interest|replacement|publisher|latin|plural|unclear"
    # A sheet is no page, and it refuses a text that does not fit on the paper.
    sheet = toy_copy / "mossbell/handout.yaml"
    for path in set(toy_copy.rglob("*.yaml")) - {toy_copy / TREE, sheet}:
        text = path.read_text(encoding="utf-8")
        spoiled = re.sub(
            rf"(?m)^( *(?:- )?(?:{keys}): )([A-Za-z].*)$", rf'\1"\2 {evil}"', text
        )
        path.write_text(spoiled, encoding="utf-8")
    built = pipeline.build(ROOT, toy_copy)
    assert not built.failed, render(built.problems)
    written = "".join(page.html for page in built.pages)
    assert written.count("&lt;i onclick=x&gt;") > 200
    assert evil not in written
