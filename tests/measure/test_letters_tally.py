"""The tally of letters: each counted once; a word is proposed where letters say so."""

from datetime import date

from bedside.measure.letters_tally import (
    Proposal,
    Row,
    Share,
    by_month,
    first_right,
    joined,
    proposals,
)

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
