"""On which day a sum of warmth is reached, and what sum leads from a sight to a hatch.

Days are numbers from 0; days from 365 on are in the next year. A `Span` of days is early,
likely, late. Sums are whole tenths of a degree-day, so that a browser adding up the same
table agrees.
"""

from bedside.model.season import DAYS, Frost, Insect, Sight, Span, Warmth

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
