"""Thresholdss that the planner does not use, for the tables that print them side by side.

Sources: Zalom et al. 1983, University of California Leaflet 21373, Table 7; McMaster and
Wilhelm 1997 (the two averages).
"""

import numpy as np
from numpy.typing import ArrayLike

from bedside.model.season import Thresholds
from bedside.reason.daily_normals import Numbers, _checked, degree_days


def double_degree_days(
    low: ArrayLike, high: ArrayLike, next_low: ArrayLike, thresholds: Thresholds
) -> Numbers:
    """Degree-days of days that fall to the next day's low: half of each."""
    rising, falling = (
        degree_days(low, high, thresholds),
        degree_days(next_low, high, thresholds),
    )
    return 0.5 * (rising + falling)


def mean_then_threshold(low: ArrayLike, high: ArrayLike, lower: float) -> Numbers:
    """McMaster and Wilhelm's method 1: the day's mean less the threshold, never below 0."""
    lows, highs = _checked(low, high)
    return np.maximum(0.0, (lows + highs) / 2.0 - lower)


def threshold_then_mean(
    low: ArrayLike, high: ArrayLike, lower: float, upper: float | None = None
) -> Numbers:
    """McMaster and Wilhelm's method 2: extremes brought inside the thresholds, then the
    mean.
    """
    lows, highs = _checked(low, high)
    top = np.inf if upper is None else upper
    return (np.clip(lows, lower, top) + np.clip(highs, lower, top)) / 2.0 - lower
