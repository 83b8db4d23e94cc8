"""Words that no text may hold, or that do not help a reader: a dose, a name that looks like
a product, and what could be said in plainer words.
"""

import re
from collections.abc import Iterator, Mapping
from itertools import chain

from bedside.checks.material import Fault, Faults, Material, Text
from bedside.language.readability import mentions, words_in
from bedside.model.library import uses_in
from bedside.problems import WARNING

_NUMBER = r"(?:\d[\d.,/]*|½|¼|¾|one|two|three|four|five|six|half an?|an?)"
_UNIT = (
    r"(?:ml|millilit(?:er|re)s?|cc|fl\.? ?oz|fluid ounces?|oz|ounces?|tsps?|teaspoons?"
    r"|tbsps?|tablespoons?|g|grams?|kg|lbs?|pounds?|cups?|pints?|quarts?|lit(?:er|re)s?|l"
    r"|gallons?|drops?)"
)
_PER = (
    r"(?:gallons?|gal|lit(?:er|re)s?|l|quarts?|pints?|buckets?|cans?|acres?|hectares?|ha"
    r"|(?:square|sq\.?) \w+|m2|m²|1,?000|100)"
)
_OF = r"\.?(?:\s+of(?:\s+[\w'’-]+){1,4})?"
DOSES = tuple(
    re.compile(pattern, re.IGNORECASE)
    for pattern in (
        rf"\b{_NUMBER}\s*{_UNIT}{_OF}\s*(?:per|/|to|in(?:to)?|for|with|a|each)\s*"
        rf"(?:an?\s+|each\s+|every\s+|the\s+)?(?:\d[\d.,]*\s*)?{_PER}\b",
        r"\b\d[\d.,]*\s*(?:%|percent|per cent|ppm)\s+"
        r"(?:solution|spray|mix\w*|bleach|oil|soap)",
        r"\b(?:one|1)\s+part\s+.{1,40}?\b(?:to|in)\s+\w+\s+parts?\b",
        rf"\b{_NUMBER}\s*{_UNIT}{_OF}\s+of\s+(?:product|concentrate|pesticide|insecticide"
        r"|fungicide)\b",
        r"\b(?:dilute|mix(?:ed)?)\b[^.]{0,30}\b\d+\s*:\s*\d+\b",
    )
)
# Whom to call and who we are: services write their names as they like.
NAMES_SERVICES = ("emergencies", "nursery")
MARKS = re.compile(r"[®™℠]|\((?:R|TM)\)")
PRODUCT_LIKE = re.compile(
    # Joined words with capitals; a name and a form such as 50WP; capitals and digits.
    r"\b(?!Mc|Mac|De|Le|La|Van|Di)[A-Z][a-z]+[A-Z][A-Za-z]*\b"
    r"|\b[A-Z][A-Za-z]+[- ]?\d+(?:\.\d+)?\s?(?:EC|WP|WG|SC|SL|DF)\b"
    r"|\b[A-Z]{2,}-?\d+[A-Z]*\b"
)


def dose(material: Material) -> Faults:
    """No text says how much to use: the label does."""
    for text, found in _found(material, DOSES):
        yield Fault(
            place=text.place,
            message=f"'{found}' reads like a dose",
            hint="take the number out; write 'read and follow your label'",
        )


def brand_like(material: Material) -> Faults:
    """No text names a product: say the active ingredient."""
    for text, found in _found(material, (MARKS, PRODUCT_LIKE)):
        if text.document.kind in NAMES_SERVICES and not MARKS.search(found):
            continue
        yield Fault(
            place=text.place,
            message=f"'{found}' looks like the name of a product",
            hint="name the active ingredient in small letters",
        )


def _found(
    material: Material, patterns: tuple[re.Pattern[str], ...]
) -> Iterator[tuple[Text, str]]:
    for text in material.texts:
        for pattern in patterns:
            match = pattern.search(text.say)
            if match:
                yield text, match.group()
                break


AND_OR = re.compile(r"\band/or\b", re.IGNORECASE)
# "Just above the soil" says where and "just after rain" says when: these may stand.
_PLACES = "above|below|under|over|behind|beside|beyond|inside|outside|before|after"
BELITTLING = re.compile(rf"\b(?:simply|easily|just(?! (?:{_PLACES})\b))\b", re.IGNORECASE)
EXCLAMATION = re.compile(r"!")
TENTHS = r"(?:\d+|one|two|three|four|five|six|seven|eight|nine) (?:in|out of) (?:10|ten)\b"
HEDGED = re.compile(
    rf"\b(?:about|approximately|around|roughly|nearly|almost|up to|some)\s+{TENTHS}",
    re.IGNORECASE,
)
_COLOURS = "red|green|blue|yellow|orange|brown|black|white|grey|gray|purple|pink"
COLOUR_ONLY = re.compile(
    rf"\bthe (?:{_COLOURS}) (?:ones?|mark|box|ring|bar|button|link)\b"
    r"|\b(?:on|to|at) (?:the|your) (?:left|right)\b"
    r"|\b(?:left|right)-hand (?:picture|drawing)\b",
    re.IGNORECASE,
)
ABBREVIATION = re.compile(r"\b[A-Z]{2,6}s?\b")
MOST_ABBREVIATIONS = 3  # US federal plain language guidelines
# How every pattern of `bedside new` marks a place for words of one's own.
STILL_A_PATTERN = re.compile(
    r"^[Ss]ay (to )?(wh(at|o|om|en|ere|y)|how|in (one|a) line|one thing)\b"
    r"|^[Ss]ay the (title|first step|other thing|Latin name)\b"
    r"|\bYour (Nursery|Street|Town)\b"
)
CANT_TELL = "I can't tell"
KEY_WORD_LETTERS = 4  # shorter words say nothing of their own


def and_or(material: Material) -> Faults:
    """No text says "and/or"."""
    yield from _matches(material, AND_OR, "write 'and', or 'or', or 'one or both'")


def belittling_word(material: Material) -> Faults:
    """No text says that a thing is simple: it is not to the one who asks."""
    yield from _matches(material, BELITTLING, "leave the word out")


def exclamation_mark(material: Material) -> Faults:
    """No text raises its voice."""
    yield from _matches(material, EXCLAMATION, "end with a full stop")


def hedged_number(material: Material) -> Faults:
    """No "about" stands beside "n in 10": the number is an estimate already."""
    yield from _matches(material, HEDGED, "give the number alone")


def colour_only(material: Material) -> Faults:
    """Neither colour nor side is the only cue to a thing (WCAG 2.2, 1.4.1, 1.3.3)."""
    yield from _matches(material, COLOUR_ONLY, "say what it is, or what it looks like")


def unexplained_word(material: Material) -> Faults:
    """A word of the trade stands only beside its plain word."""
    for term, plain_words in _jargon(material).items():
        for text in material.texts:
            if text.voice == "words" or not mentions(text.say, term):
                continue
            if not any(mentions(text.say, plain) for plain in plain_words):
                yield Fault(
                    place=text.place,
                    message=f"'{term}' is not explained",
                    hint=f"write {' or '.join(repr(it) for it in plain_words)} "
                    "instead, or beside it",
                )


def pattern_text(material: Material) -> Faults:
    """Nothing is published that a pattern of `bedside new` only holds a place for."""
    texts = ((it.say, it.place) for it in material.texts)
    # Sources are no texts for people to read, but their titles are printed.
    titles = (
        (use.name, use.place)
        for document in material.documents("sources")
        for key in ("title", "publisher")
        for use in uses_in(document, f"*.{key}")
    )
    for say, place in chain(texts, titles):
        if STILL_A_PATTERN.search(say):
            yield Fault(
                place=place,
                message=f"'{say}' is still the pattern's",
                hint="write your own words here, or take the line out",
                level=WARNING,
            )


def many_abbreviations(material: Material) -> Faults:
    """No record uses more than three abbreviations."""
    seen: dict[str, set[str]] = {}
    for text in material.texts:
        if text.voice == "words":
            continue
        short = seen.setdefault(text.document.file, set())
        was = len(short)
        short.update(ABBREVIATION.findall(text.say))
        if was <= MOST_ABBREVIATIONS < len(short):
            yield Fault(
                place=text.place,
                message=f"more than {MOST_ABBREVIATIONS} abbreviations in one record",
                hint=f"write out some of {', '.join(sorted(short))}",
                level=WARNING,
            )


def bare_cant_tell(material: Material) -> Faults:
    """ "I can't tell" repeats the key words of its question."""
    for plant in material.plants:
        for sign in plant.signs.values():
            asked = (sign.question, sign.where, *(it.says for it in sign.all_answers))
            repeated = _key_words(sign.cant_tell) & _key_words(" ".join(asked))
            if not sign.cant_tell.startswith(CANT_TELL) or not repeated:
                yield Fault(
                    place=material.library.place(sign.file, "cant_tell"),
                    message="this does not repeat what is asked",
                    hint=f'begin with "{CANT_TELL}" and name what cannot be told',
                )


def _matches(material: Material, pattern: re.Pattern[str], hint: str) -> Faults:
    for text in material.texts:
        match = pattern.search(text.say)
        if match and text.voice != "words":
            yield Fault(place=text.place, message=f"this says '{match.group()}'", hint=hint)


def _jargon(material: Material) -> Mapping[str, list[str]]:
    jargon: Mapping[str, list[str]] | None = material.library.words("jargon")
    return jargon or {}


def _key_words(text: str) -> set[str]:
    """List the longer words, cut to a stem, so that hole and holes are one."""
    words = (word.lower() for word in words_in(text.removeprefix(CANT_TELL)))
    return {word[:KEY_WORD_LETTERS] for word in words if len(word) >= KEY_WORD_LETTERS}
