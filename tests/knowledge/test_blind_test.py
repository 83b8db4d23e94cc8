"""What readers saw in the drawings without captions, and which drawings they have seen."""

from pathlib import Path
from typing import Any

import pytest

from bedside.model.records import MEMORY
from bedside.read.drawing import PARTS
from bedside.read.library import read_library
from tests.knowledge.blind_test.rates import count, lines, matched, read_results, wilson
from tests.knowledge.blind_test.shape import digest

ROOT = Path(__file__).parents[2]
RESULTS = read_results()
LIBRARY = read_library(ROOT / "knowledge")[0]
assert LIBRARY is not None
CANNA = LIBRARY.knowledge.plants["canna"]
DRAWINGS = CANNA.drawings
# Answer -> its drawing, for the questions that are answered by looking.
IN_USE = {
    answer.id: str(answer.drawing)
    for sign in CANNA.signs.values()
    if sign.looked_at != MEMORY
    for answer in sign.answers
    if answer.drawing
}


def latest(task: str) -> dict[str, dict[str, Any]]:
    """Give, for each thing read, what each reader of its last round said."""
    found: dict[str, dict[str, Any]] = {}
    for it in RESULTS["rounds"]:
        fresh: dict[str, dict[str, Any]] = {}
        for reader, said in it[task].items():
            flat = matched(said) if task == "matches" else said
            for name, what in flat.items():
                fresh.setdefault(name, {})[reader] = what
        found |= fresh
    return found


def by_drawing(said: dict[str, Any]) -> list[tuple[str, str, int, int]]:
    """Give each drawing of a round: name, shape, how many named it, how many read it."""
    each = {name: what["shape"] for read in said.values() for name, what in read.items()}
    return [
        (name, shape, *count(read[name]["named"] for read in said.values() if name in read))
        for name, shape in each.items()
    ]


def still_as_read(name: str) -> bool:
    """Say whether a drawing has the shape that its last readers saw."""
    said = latest("named").get(name, {})
    shapes = {it["shape"] for it in said.values()}
    return shapes == {digest(DRAWINGS, name)}


def test_what_is_told_from_memory_has_no_drawing() -> None:
    """Nobody can hold a drawing beside what they remember; every other answer has one."""
    for sign in CANNA.signs.values():
        drawn = {bool(answer.drawing) for answer in sign.answers}
        assert drawn == {sign.looked_at != MEMORY}, sign.id


def test_nine_in_ten_drawings_get_their_own_words() -> None:
    """At its latest reading, a drawing is matched to its answer nine times in ten."""
    read = latest("matches")
    right, of = count(ok for a in IN_USE for ok in read.get(a, {}).values())
    assert of >= len(set(IN_USE) & set(read)) > 0
    assert right / of >= 0.90


def test_eight_in_ten_drawings_are_named() -> None:
    """At its latest reading, a drawing in use is named without words eight times in ten.

    Readings of shapes that have been redrawn since count here too: leaving them out would
    leave out nearly every failure.
    """
    read = latest("named")
    names = sorted(set(IN_USE.values()))
    right, of = count(it["named"] for name in names for it in read.get(name, {}).values())
    assert of > 0
    assert right / of >= 0.80


def test_every_drawing_in_use_was_read_or_is_listed_as_not_yet_read() -> None:
    """A drawing that nobody read, or that changed after it was read, is said to be so."""
    unread = sorted(it for it in set(IN_USE.values()) if not still_as_read(it))
    assert sorted(RESULTS["not_yet_read"]) == unread


def test_a_drawing_that_was_not_named_was_redrawn() -> None:
    """What most readers of a round could not name does not stand as it was."""
    failed = [
        (name, shape)
        for it in RESULTS["rounds"]
        for name, shape, named, of in by_drawing(it["named"])
        if 2 * named < of
    ]
    assert failed
    now = {name: digest(DRAWINGS, name) for name, _ in failed if name in DRAWINGS}
    assert not [name for name, shape in failed if now.get(name) == shape]


def test_every_failure_says_what_was_seen_and_why_it_fails() -> None:
    """A reading holds the reader's words, and a failure the reason it is one."""
    for it in RESULTS["rounds"]:
        for said in it["named"].values():
            for name, what in said.items():
                assert what["said"], name
                assert what["named"] is ("why" not in what), name


def test_every_reader_did_both_tasks() -> None:
    """Each reader of a round named and matched, and nobody else did."""
    for it in RESULTS["rounds"]:
        assert it["readers"] == sorted(it["named"]) == sorted(it["matches"])


def test_the_protocol_gives_the_rates_as_worked_out() -> None:
    """The table in the protocol is the one that the readings give."""
    text = (ROOT / "tests/knowledge/blind_test/protocol.md").read_text(encoding="utf-8")
    table = [row for row in text.splitlines() if row.startswith("| ") and " of " in row]
    assert table == lines(RESULTS)


@pytest.mark.parametrize(
    ("right", "of", "low", "high"),
    # Newcombe, Statistics in Medicine 17 (1998) 857, table I: Wilson without correction.
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611)],
)
def test_ranges_are_wilsons(right: int, of: int, low: float, high: float) -> None:
    """The range of a share agrees with published examples to four places."""
    assert wilson(right, of) == pytest.approx((low, high), abs=0.0001)


def test_a_changed_part_changes_the_shape_and_spacing_does_not() -> None:
    """A shape follows the shared parts that a drawing uses, and nothing else."""
    svg = '<svg viewBox="0 0 160 120"><use href="#dot"/></svg>'
    dot = '<circle class="o" cx="1" cy="1" r="{}"/>'

    def shape(r: int, spare: int, space: str = "") -> str:
        parts = (
            f'<svg><g id="dot">{dot.format(r)}</g><g id="x">{dot.format(spare)}</g></svg>'
        )
        return digest({PARTS: parts, "a": svg.replace("><", f">{space}<")}, "a")

    assert shape(1, 1) == shape(1, 2) == shape(1, 1, "\n ")
    assert shape(1, 1) != shape(2, 1)
