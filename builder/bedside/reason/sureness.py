"""Words for sureness: the bands of ICD 203, always with "n in 10"."""

import math
from dataclasses import dataclass

from bedside.reason import scale


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
    tenths = min(math.floor(10 * share + 0.5), scale.MOST_TENTHS)
    least = max(tenths - 0.5, 0.0) / 10
    word = next(name for edge, name in scale.BANDS if least >= edge)
    return Sureness(word=word, tenths=tenths)
