"""The one printed form of a problem."""

from dataclasses import replace

from bedside.problems import (
    WARNING,
    Location,
    Problem,
    counted,
    did_you_mean,
    in_order,
    listed,
    problem_at,
    render,
)

PLACE = Location(
    file="causes/leaf-rust.yaml", line=12, column=12, length=8,
    source_line="  sources: [agr-2019]",
)  # fmt: skip
PROBLEM = problem_at(
    replace(PLACE, column=13), "unknown-source", "no source called 'agr-2019'",
    "sources are listed in sources.yaml; closest: 'agri-2019'",
)  # fmt: skip


def test_the_printed_form() -> None:
    """First place, level, message and code; then the line, a mark and the hint."""
    assert render([PROBLEM], files=318, folder="knowledge/") == (
        "knowledge/causes/leaf-rust.yaml:12:13: error: no source called 'agr-2019'"
        " [unknown-source]\n"
        "   12 |   sources: [agr-2019]\n"
        "      |             ^^^^^^^^\n"
        "    hint: sources are listed in sources.yaml; closest: 'agri-2019'\n"
        "\n"
        "1 error, 0 warnings in 1 of 318 files\n"
    )


def test_no_hint_and_no_line() -> None:
    """A problem of a whole file prints neither a line nor an empty hint."""
    problem = problem_at(Location(file="x.yaml"), "missing-file", "this file is missing")
    assert render([problem], files=1) == (
        "x.yaml:1:1: error: this file is missing [missing-file]\n\n"
        "1 error, 0 warnings in 1 of 1 file\n"
    )


def test_order_and_repetition() -> None:
    """Problems are sorted by file, line and column, and identical ones are printed once."""
    later = replace(PROBLEM, line=100)
    other = replace(PROBLEM, file="a.yaml", line=500)
    left = replace(PROBLEM, column=2)
    assert in_order([later, PROBLEM, other, left, PROBLEM]) == (other, left, PROBLEM, later)


def test_levels_are_counted_apart() -> None:
    """The last line counts errors and warnings, and the files they are in."""
    warning = replace(PROBLEM, level=WARNING)
    text = render([PROBLEM, warning, replace(warning, line=3)], files=20)
    assert text.endswith("\n\n1 error, 2 warnings in 1 of 20 files\n")
    assert "warning: no source" in text


def test_a_long_line_is_cut_around_the_place() -> None:
    """A huge value cannot fill the screen, and the mark stays under the place."""
    line = "x" * 5_000_000 + "HERE" + "y" * 5_000_000
    problem = replace(PROBLEM, source_line=line, column=5_000_001, length=4)
    shown, mark = render([problem], files=1).splitlines()[1:3]
    assert len(shown) < 120
    assert shown[mark.index("^") : mark.rindex("^") + 1] == "HERE"


def test_what_does_not_show_is_shown() -> None:
    """A control character in a file cannot write on the reader's terminal."""
    problem = replace(
        PROBLEM, message="\x1b[2J", hint="\u202e", source_line="a\x1b[31m\x00"
    )
    text = render([problem], files=1)
    assert not any(ord(mark) < 32 and mark != "\n" for mark in text)
    assert "\u202e" not in text


def test_colour_is_only_for_terminals() -> None:
    """Colour is off unless asked for, and marks the level only."""
    assert "\x1b[" not in render([PROBLEM], files=1)
    assert "\x1b[31merror\x1b[0m" in render([PROBLEM], files=1, colour=True)


def test_the_mark_stays_within_the_line() -> None:
    """A place behind the end of a line still gets one mark."""
    problem = replace(PROBLEM, column=40, length=9)
    assert render([problem], files=1).splitlines()[2].count("^") == 1


def test_did_you_mean() -> None:
    """A near word is named, a far one is not, and a huge one costs no time."""
    assert did_you_mean("nxt", ["next", "first"]) == "did you mean 'next'?"
    assert did_you_mean("zebra", ["next", "first"]) == ""
    assert did_you_mean("next" * 1_000_000, ["next"] * 100) == ""


def test_a_word_within_what_was_written_is_meant() -> None:
    """The word that stands there whole is nearer than one that has more of its letters."""
    words = ["very-common", "common", "uncommon", "rare"]
    assert did_you_mean("quite common", words) == "did you mean 'common'?"
    assert did_you_mean("Very Common", words) == "did you mean 'very-common'?"
    assert did_you_mean("uncomon", words) == "did you mean 'uncommon'?"


def test_what_is_counted_and_listed() -> None:
    """One is one page, and a long list ends in a number."""
    assert [counted(it, "page") for it in (0, 1, 2)] == ["0 pages", "1 page", "2 pages"]
    assert listed(["b", "a"]) == "a, b"
    assert listed("abcd", 2) == "a, b and 2 more"


def test_a_problem_is_a_value() -> None:
    """Two problems that say the same are the same."""
    assert replace(PROBLEM) == PROBLEM
    assert len({PROBLEM, replace(PROBLEM)}) == 1
    assert isinstance(PROBLEM, Problem)
