"""What no page may hold, a dose or a product; and what none may lack, whom to call."""

import re
from collections.abc import Iterator

from bedside.checks.material import Fault, Faults, Material, Text

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
_OF = r"(?:\s+of(?:\s+\w+){1,4})?"
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
NEEDED_LINES = ("life", "crisis")
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


def missing_line(material: Material) -> Faults:
    """Every country says whom to call for a life, and in a crisis."""
    for country in material.library.knowledge.emergencies.countries:
        there = {line.what for line in country.lines}
        for what in NEEDED_LINES:
            if what not in there:
                yield Fault(
                    place=material.library.place(
                        "emergencies.yaml", "countries", country.id, "lines", key=True
                    ),
                    message=f"{country.name} has no line for '{what}'",
                    hint="add it; where there is none of its own, the emergency number",
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
