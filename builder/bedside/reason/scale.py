"""Every number behind the words of the records, in one place, each with its basis.

The words are the knowledge; the numbers are how the arithmetic reads them. None of them
is a measurement on any plant.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass

# How often an answer is seen with a cause. Basis: judgement; the middles of the bands that
# words name (always above .95, usually .6 to .95, sometimes .1 to .6, rarely below .15).
FREQUENCY: Mapping[str, float] = {
    "always": 0.97,
    "usually": 0.78,
    "sometimes": 0.35,
    "rarely": 0.08,
    "never": 0.01,
}

# How common the causes are against each other. Basis: judgement; each word twice the next.
COMMONNESS: Mapping[str, float] = {
    "very-common": 8.0,
    "common": 4.0,
    "uncommon": 2.0,
    "rare": 1.0,
}

# What a zone and a season do to commonness. Basis: judgement.
CONTEXT: Mapping[str, float] = {
    "common": 2.0,
    "present": 1.0,
    "rare": 0.35,
    "not-recorded": 0.15,
}

# How often a gardener reads a sign right. Basis: `fair` is the published mean of Waeldchen
# et al. 2022 (People and Nature, 484 people, 25 character states); easy and hard are
# judgement around it. The same study found more errors with more states; a hundredth for
# each answer above two is judgement.
ACCURACY: Mapping[str, float] = {"easy": 0.92, "fair": 0.79, "hard": 0.66}
ACCURACY_LOST_PER_ANSWER = 0.01
HASTY_ACCURACY = 0.79

# How often a telltale answer is given by mistake, where another would be given once.
# Basis: judgement; people overlook white threads more often than they imagine them.
TELLTALE = 0.08

# How often a gardener chooses "I can't tell". Basis: judgement.
CANT_TELL: Mapping[str, float] = {"easy": 0.05, "fair": 0.12, "hard": 0.25}

# How often a plant about which somebody asks has two troubles, before anything was found.
# Basis: judgement.
TWO_AT_ONCE = 0.1

# How many right first steps one harmful first step outweighs. Basis: judgement.
HARM = 5.0

# The share a cause must reach before a spray of this tier may open, p* = harm / (harm +
# benefit): even for a narrow spray, harm three times the benefit for the last resort.
# Formula after the threshold model of Pauker and Kassirer 1980 (the formula from memory);
# the two ratios are judgement.
NEEDED_SHARE: Mapping[str, float] = {"narrow-spray": 0.5, "last-resort": 0.75}

# Lower edges of the bands of ICD 203 (US intelligence directive on analytic standards). Its
# two highest bands are one here, so that nothing shown is ever called certain. A share is
# rounded to tenths first, so that each tenth has one word.
BANDS: tuple[tuple[float, str], ...] = (
    (0.80, "very-likely"),
    (0.55, "likely"),
    (0.45, "about-even"),
    (0.20, "unlikely"),
    (0.05, "very-unlikely"),
    (0.00, "almost-no-chance"),
)
NAMED_FROM = 0.45  # below it the first cause is not named: "we can't tell yet"
LIKELY_FROM = 0.55
FAMILY_ADDS = 0.05  # a family is named instead of its first cause if it is surer by this
MOST_TENTHS = 9

# A walk ends when the first cause is this sure, or after so many looks. Basis: measured on
# the first plant; stopping at .8 saved .4 of a look and was sure and wrong half as often
# again. Seven is what people in the bed bear (judgement).
SURE_ENOUGH = 0.90
MOST_LOOKS = 7
MORE_LOOKS = 2  # what a result may still ask beyond a whole walk

# A look is worth a question from so many bits on; less hardly moves anything (judgement).
LEAST_WORTH = 0.02
# A result offers a look only if what it says then changes at least this often (judgement).
LEAST_CHANGE = 0.05

# What a look is worth by where one stands: there, beside it, or elsewhere on the plant.
# What is told from memory is always near. Basis: judgement; measured on the first plant,
# preferring near looks cost at most a hundredth of right first steps.
NEAR, BESIDE, FAR = 1.0, 0.95, 0.8
NEIGHBOURS: frozenset[frozenset[str]] = frozenset(
    map(
        frozenset,
        (
            ("leaf", "inside"),
            ("leaf", "flower"),
            ("leaf", "foot"),
            ("foot", "root"),
            ("foot", "bed"),
            ("root", "bed"),
        ),
    )
)

# The own first step of a named cause is not taken if it may harm under others: the most
# share of theirs that is borne (judgement).
HARM_BORNE = 0.01
# A step that leaves all as it is needs this share of causes for which that is right, where
# no cause is named: most of them.
IDLE_FROM = 0.5

# A finding speaks for a cause if it is this many times as likely with it as with the rest,
# and against it if as many times less likely (judgement: less is noise).
SPEAKS_FROM = 1.25

# Causes with a smaller share are not listed, and at most so many are; one that an answer
# denies is listed only from a share that is still called "unlikely".
SHOWN_FROM = 0.05
MOST_ALSO = 4
TO_COMPARE = 2  # causes that a result always sets beside what it names, or side by side
DENIED_SHOWN_FROM = 0.20
DENIED_BELOW = 0.04  # an answer seen less often than "rarely" denies a cause

# A reason and its word must agree: "usually seen with it" is no reason against.
SUPPORTS = ("always", "usually", "sometimes")
OPPOSES = ("rarely", "never")

# Of an address, so much is read: no walk is longer, and no id.
MOST_TOKENS = 200
LONGEST_TOKEN = 40

# How a letter is read and answered. Basis: judgement.
LETTERS: Mapping[str, float] = {
    "floor": 0.002,  # the least share that the words of a letter leave to a cause
    "heard": -3.5,  # the score from which an answer may be said without a known phrase
    "told": 0.4,  # the chance from which an answer counts as said (measured)
    "whole": 0.6,  # the part of a sentence from which a known phrase is all that it says
    "plainly": 0.6,  # the least chance of an answer that a sentence says in that way
    "asked": -0.4,  # the score from which a question counts as asked (measured)
    "fewest": 12,  # with fewer things for a model to look at, a letter says too little
    "temper": 0.7,  # the power of what the words of a letter say beside its findings
    "rest": 0.5,  # tenths that they always leave to the causes they do not lead to
    "led": 3,  # how many causes they lead to
    "guess": 3,  # tenths that a customer's guess counts, where no model reads the words
    "telling": 6,  # how much likelier the findings must be with what is named than without
    "vain": 0.5,  # the chance of "none of these" from which a look is not asked for
    "mark": 2,  # weight of a plant's name, or of a feature of it, in a letter
    "other": 2,  # weight from which a letter is about another plant
    "ours": 4,  # the same, where the letter names our plant
    "plain": 0.8,  # share from which no further look is asked for
    "fewNamed": 3,  # with fewer findings, nothing is named even as a possibility
    "few": 2,  # with fewer, a letter that speaks of photos is asked for words
    "first": 0,  # 1 where the answer to the first question counts as telling, too
}
# A plant of fewer signs can't say as much in a letter: less is asked of one (judgement).
MANY_SIGNS = 12


def letters_of(signs: int) -> dict[str, float]:
    """How letters about a plant of so many signs are read.

    Where there are many, the first question only sorts troubles into kinds. Where there are
    few it is one of the looks that tell most, and nothing else may ever be told.
    """
    part = min(1.0, signs / MANY_SIGNS)
    return {
        **LETTERS,
        "telling": round(LETTERS["telling"] ** part, 3),
        "fewNamed": max(1, round(LETTERS["fewNamed"] * part)),
        "few": max(1, round(LETTERS["few"] * part)),
        "first": int(part < 1),
    }


# Printed at an end of the tree besides what it names: the share still called "unlikely".
SHOWN_AT_END = 0.20
# Another look is advised in the place of a question of the tree if it tells so many bits
# more: as many as an even yes or no read right 79 times in 100 (1 - entropy of 0.21), which
# is how often people read plants right (Waeldchen et al. 2022, as above).
TELLS_MORE = 0.26

TWO_FROM = 0.5  # two troubles are named from here: more likely than one

# Shares of an answer that nobody gave a word for, read back as the nearest word.
WORD_FROM: tuple[tuple[float, str], ...] = (
    (0.9, "always"),
    (0.55, "usually"),
    (0.2, "sometimes"),
    (0.04, "rarely"),
    (0.0, "never"),
)


def accuracy(ease: str, answers: int) -> float:
    """How often a careful gardener reads such a sign right (0 to 1)."""
    return ACCURACY[ease] - ACCURACY_LOST_PER_ANSWER * max(0, answers - 2)


def trusted(ease: str, answers: int) -> float:
    """How often the ranking takes such a sign to be read right: never above the mean.

    We cannot know whether a hasty gardener answers. Trusting easy signs more showed hasty
    ones up to .13 too much sureness on made-up plants; this shows none, and costs careful
    ones less than .005 in hits.
    """
    return min(accuracy(ease, answers), HASTY_ACCURACY)


@dataclass(frozen=True, kw_only=True, slots=True)
class Sureness:
    """A word of the scale and n of "n in 10", 0 to 9; 0 reads "fewer than 1 in 10"."""

    word: str
    tenths: int


def sureness(share: float) -> Sureness:
    """Word and number for a share from 0 to 1. Halves round up; 10 is never shown.

    The share is rounded first, so that two words never stand beside the same number; and a
    number has the word that the least share rounded to it has earned, so that no word is
    above what is true.
    """
    tenths = min(math.floor(10 * share + 0.5), MOST_TENTHS)
    least = max(tenths - 0.5, 0.0) / 10
    word = next(name for edge, name in BANDS if least >= edge)
    return Sureness(word=word, tenths=tenths)
