"""The days of a spray, as season.js plans them."""

from bedside.reason.season.forecast import Forecast


def spray_days(forecast: Forecast, gap: int, most: int | None) -> tuple[int, ...]:
    """Days of a spray while larvae are small, obeying two numbers read off a label.

    `gap` is the days between sprays and `most` the sprays of a season, if that is known. If
    not all fit, those about the likely hatch are kept. What frost would stop anyway gets
    none.
    """
    if forecast.hatch is None or forecast.young_until is None:
        return ()
    first, last = forecast.hatch.low, forecast.young_until.high
    if forecast.last_useful is not None and forecast.hatch.likely <= forecast.last_useful:
        last = max(first, min(last, forecast.last_useful))
    fits = (last - first) // gap + 1
    count = fits if most is None else min(fits, most)
    length = (count - 1) * gap
    start = first
    if count < fits:
        start = min(max(forecast.hatch.likely - length // 2, first), last - length)
    return tuple(range(start, start + length + 1, gap))
