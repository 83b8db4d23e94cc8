"""From twelve monthly normals to the usual warmth of every day of the year.

A day is its lowest and its highest temperature; half a sine wave stands for what lies
between. Degree-days are the warmth between the thresholds, summed: single sine with a
horizontal cut-off (Zalom et al. 1983, University of California Leaflet 21373). Days are
numbered as in `bedside.language.days`. Temperatures are Celsius.
"""

from dataclasses import fields
from functools import cache, lru_cache
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from bedside.language.days import MONTH_LENGTHS, MONTH_STARTS
from bedside.model.season import (
    DAYS,
    Place,
    SeasonKnowledge,
    SeasonRecords,
    SeasonTables,
    Thresholds,
    Town,
    Warmth,
)

Numbers: TypeAlias = NDArray[np.float64]
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


# The tables change once a year, and a folder is read again on every change in it.
@lru_cache(maxsize=2)
def warmed(season: SeasonTables) -> SeasonKnowledge:
    """The season with the usual warmth of every town counted."""
    return SeasonKnowledge(places=_places(season), **_fields(season, SeasonRecords))


def _places(season: SeasonTables) -> dict[str, Place]:
    normals = [season.normals[town] for town in season.towns]
    if not normals:
        return {}
    warmths = usual_warmth(
        celsius([it.low_f for it in normals]),
        celsius([it.high_f for it in normals]),
        np.array([it.spread_c for it in normals]),
        season.growth.thresholds,
    )
    return {
        town.id: Place(warmth=warmth, **_fields(town, Town))
        for town, warmth in zip(season.towns.values(), warmths, strict=True)
    }


def _fields(record: object, kind: type[SeasonRecords] | type[Town]) -> dict[str, Any]:
    return {field.name: getattr(record, field.name) for field in fields(kind)}


def warmth_of(degree_days_by_day: ArrayLike) -> Warmth:
    """The table of one place from 365 daily degree-days."""
    sums = np.concatenate(
        ([0.0], np.cumsum(np.asarray(degree_days_by_day, dtype=np.float64)))
    )
    return Warmth(sums=tuple(int(value) for value in np.rint(sums * 10.0)))
