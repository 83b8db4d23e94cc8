"""From what is seen on a day to what comes next."""

from dataclasses import dataclass

from bedside.model.season import DAYS, Frost, Insect, Place, Sight, Span
from bedside.reason.season.accumulation import always, days_of, tenths, widened
from bedside.reason.season.usual_year import last_useful

LOOK_EVERY = 7


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


def to_next_hatch(insect: Insect, sight: Sight) -> Span:
    """Warmth from a sight to the next hatch, in tenths: the rest of its stage and what
    follows.

    Eggs lead to their own hatch. Every other stage leads to the eggs of the next
    generation, so the first stage, the egg, comes at the end.
    """
    ids = [stage.id for stage in insect.stages]
    at = ids.index(sight.stage)
    done_from, done_to = sight.done
    now = insect.stages[at].sum
    rest = Span(
        low=round(now.low * (100 - done_to) / 10),
        likely=round(now.likely * (200 - done_from - done_to) / 20),
        high=round(now.high * (100 - done_from) / 10),
    )
    later = () if at == 0 else (*insect.stages[at + 1 :], insect.stages[0])
    for stage in later:
        rest += tenths(stage.sum)
    return rest


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


def in_season(frost: Frost, day: int) -> bool:
    """Whether leaves can stand outdoors on a day of the year."""
    if frost.kind != "dates":
        return True
    return frost.last <= day < frost.first or day + DAYS < frost.first


def before_frost(frost: Frost, day: int, later: int) -> bool:
    """Whether no usual frost lies between a day and a later one."""
    if frost.kind != "dates":
        return True
    next_frost = frost.first if day < frost.first else frost.first + DAYS
    return later < next_frost
