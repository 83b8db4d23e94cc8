"""Degree-days: the warmth of a day above a threshold, summed.

A day is its lowest and its highest temperature; a shape (half a sine wave or a triangle)
stands for what lies between. Temperatures may be Celsius or Fahrenheit as long as
thresholds are in the same unit; degree-days come out in that unit. 1 Celsius degree-day is
1.8 Fahrenheit ones.

The planner uses the single sine with a horizontal cut-off. The other methods are here
because the published tables print them side by side, and a method that meets only half of a
table is not checked. Sources: Zalom et al. 1983, University of California Leaflet 21373
(sine and triangle, single and double, Table 7); McMaster and Wilhelm 1997 (the two
averages).
"""

from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

Numbers: TypeAlias = NDArray[np.float64]
Shape: TypeAlias = Literal["sine", "triangle"]
# A day that swings less is flat; a smaller divisor could overflow.
STEADY = 1e-9
CutOff: TypeAlias = Literal["horizontal", "intermediate", "vertical"]


def celsius(fahrenheit: ArrayLike) -> Numbers:
    """Temperatures in degrees Celsius, of the shape given."""
    return (np.asarray(fahrenheit, dtype=np.float64) - 32.0) / 1.8


@dataclass(frozen=True, kw_only=True, slots=True)
class Method:
    """How a day is counted: thresholds, what happens above the upper one, and the day's
    shape.

    Above `upper` a horizontal cut-off keeps growth at its highest rate, an intermediate one
    lets it fall as fast as it rose, a vertical one stops it. Without `upper` nothing is
    cut.
    """

    lower: float
    upper: float | None = None
    cut_off: CutOff = "horizontal"
    shape: Shape = "sine"

    def __post_init__(self) -> None:
        if self.upper is not None and self.upper <= self.lower:
            raise ValueError(f"upper threshold {self.upper} is not above {self.lower}")


def degree_days(low: ArrayLike, high: ArrayLike, method: Method) -> Numbers:
    """Degree-days of single days, of the shape that `low` and `high` broadcast to.

    `low` and `high` are the day's extremes, in the unit of the thresholds. Raises
    ValueError if a low is above its high.
    """
    lows, highs = _checked(low, high)
    above = _sine_above if method.shape == "sine" else _triangle_above
    total = above(lows, highs, method.lower)
    if method.upper is None:
        return total
    over = above(lows, highs, method.upper)
    if method.cut_off == "horizontal":
        return total - over
    # Growth lost above `upper` can outweigh the day's gain; a day never undoes growth.
    if method.cut_off == "intermediate":
        return np.maximum(0.0, total - 2.0 * over)
    lost = (method.upper - method.lower) * _share_above(lows, highs, method)
    return np.maximum(0.0, total - over - lost)


def _checked(low: ArrayLike, high: ArrayLike) -> tuple[Numbers, Numbers]:
    lows = np.asarray(low, dtype=np.float64)
    highs = np.asarray(high, dtype=np.float64)
    if not (np.isfinite(lows).all() and np.isfinite(highs).all()):
        raise ValueError("a temperature is missing")
    if (lows > highs).any():
        raise ValueError("a day's low is above its high")
    return lows, highs


def _sine_above(low: Numbers, high: Numbers, level: float) -> Numbers:
    mean, half = (low + high) / 2.0, (high - low) / 2.0
    turn = _turning_angle(mean, half, level)
    part = ((mean - level) * (np.pi / 2.0 - turn) + half * np.cos(turn)) / np.pi
    return _by_case(low, high, level, part)


def _turning_angle(mean: Numbers, half: Numbers, level: float) -> Numbers:
    """Angle at which the day's curve passes `level`; meaningless where it does not pass."""
    ratio = (level - mean) / np.maximum(half, STEADY)
    return np.arcsin(np.clip(ratio, -1.0, 1.0))


def _triangle_above(low: Numbers, high: Numbers, level: float) -> Numbers:
    span = np.maximum(high - low, STEADY)
    return _by_case(low, high, level, (high - level) ** 2 / (2.0 * span))


def _by_case(low: Numbers, high: Numbers, level: float, part: Numbers) -> Numbers:
    """Nothing on a day wholly below `level`, all of it wholly above, else `part`."""
    whole = np.where(low >= level, (low + high) / 2.0 - level, part)
    return np.where(high <= level, 0.0, whole)


def _share_above(low: Numbers, high: Numbers, method: Method) -> Numbers:
    """Share of the day, 0 to 1, spent above the upper threshold."""
    level = np.inf if method.upper is None else method.upper
    if method.shape == "sine":
        angle = _turning_angle((low + high) / 2.0, (high - low) / 2.0, level)
        part = 0.5 - angle / np.pi
    else:
        part = (high - level) / np.maximum(high - low, STEADY)
    whole = np.where(low >= level, 1.0, part)
    return np.where(high <= level, 0.0, whole)
