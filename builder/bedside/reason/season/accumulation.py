"""On which day a sum of warmth is reached.

Days are numbers from 0; days from 365 on are in the next year. A `Span` of days is early,
likely, late. Sums are whole tenths of a degree-day, so that a browser adding up the same
table agrees.
"""

from bedside.model.season import DAYS, Span, Warmth

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
