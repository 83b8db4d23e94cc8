"""The usual year of a place: on which day a sum of warmth is reached, generations, tasks.

Days are numbers from 0; days from 365 on are in the next year. A `Span` of days is early,
likely, late. Sums are whole tenths of a degree-day, so that a browser adding up the same
table agrees.
"""

from dataclasses import dataclass
from itertools import pairwise

from bedside.model.season import (
    DAYS,
    Frost,
    Insect,
    Place,
    SeasonKnowledge,
    Sight,
    Span,
    Start,
    Task,
    Warmth,
)

# A sum that two usual years do not bring will not be reached.
HORIZON = 2 * DAYS


def always(value: int) -> Span:
    """A span without width."""
    return Span(low=value, likely=value, high=value)


def tenths(sum_: Span) -> Span:
    """A sum in degree-days as tenths."""
    return Span(low=sum_.low * 10, likely=sum_.likely * 10, high=sum_.high * 10)


def reaching(warmth: Warmth, start: int, goal: int) -> int | None:
    """The day at whose end `goal` tenths have gathered from day `start` on, or nothing."""
    base, low, high = warmth.before(start), start, start + HORIZON
    if warmth.before(high + 1) - base < goal:
        return None
    while low < high:
        middle = (low + high) // 2
        if warmth.before(middle + 1) - base >= goal:
            high = middle
        else:
            low = middle + 1
    return low


def last_start(warmth: Warmth, end: int, goal: int) -> int | None:
    """The last day of the year from whose beginning `goal` tenths gather before `end`, or
    nothing.
    """
    if warmth.between(0, end) < goal:
        return None
    low, high = 0, end
    while low < high:
        middle = (low + high + 1) // 2
        if warmth.between(middle, end) >= goal:
            low = middle
        else:
            high = middle - 1
    return low


def days_of(warmth: Warmth, start: Span, goal: Span) -> Span | None:
    """Early, likely and late day on which a sum is reached, each from its own start."""
    low = reaching(warmth, start.low, goal.low)
    likely = reaching(warmth, start.likely, goal.likely)
    high = reaching(warmth, start.high, goal.high)
    if low is None or likely is None or high is None:
        return None
    return Span(low=low, likely=likely, high=high)


def widened(span: Span, days: int, not_before: int) -> Span:
    """A span of days made wider for the weather, but never earlier than `not_before`."""
    return Span(
        low=max(not_before, span.low - days), likely=span.likely, high=span.high + days
    )


LOOK_EVERY = 7


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


# A task longer than this is a look now and then, not one long piece of work.
ALL_SEASON = DAYS // 4


@dataclass(frozen=True, kw_only=True, slots=True)
class Generation:
    """One generation's hatch, and the days on which its larvae are small."""

    number: int
    hatch: Span
    young_until: Span


@dataclass(frozen=True, kw_only=True, slots=True)
class InsectYear:
    """One insect's usual year at a place.

    `room` is how many whole generations the warmth has room for. From generation
    `blurred_from` on the ranges of neighbours meet, so that all ages are there at once.
    Larvae that hatch after `last_useful` are stopped by frost before they are grown.
    """

    insect: Insect
    start: Start | None
    generations: tuple[Generation, ...] = ()
    room: int = 0
    blurred_from: int | None = None
    last_useful: int | None = None

    @property
    def apart(self) -> tuple[Generation, ...]:
        """The generations that can be told from the one before."""
        return self.generations[: self.blurred_from]

    @property
    def all_ages_from(self) -> int | None:
        """The day from which generations can't be told apart."""
        if self.blurred_from is None:
            return None
        return self.generations[self.blurred_from].hatch.low


def last_useful(place: Place, insect: Insect) -> int | None:
    """Last day on which a larva can hatch and still be grown before the usual frost."""
    if place.frost.kind != "dates":
        return None
    return last_start(place.warmth, place.frost.end, insect.stages[1].sum.likely * 10)


def start_at(insect: Insect, place: Place) -> Start | None:
    """How the insect's year begins at a place: the first entry that holds it."""
    for start in insect.starts:
        if any(box.holds(place.state, place.lat, place.lon) for box in start.where):
            return start
    return None


def years_of(place: Place, season: SeasonKnowledge) -> tuple[InsectYear, ...]:
    """Every insect's usual year at a place."""
    weather = season.growth.weather_days
    return tuple(insect_year(place, insect, weather) for insect in season.insects)


def insect_year(place: Place, insect: Insect, weather_days: int) -> InsectYear:
    """The usual year of an insect at a place."""
    start = start_at(insect, place)
    if start is None:
        return InsectYear(insect=insect, start=None)
    if start.kind == "all-year":
        room = place.warmth.year // (insect.generation.likely * 10)
        return InsectYear(insect=insect, start=start, room=room)
    generations = _generations(place, insect, start, weather_days)
    return InsectYear(
        insect=insect, start=start, generations=generations,
        room=_room(place, insect, start, generations),
        blurred_from=_blurred_from(generations),
        last_useful=last_useful(place, insect),
    )  # fmt: skip


def _first_hatch(place: Place, insect: Insect, start: Start) -> tuple[Span, Span]:
    """From which days warmth is counted, and how much of it the first hatch takes, in
    tenths.
    """
    if start.kind == "date" or start.sum is None:
        give = start.give_days
        on = Span(low=start.day - give, likely=start.day, high=start.day + give)
        return on, tenths(insect.stages[0].sum)
    since, goal = always(0), tenths(start.sum)
    soonest = place.frost.last + start.after_last_freeze
    hatch = days_of(place.warmth, since, goal)
    if hatch is None or place.frost.kind != "dates":
        return since, goal
    # A hatch that warmth alone would bring too soon waits for the first leaves.
    early, likely, late = hatch.low < soonest, hatch.likely < soonest, hatch.high < soonest
    return (
        Span(low=soonest * early, likely=soonest * likely, high=soonest * late),
        Span(low=goal.low * (not early), likely=goal.likely * (not likely),
             high=goal.high * (not late)),
    )  # fmt: skip


def _generations(
    place: Place, insect: Insect, start: Start, weather_days: int
) -> tuple[Generation, ...]:
    """Generations that hatch, likely, before the growing year ends."""
    found: list[Generation] = []
    since, goal = _first_hatch(place, insect, start)
    while (hatch := days_of(place.warmth, since, goal)) is not None:
        until = days_of(place.warmth, since, goal + always(insect.young * 10))
        if until is None or hatch.likely >= place.frost.end:
            break
        found.append(
            Generation(
                number=len(found) + 1,
                hatch=widened(hatch, weather_days, 0),
                young_until=widened(until, weather_days, 0),
            )
        )
        goal += tenths(insect.generation)
    return tuple(found)


def _room(
    place: Place, insect: Insect, start: Start, generations: tuple[Generation, ...]
) -> int:
    """Whole generations between the first eggs or hatch and the end of the growing year."""
    if not generations:
        return 0
    begin = start.day if start.kind == "date" else generations[0].hatch.likely
    return max(0, place.warmth.between(begin, place.frost.end)) // (
        insect.generation.likely * 10
    )


def _blurred_from(generations: tuple[Generation, ...]) -> int | None:
    for one, following in pairwise(generations):
        if one.young_until.high >= following.hatch.low:
            return one.number
    return None


def task_window(task: Task, place: Place) -> tuple[int, int] | None:
    """First and last day of a task at a place, or nothing if it is not for that place.

    Both are counted from 1 January of one year and may lie before it or beyond its end.
    """
    if place.frost.kind not in task.freezes or place.frost.last < task.if_last_freeze_after:
        return None
    first, last = _anchor(task.anchor, task, place), _anchor(task.to_anchor, task, place)
    if first is None or last is None:
        return None
    return first + task.from_days, last + task.to_days


def _anchor(anchor: str, task: Task, place: Place) -> int | None:
    if anchor == "last-freeze":
        return place.frost.last
    if anchor == "first-freeze":
        return place.frost.first
    if anchor == "date":
        return task.day
    return reaching(place.warmth, 0, task.anchor_sum * 10)
