"""From twelve monthly normals to the usual warmth of every day of the year.

A day is its lowest and its highest temperature; half a sine wave stands for what lies
between. Degree-days are the warmth between the thresholds, summed: single sine with a
horizontal cut-off (Zalom et al. 1983, University of California Leaflet 21373). Days are
numbered 0 to 364; 29 February shares 28 February's number. Temperatures are Celsius.
"""

from functools import cache
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from bedside.model.season import DAYS, Thresholds, Warmth

Numbers: TypeAlias = NDArray[np.float64]
MONTH_LENGTHS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
MONTH_STARTS = tuple(sum(MONTH_LENGTHS[:month]) for month in range(12))
# Nodes of the 7-point Gauss-Hermite rule: exact for polynomials up to degree 13.
_NODES = 7
# A day that swings less is flat; a smaller divisor could overflow.
STEADY = 1e-9


def celsius(fahrenheit: ArrayLike) -> Numbers:
    """Temperatures in degrees Celsius, of the shape given."""
    return (np.asarray(fahrenheit, dtype=np.float64) - 32.0) / 1.8


def degree_days(low: ArrayLike, high: ArrayLike, thresholds: Thresholds) -> Numbers:
    """Degree-days of single days, of the shape that `low` and `high` broadcast to.

    All in one unit, whichever it is. Raises ValueError if a low is above its high, or
    the upper threshold not above the lower.
    """
    if thresholds.upper <= thresholds.lower:
        raise ValueError(f"{thresholds.upper} is not above {thresholds.lower}")
    lows, highs = _checked(low, high)
    above = _sine_above(lows, highs, thresholds.lower)
    return above - _sine_above(lows, highs, thresholds.upper)


def _checked(low: ArrayLike, high: ArrayLike) -> tuple[Numbers, Numbers]:
    lows = np.asarray(low, dtype=np.float64)
    highs = np.asarray(high, dtype=np.float64)
    if not (np.isfinite(lows).all() and np.isfinite(highs).all()):
        raise ValueError("a temperature is missing")
    if (lows > highs).any():
        raise ValueError("a day's low is above its high")
    return lows, highs


def _sine_above(low: Numbers, high: Numbers, level: float) -> Numbers:
    """Nothing on a day wholly below `level`, all of it wholly above, else a part."""
    mean, half = (low + high) / 2.0, (high - low) / 2.0
    ratio = (level - mean) / np.maximum(half, STEADY)
    turn = np.arcsin(np.clip(ratio, -1.0, 1.0))
    part = ((mean - level) * (np.pi / 2.0 - turn) + half * np.cos(turn)) / np.pi
    whole = np.where(low >= level, mean - level, part)
    return np.where(high <= level, 0.0, whole)


@cache
def _interpolation() -> Numbers:
    """Matrix (365, 12): monthly means to days, straight lines between nodes at mid-month.

    The nodes are not the monthly means themselves: lines through those cut every summer's
    top off. They are the twelve values whose lines, averaged over each month, give its mean
    back exactly.
    """
    lines = np.zeros((DAYS, 12))
    middles = np.array(MONTH_STARTS) + (np.array(MONTH_LENGTHS) - 1) / 2.0
    for day in range(DAYS):
        after = int(np.searchsorted(middles, day, side="right"))
        left = middles[after - 1] - (DAYS if after == 0 else 0)
        right = middles[after % 12] + (DAYS if after == 12 else 0)
        share = (day - left) / (right - left)
        lines[day, after - 1] += 1.0 - share
        lines[day, after % 12] += share
    months = np.repeat(np.arange(12), MONTH_LENGTHS)
    means = np.zeros((12, DAYS))
    means[months, np.arange(DAYS)] = 1.0 / np.array(MONTH_LENGTHS)[months]
    return np.asarray(lines @ np.linalg.inv(means @ lines), dtype=np.float64)


def daily(monthly: ArrayLike) -> Numbers:
    """Days (…, 365) from monthly means (…, 12); each month's mean is kept to rounding
    error.
    """
    return np.asarray(monthly, dtype=np.float64) @ _interpolation().T


def expected_degree_days(
    low: ArrayLike, high: ArrayLike, spread: ArrayLike, thresholds: Thresholds
) -> Numbers:
    """Degree-days (…, 365) expected of calendar days whose weather varies from year to
    year.

    `low`, `high` are the usual extremes and `spread` the standard deviation of a day about
    them, all Celsius and (…, 365). A normal day in early spring is too cold to count, yet
    the warm ones among thirty years do; averaging over the spread finds them. Single sine,
    horizontal cut-off.
    """
    nodes, weights = np.polynomial.hermite_e.hermegauss(_NODES)
    shift = np.asarray(spread, dtype=np.float64)[..., np.newaxis] * nodes
    lows = np.asarray(low, dtype=np.float64)[..., np.newaxis] + shift
    highs = np.asarray(high, dtype=np.float64)[..., np.newaxis] + shift
    values = degree_days(lows, highs, thresholds)
    return np.asarray(values @ (weights / weights.sum()), dtype=np.float64)


def usual_warmth(
    monthly_low: ArrayLike,
    monthly_high: ArrayLike,
    monthly_spread: ArrayLike,
    thresholds: Thresholds,
) -> tuple[Warmth, ...]:
    """The warmth of many places at once: three arrays (places, 12), Celsius."""
    days = expected_degree_days(
        daily(monthly_low), daily(monthly_high), daily(monthly_spread), thresholds
    )
    return tuple(warmth_of(row) for row in days)


def warmth_of(degree_days_by_day: ArrayLike) -> Warmth:
    """The table of one place from 365 daily degree-days."""
    sums = np.concatenate(
        ([0.0], np.cumsum(np.asarray(degree_days_by_day, dtype=np.float64)))
    )
    return Warmth(sums=tuple(int(value) for value in np.rint(sums * 10.0)))


def day_number(month: int, day: int) -> int:
    """0 for 1 January to 364 for 31 December. Raises ValueError for a day that does not
    exist.
    """
    if not 1 <= month <= 12:
        raise ValueError(f"there is no month {month}")
    if (month, day) == (2, 29):
        return MONTH_STARTS[1] + 27
    if not 1 <= day <= MONTH_LENGTHS[month - 1]:
        raise ValueError(f"month {month} has no day {day}")
    return MONTH_STARTS[month - 1] + day - 1


def month_and_day(number: int) -> tuple[int, int]:
    """(month 1-12, day 1-31) of a day number; numbers beyond the year wrap."""
    rest = number % DAYS
    month = max(index for index, start in enumerate(MONTH_STARTS) if start <= rest)
    return month + 1, rest - MONTH_STARTS[month] + 1
