"""Label arithmetic as mixing.js does it: how much of a liquid goes into a sprayer.

What is measured is never more than the label says, so every rounding goes down.
"""

import re
from dataclasses import dataclass
from fractions import Fraction

from bedside.pages.season.mixing_page import (
    GLYPHS,
    MOST_DIGITS,
    MOST_WATER_ML,
    TEASPOON_ML,
    UNITS,
    WEIGHED,
)

QUARTER = Fraction(1, 4)
NEAR = Fraction(1, 20)
NUMBER = re.compile(r"(\d+)?(?:\.(\d+))?")
FRACTION = re.compile(r"(?:(\d+)[ -])?(\d+)/(\d+)")


@dataclass(frozen=True, kw_only=True, slots=True)
class Measured:
    """An amount to measure.

    `tenths_ml` is rounded down. `quarters` is the nearest number of quarter spoons of the
    kind `spoon` ("tsp" or "tbsp"), `fit` says how the amount lies to it: exact, under,
    over, or between it and the next; no spoon (`quarters` 0) if it is too little or too
    much for one.
    """

    tenths_ml: int
    spoon: str
    quarters: int
    fit: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Refused:
    """Why there is no answer: the field and a word for the reason."""

    field: str
    reason: str


def read_number(text: str) -> Fraction | str:
    """A number above 0 as people write it (1.5, 1/2, 1 1/2, ½), or a word for what is
    wrong.
    """
    plain = text.strip()
    for glyph, written in GLYPHS.items():
        plain = plain.replace(glyph, f" {written}").strip()
    if not plain:
        return "empty"
    if "," in plain:
        return "comma"
    if sum(map(str.isdigit, plain)) > MOST_DIGITS or not plain.isascii():
        return "not-a-number"
    value = _value(plain)
    if value is None:
        return "not-a-number"
    return value if value > 0 else "not-above-0"


def _value(plain: str) -> Fraction | None:
    fraction = FRACTION.fullmatch(plain)
    if fraction:
        whole, top, bottom = (int(part or 0) for part in fraction.groups())
        return Fraction(whole) + Fraction(top, bottom) if bottom else None
    number = NUMBER.fullmatch(plain)
    return Fraction(plain) if number and any(number.groups()) else None


def measure(
    amount: tuple[str, str], per: tuple[str, str], sprayer: tuple[str, str]
) -> Measured | Refused:
    """How much to measure, from what the label says and what the sprayer holds.

    Each argument is a number as text and a unit: the label's amount of product, the volume
    of water that the label gives it for, and the water in the sprayer.
    """
    numbers: list[Fraction] = []
    for field, (text, _) in (("amount", amount), ("per", per), ("sprayer", sprayer)):
        number = read_number(text)
        if isinstance(number, str):
            return Refused(field=field, reason=number)
        numbers.append(number)
    if amount[1] in WEIGHED:
        return Refused(field="amount", reason="weighed")
    units = UNITS[amount[1]], UNITS[per[1]], UNITS[sprayer[1]]
    product, water, filled = (n * unit for n, unit in zip(numbers, units, strict=True))
    refused = _nonsense(product, water, filled)
    return refused or _measured(product * filled / water)


def _nonsense(product: Fraction, water: Fraction, filled: Fraction) -> Refused | None:
    if product >= water:
        return Refused(field="amount", reason="more-than-water")
    if filled > MOST_WATER_ML:
        return Refused(field="sprayer", reason="too-large")
    if product * filled / water < Fraction(1, 10):
        return Refused(field="sprayer", reason="too-little")
    return None


def _measured(ml: Fraction) -> Measured:
    spoon = "tsp" if ml < 3 * TEASPOON_ML else "tbsp"
    in_quarters = ml / UNITS[spoon] / QUARTER
    nearest = int(in_quarters + Fraction(1, 2))
    if ml > 16 * UNITS["tbsp"] or nearest == 0:
        return Measured(tenths_ml=int(ml * 10), spoon="", quarters=0, fit="none")
    fit, off = "exact", in_quarters - nearest
    if abs(off) > NEAR * nearest:
        nearest, fit = int(in_quarters), "between"
    elif off:
        fit = "under" if off < 0 else "over"
    if nearest == 0:
        return Measured(tenths_ml=int(ml * 10), spoon="", quarters=0, fit="none")
    return Measured(tenths_ml=int(ml * 10), spoon=spoon, quarters=nearest, fit=fit)
