"""Label arithmetic against published worked examples and exact units."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bedside.pages.season.mixing_page import GALLON_ML, TEASPOON_ML, UNITS, WATER, WEIGHED
from tests.pages.season.label_arithmetic import Measured, Refused, measure, read_number

# Worked examples in print: New England Vegetable Management Guide, pesticide conversion
# tables; University of Missouri Extension G7510, dilution table; a home garden label's
# spoon table. The amounts are arithmetic of the publications, and no advice. The published
# answer in spoons.
PUBLISHED = (
    (("1", "pint"), ("100", "gal"), ("25", "gal"), "8", "tbsp"),
    (("1", "pint"), ("100", "gal"), ("1", "gal"), "1", "tsp"),
    (("1", "quart"), ("100", "gal"), ("1", "gal"), "2", "tsp"),
    (("1", "gal"), ("100", "gal"), ("1", "gal"), "2 1/2", "tbsp"),
    (("1/2", "pint"), ("100", "gal"), ("1", "gal"), "1/2", "tsp"),
    (("2", "gal"), ("100", "gal"), ("1", "gal"), "5", "tbsp"),
    (("1", "floz"), ("1", "gal"), ("1", "gal"), "2", "tbsp"),
    (("1/2", "floz"), ("1", "gal"), ("1", "gal"), "1", "tbsp"),
    (("1/4", "floz"), ("1", "gal"), ("1", "gal"), "1 1/2", "tsp"),
)


def exact_ml(*stated: tuple[str, str]) -> Fraction:
    """Product times filled water by the label's water, without any rounding."""
    values = [read_number(text) for text, _ in stated]
    product, water, filled = (
        value * UNITS[unit]
        for value, (_, unit) in zip(values, stated, strict=True)
        if isinstance(value, Fraction)
    )
    return product * filled / water


@pytest.mark.parametrize(("amount", "per", "sprayer", "spoons", "spoon"), PUBLISHED)
def test_published_examples(
    amount: tuple[str, str], per: tuple[str, str], sprayer: tuple[str, str],
    spoons: str, spoon: str,
) -> None:  # fmt: skip
    """The nearest spoons are the published ones, and the exact amount lies within 5 %."""
    found = measure(amount, per, sprayer)
    expected = read_number(spoons)
    assert isinstance(found, Measured)
    assert isinstance(expected, Fraction)
    assert found.fit != "between"
    assert (found.spoon, Fraction(found.quarters, 4)) == (spoon, expected)
    exact = exact_ml(amount, per, sprayer)
    assert abs(exact - expected * UNITS[spoon]) <= exact / 20
    assert found.tenths_ml == int(exact * 10)


# Exact millilitres: the gallon of 231 cubic inches and its parts (NIST Handbook 44,
# Appendix C).
EXACT_ML = {
    "tsp": "4.92892159375", "tbsp": "14.78676478125", "floz": "29.5735295625",
    "cup": "236.5882365", "pint": "473.176473", "quart": "946.352946",
    "gal": "3785.411784", "l": "1000", "ml": "1",
}  # fmt: skip


def test_units_are_exact() -> None:
    """Every unit has its exact number of millilitres."""
    assert {unit: Fraction(ml) for unit, ml in EXACT_ML.items()} == dict(UNITS)


def test_units_are_parts_of_each_other() -> None:
    """NIST SP 430: 3 teaspoons a tablespoon, 16 of these a cup, 16 cups a gallon."""
    assert UNITS["tbsp"] == 3 * TEASPOON_ML
    assert UNITS["cup"] == 16 * UNITS["tbsp"] == 48 * TEASPOON_ML == 8 * UNITS["floz"]
    assert UNITS["pint"] == 2 * UNITS["cup"]
    assert UNITS["quart"] == 2 * UNITS["pint"]
    assert 4 * UNITS["quart"] == GALLON_ML == 768 * TEASPOON_ML


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("2", Fraction(2)), ("1.5", Fraction(3, 2)), (".5", Fraction(1, 2)),
        ("1/2", Fraction(1, 2)), ("1 1/2", Fraction(3, 2)), ("1-1/2", Fraction(3, 2)),
        ("½", Fraction(1, 2)), ("2½", Fraction(5, 2)), (" 3 ", Fraction(3)),
    ],
)  # fmt: skip
def test_numbers_as_labels_write_them(text: str, value: Fraction) -> None:
    """Decimals with a point, fractions and mixed numbers are read."""
    assert read_number(text) == value


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", "empty"), ("  ", "empty"), ("1,5", "comma"), ("1,000", "comma"),
        ("0", "not-above-0"), ("0.0", "not-above-0"), ("0/4", "not-above-0"),
        ("-1", "not-a-number"), ("1/0", "not-a-number"), ("two", "not-a-number"),
        ("1e5", "not-a-number"), ("nan", "not-a-number"), ("1.2.3", "not-a-number"),
        (".", "not-a-number"), ("1234567890", "not-a-number"), ("٣", "not-a-number"),
        ("1/2/3", "not-a-number"), ("+2", "not-a-number"),
    ],
)  # fmt: skip
def test_numbers_that_are_refused(text: str, reason: str) -> None:
    """Each wrong number has its own reason."""
    assert read_number(text) == reason


@pytest.mark.parametrize("unit", WEIGHED)
def test_weighed_products_are_refused(unit: str) -> None:
    """Spoons measure volume: nothing that is weighed gets an answer."""
    found = measure(("1", unit), ("1", "gal"), ("1", "gal"))
    assert found == Refused(field="amount", reason="weighed")


@pytest.mark.parametrize(
    ("amount", "per", "sprayer", "field", "reason"),
    [
        (("1", "gal"), ("1", "gal"), ("1", "gal"), "amount", "more-than-water"),
        (("2", "l"), ("1", "quart"), ("1", "gal"), "amount", "more-than-water"),
        (("1", "floz"), ("1", "gal"), ("101", "gal"), "sprayer", "too-large"),
        (("1", "ml"), ("100", "gal"), ("1", "l"), "sprayer", "too-little"),
        (("1", "ml"), ("", "gal"), ("1", "l"), "per", "empty"),
    ],
)
def test_nonsense_is_refused(
    amount: tuple[str, str], per: tuple[str, str], sprayer: tuple[str, str],
    field: str, reason: str,
) -> None:  # fmt: skip
    """What can't be meant is refused at its field."""
    assert measure(amount, per, sprayer) == Refused(field=field, reason=reason)


amounts = st.tuples(st.integers(1, 999).map(str), st.sampled_from(sorted(UNITS)))
waters = st.tuples(st.integers(1, 999).map(str), st.sampled_from(WATER))


@given(amounts, waters, waters)
def test_never_more_than_the_label(
    amount: tuple[str, str], per: tuple[str, str], sprayer: tuple[str, str]
) -> None:
    """The millilitres shown never exceed the label's share, and are short of it by under
    0.1.
    """
    found = measure(amount, per, sprayer)
    if isinstance(found, Refused):
        return
    exact = exact_ml(amount, per, sprayer)
    assert 0 <= exact - Fraction(found.tenths_ml, 10) < Fraction(1, 10)
    if found.spoon:
        shown = Fraction(found.quarters, 4) * UNITS[found.spoon]
        if found.fit == "under":
            assert exact < shown <= exact / (1 - Fraction(1, 20))
        elif found.fit == "exact":
            assert exact == shown
        else:
            assert shown < exact
