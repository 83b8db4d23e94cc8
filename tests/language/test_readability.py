"""Reading grades against published values.

Sources: Kincaid and others 1975 and Flesch 1948, with the worked "platypus" sentence and
the published maximum of ease, as printed in the encyclopedia article on the tests;
McLaughlin 1969, "SMOG grading: a new readability formula", Journal of Reading 12, with the
published table of 1 to 7 polysyllables a sentence. Rows marked "by hand" are the formula.
"""

from math import sqrt

import pytest

from bedside.language.readability import (
    NOTHING,
    Count,
    count,
    mentions,
    pooled,
    school_grade,
    sentences_in,
    smog_grade,
    syllables_in,
    without,
    words_in,
)

PLATYPUS = (
    "The Australian platypus is seemingly a hybrid of a mammal and reptilian creature."
)


def of(sentences: int, words: int, syllables: int, polysyllables: int = 0) -> Count:
    """Make a count without a text."""
    return Count(
        sentences=sentences, words=words, syllables=syllables, polysyllables=polysyllables
    )


def test_the_published_example_counts_as_published() -> None:
    """The platypus sentence has 13 words, 24 syllables and grade 11.3."""
    counted = count(PLATYPUS)
    assert (counted.sentences, counted.words, counted.syllables) == (1, 13, 24)
    assert round(school_grade(counted), 1) == 11.3
    assert reading_ease(counted) == pytest.approx(37.46, abs=0.005)


def test_reading_ease_has_its_published_maximum() -> None:
    """One-word sentences of one syllable are the easiest text there is: 121.22."""
    assert reading_ease(of(5, 5, 5)) == pytest.approx(121.22, abs=0.005)
    assert school_grade(of(5, 5, 5)) == pytest.approx(-3.40, abs=0.005)


def test_six_short_words() -> None:
    """Six words of one syllable, by hand: grade -1.45, ease 116.145."""
    counted = count("The cat sat on the mat.")
    assert school_grade(counted) == pytest.approx(-1.45, abs=1e-9)
    assert reading_ease(counted) == pytest.approx(116.145, abs=1e-9)


@pytest.mark.parametrize(
    ("polysyllables", "grade"),
    [(0, 3.1291), (9, 6.2581), (16, 7.3011), (25, 8.3441), (36, 9.3871)],
)
def test_smog_of_thirty_sentences(polysyllables: int, grade: float) -> None:
    """The formula in full, by hand."""
    assert smog_grade(of(30, 300, 400, polysyllables)) == pytest.approx(grade, abs=5e-5)


@pytest.mark.parametrize(
    ("a_sentence", "published"),
    [(1, 8.47), (2, 10.74), (3, 12.48), (4, 13.95), (5, 15.24), (6, 16.41), (7, 17.49)],
)
def test_smog_agrees_with_the_published_table(a_sentence: int, published: float) -> None:
    """The table is the short form, 3 + root, cut to two places; the full form is near."""
    assert int((sqrt(30 * a_sentence) + 3) * 100) / 100 == published
    full = smog_grade(of(30, 900, 2000, 30 * a_sentence))
    assert full == pytest.approx(published, abs=1.5159)  # the published standard error


@pytest.mark.parametrize(
    ("word", "syllables"),
    [
        ("caterpillar", 4), ("leaf", 1), ("insecticide", 4), ("beetle", 2), ("Japanese", 3),
        ("nursery's", 3), ("isn’t", 2), ("one-half", 2), ("11", 3), ("50", 2), ("17", 3),
        ("125", 6), ("2026", 6), ("70", 3), ("1000000", 14), ("3.5", 2), ("mm", 4),
    ],
)  # fmt: skip
def test_syllables_of_known_words(word: str, syllables: int) -> None:
    """The dictionary's counts, numerals as they are spoken, hyphens as one word."""
    assert syllables_in(word) == syllables


@pytest.mark.parametrize(
    ("word", "syllables"),
    [
        ("blorped", 1), ("blotted", 2), ("zorfle", 2), ("grubbe", 1), ("plimes", 1),
        ("xyz", 1), ("brrr", 1), ("snizzes", 2),
    ],
)  # fmt: skip
def test_unknown_words_are_counted_by_rule(word: str, syllables: int) -> None:
    """A word in no dictionary still gets a sensible count, never less than one."""
    assert syllables_in(word) == syllables


def test_sentences_are_not_cut_at_numbers_and_initials() -> None:
    """A point inside a number, an initial or 'e.g.' ends nothing."""
    assert sentences_in("It grows 3.5 in. a day. Look again.") == (
        "It grows 3.5 in. a day",
        "Look again.",
    )
    assert len(sentences_in("Named by C. Linnaeus, e.g. Rosa canina. Is it yours?")) == 2
    assert sentences_in(" ... ") == ()


def test_words_keep_hyphens_and_apostrophes() -> None:
    """Words are as a reader sees them."""
    assert words_in("Don't un-roll 2 leaves (yet).") == (
        "Don't",
        "un-roll",
        "2",
        "leaves",
        "yet",
    )


def test_taught_terms_are_taken_out_whole_and_plural() -> None:
    """A taught term goes, singular, plural and in capitals; a word that holds it stays."""
    assert without("Caterpillars hide. A caterpillar", ["caterpillar"]).split() == [
        "hide.",
        "A",
    ]
    assert "cat" in without("cat scatter", ["scat"])
    assert mentions("Two EGGS", "egg")
    assert not mentions("eggplant", "egg")


def test_grading_without_a_taught_term_is_easier() -> None:
    """Taking out a long taught term lowers the count of syllables and of long words."""
    text = "Look for a caterpillar in the roll."
    assert count(text).polysyllables == 1
    assert count(text, ["caterpillar"]).polysyllables == 0


def test_pooling_adds_up_and_nothing_is_nothing() -> None:
    """Texts are pooled sentence by sentence, also where an end mark is missing."""
    assert pooled([]) == NOTHING
    assert pooled(["No end mark", "The next one."]).sentences == 2


def reading_ease(counted: Count) -> float:
    """Give the Flesch reading ease: higher is easier, 121.22 the most. Needs one word."""
    per_sentence = counted.words / counted.sentences
    return 206.835 - 1.015 * per_sentence - 84.6 * counted.syllables / counted.words
