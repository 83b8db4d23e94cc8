"""Files of letters as the page saves them, and as spreadsheets give them back."""

from datetime import date

import pytest

from bedside.measure.letters_tally import COLUMNS, Row, read_rows

CAUSES = {"mossbell": ("rust", "slugs")}
HEAD = ",".join(COLUMNS)
LINE = "2026-07-14,OK,7,mossbell,trouble,slugs,no,rust"
ROW = Row(
    date=date(2026, 7, 14),
    place="OK",
    month=7,
    plant="mossbell",
    kind="trouble",
    cause="slugs",
    confirmed="no",
    was="rust",
)


def only_problem(line: str) -> tuple[int, str, str]:
    rows, (problem,) = read_rows("t.csv", f"{HEAD}\n\n{line}\n{LINE}\n".encode(), CAUSES)
    assert rows == (ROW,)  # the good line counts all the same
    assert problem.file == "t.csv"
    assert problem.hint
    return problem.line, problem.message, problem.source_line


@pytest.mark.parametrize(
    "content",
    [
        f"{HEAD}\r\n{LINE}\r\n".encode(),
        f"{HEAD}\n{LINE}".encode("utf-8-sig"),
        f"{HEAD}\n{LINE}\n".replace(",", ";").encode(),
        f"{HEAD}\n{LINE}\n".replace(",", "\t").encode("utf-16"),
        f"{HEAD}\n{LINE}\n,,,,,,,\n".replace("2026-07-14", "7/14/2026").encode(),
        f"{HEAD}\n{LINE}\n".replace("2026-07-14", "14.7.2026").encode(),
        f"{HEAD.title()}\n{LINE}\n".replace(",no,", ",NO,").encode(),
        f"{HEAD},my notes\n{LINE},caf\xe9\n".encode("latin-1"),
        b"was,confirmed,cause,kind,plant,month,place,date\n"
        b"rust,no,slugs,trouble,mossbell,7,OK,2026-07-14\n",
    ],
)
def test_what_spreadsheets_write_is_read(content: bytes) -> None:
    """The same row, whatever stands between its cells, around it, or in what order."""
    assert read_rows("t.csv", content, CAUSES) == ((ROW,), ())


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("2026-07,OK,7,mossbell,trouble,slugs,,", "is no date"),
        ("2026-02-30,OK,7,mossbell,trouble,slugs,,", "is no date"),
        ("2026-07-14,OK,13,mossbell,trouble,slugs,,", "is no month"),
        ("2026-07-14,OK,7,mossbell,trouble,slug,,", "'slug' is no cause of mossbell"),
        ("2026-07-14,OK,7,mossbell,trouble,slugs,no,mice", "'mice' is no cause"),
        ("2026-07-14,OK,7,mossbell,trouble,slugs,perhaps,", "confirmed is 'perhaps'"),
        ("2026-07-14,OK,7,mossbell,trouble,slugs,no,", "not what it was"),
        ("2026-07-14,OK,7,mossbell,trouble,slugs,no,slugs", "not what it was"),
        ("2026-07-14,OK,7,mossbell,trouble,,yes,", "no cause is named"),
        ("2026-07-14,OK,7", "3 cells stand here"),
    ],
)
def test_a_bad_line_is_told_with_its_place(line: str, says: str) -> None:
    """File, line and what to do; an empty line counts for its number alone."""
    number, message, shown = only_problem(line)
    assert number == 3
    assert says in message
    assert shown == line


def test_something_else_is_a_truth() -> None:
    """What is in no record is named so; another plant's causes are not known."""
    lines = (
        f"{HEAD}\n{LINE.replace('rust', 'other')}\n{LINE.replace('mossbell', 'hosta')}\n"
    )
    rows, problems = read_rows("t.csv", lines.encode(), CAUSES)
    assert [it.truth for it in rows] == ["other", "rust"]
    assert not problems


@pytest.mark.parametrize(
    "content", [b"", b"date,place\n2026-07-14,OK\n", b"\x89PNG\r\n\x1a\n"]
)
def test_another_file_is_told_apart(content: bytes) -> None:
    """A file without our columns is one problem on its first line."""
    rows, (problem,) = read_rows("t.csv", content, CAUSES)
    assert not rows
    assert problem.line == 1
    assert HEAD in problem.hint
