"""The tally of letters: files as the page saves them, each letter counted once."""

from datetime import date

import pytest

from bedside.measure.letters_tally import (
    COLUMNS,
    Proposal,
    Row,
    Share,
    by_month,
    first_right,
    joined,
    proposals,
    read_rows,
)

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


COMMON = {"rust": "rare", "slugs": "very-common", "frost": "common", "wind": "uncommon"}


def row(cause: str = "slugs", confirmed: str = "yes", was: str = "", day: int = 14) -> Row:
    return Row(
        date=date(2026, 7, day),
        place="OK",
        month=7,
        plant="mossbell",
        kind="trouble",
        cause=cause,
        confirmed=confirmed,
        was=was,
    )


def test_what_stands_in_two_files_is_one_letter() -> None:
    """A sitting that was saved twice counts once; letters alike in one file stay two."""
    noon = [row(), row(), row(day=13)]
    evening = [*noon, row(cause="rust")]
    found = joined([noon, evening])
    assert found.twice == 3
    assert sorted(it.cause for it in found.rows) == ["rust", "slugs", "slugs", "slugs"]
    assert found.rows[0].date == date(2026, 7, 13)


def test_months_hold_the_kinds_of_mail() -> None:
    """Letters are counted by the month in which they were answered."""
    assert by_month([row(), row()]) == {7: {"trouble": 2}}


def test_only_known_truths_are_held_against_the_first_cause() -> None:
    """Neither an open letter nor one without a cause says whether we were right."""
    rows = [
        row(),
        row(confirmed="no", was="rust"),
        row(confirmed="no", was="other"),
        row(confirmed="unknown"),
        row(confirmed=""),
        row(cause="", confirmed="no", was="rust"),
    ]
    assert first_right(rows) == Share(right=1, of=3)


def test_a_rare_cause_that_fills_the_post_gets_another_word() -> None:
    """Five letters of six are clear, and the proposal says what it rests on."""
    rows = [row(cause="rust")] * 5 + [row()]
    found = {it.cause: it for it in proposals(rows, COMMON)}
    assert found["rust"] == Proposal(
        cause="rust", word="rare", instead="very-common", seen=5, of=6, expected=6 / 15
    )


def test_a_common_cause_that_stays_away_gets_another_word() -> None:
    """Letters that were to come and did not are evidence as well."""
    rows = [row(cause="frost")] * 10 + [row(cause="wind")] * 5 + [row(cause="rust")] * 3
    found = {it.cause: it.instead for it in proposals(rows, COMMON)}
    assert found["slugs"] == "rare"


def test_few_letters_change_nothing() -> None:
    """Four letters of a rare cause are no season."""
    assert not list(proposals([row(cause="rust")] * 4, COMMON))
    assert not list(proposals([], COMMON))


def test_letters_as_the_records_say_change_nothing() -> None:
    """Eight, four, two and one of fifteen are what the words say."""
    shares = {"slugs": 8, "frost": 4, "wind": 2, "rust": 1}
    rows = [row(cause=it) for it, count in shares.items() for _ in range(4 * count)]
    assert not list(proposals(rows, COMMON))


def test_a_plant_with_one_cause_needs_no_word() -> None:
    """Whatever the word, all letters are of it."""
    assert not list(proposals([row()] * 9, {"slugs": "rare"}))
