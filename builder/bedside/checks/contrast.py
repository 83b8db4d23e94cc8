"""How well two colours stand apart: the contrast ratio of WCAG 2.2.

Method: W3C, Web Content Accessibility Guidelines 2.2, definitions of "relative luminance"
and "contrast ratio". The ratio is never rounded before it is compared.
"""

TEXT = 4.5  # success criterion 1.4.3, text
DRAWN = 3.0  # success criterion 1.4.11, lines and controls


def luminance(colour: str) -> float:
    """Give the relative luminance, 0 to 1, of a colour written #rrggbb."""
    red, green, blue = (_linear(int(colour[at : at + 2], 16) / 255) for at in (1, 3, 5))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _linear(channel: float) -> float:
    """Undo the gamma of one sRGB channel, 0 to 1."""
    return channel / 12.92 if channel <= 0.04045 else ((channel + 0.055) / 1.055) ** 2.4


def contrast(one: str, other: str) -> float:
    """Give the contrast ratio, 1 to 21, of two colours written #rrggbb."""
    darker, lighter = sorted((luminance(one), luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)
