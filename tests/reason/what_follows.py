"""What follows from a sight, as season.js tells it: next hatch, looks, sprays."""

from dataclasses import dataclass

from bedside.model.season import Insect, Place, Sight, Span
from bedside.reason.usual_year import (
    LOOK_EVERY,
    always,
    before_frost,
    days_of,
    in_season,
    last_useful,
    tenths,
    to_next_hatch,
    widened,
)


@dataclass(frozen=True, kw_only=True, slots=True)
class Forecast:
    """What follows from a sight on a day. No `hatch`: there is not enough warmth."""

    hatch: Span | None
    young_until: Span | None
    next_hatch: Span | None
    looks: tuple[int, ...]
    last_useful: int | None
    in_season: bool
    before_frost: bool


def what_follows(
    place: Place, insect: Insect, sight: Sight, day: int, weather_days: int
) -> Forecast:
    """Next hatch, looks and last useful day after `sight` was seen on `day` (0 to 364)."""
    on, goal = always(day), to_next_hatch(insect, sight)
    bare = days_of(place.warmth, on, goal)
    grown = days_of(place.warmth, on, goal + always(insect.young * 10))
    after = days_of(place.warmth, on, goal + tenths(insect.generation))
    hatch = widened(bare, weather_days, day) if bare else None
    until = widened(grown, weather_days, day) if grown else None
    return Forecast(
        hatch=hatch,
        young_until=until,
        next_hatch=widened(after, weather_days, day) if after else None,
        looks=_looks(day, hatch, until),
        last_useful=last_useful(place, insect),
        in_season=in_season(place.frost, day),
        before_frost=bare is not None and before_frost(place.frost, day, bare.likely),
    )


def _looks(day: int, hatch: Span | None, until: Span | None) -> tuple[int, ...]:
    """Weekly, from the first day that a hatch can be until no larva is small."""
    if hatch is None or until is None:
        return ()
    first = max(day, hatch.low)
    return tuple(range(first, until.high + LOOK_EVERY, LOOK_EVERY))


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
