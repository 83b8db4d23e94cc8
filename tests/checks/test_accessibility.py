"""Contrast ratios against published and recomputed values.

Sources: W3C, WCAG 2.2 (formula; the two ends of the scale; "do not round"); the ratios
published for #0000ff (8.59 on white, 2.15 on #ff0000). The other rows are the formula in
full precision, cross-checked once with the library wcag-contrast-ratio.
"""

import pytest

from bedside.checks.accessibility import DRAWN, TEXT, contrast

ROWS = [
    ("#000000", "#ffffff", 21.0),
    ("#767676", "#ffffff", 4.5422),
    ("#777777", "#ffffff", 4.4781),
    ("#949494", "#ffffff", 3.0335),
    ("#959595", "#ffffff", 2.9953),
    ("#595959", "#ffffff", 7.0047),
    ("#0000ff", "#ffffff", 8.5925),
    ("#0000ff", "#ff0000", 2.1489),
    ("#ff0000", "#ffffff", 3.9985),
]


@pytest.mark.parametrize(("one", "other", "ratio"), ROWS)
def test_contrast_equals_the_reference_values(one: str, other: str, ratio: float) -> None:
    """The ratio is right to four places, whichever colour comes first."""
    assert contrast(one, other) == pytest.approx(ratio, abs=5e-5)
    assert contrast(other, one) == contrast(one, other)


def test_a_colour_on_itself_has_no_contrast() -> None:
    """The scale starts at exactly one."""
    assert contrast("#5E675F", "#5e675f") == 1.0


def test_the_neutral_greys_on_either_side_of_each_limit() -> None:
    """The limits part neighbouring greys, so nothing was rounded."""
    assert contrast("#767676", "#ffffff") >= TEXT > contrast("#777777", "#ffffff")
    assert contrast("#949494", "#ffffff") >= DRAWN > contrast("#959595", "#ffffff")
