"""Days of the usual year: as numbers, 0 to 364, and in words.

29 February shares 28 February's number. 94 is "April 5", a range "April 5 to 19".
"""

from calendar import month_abbr, month_name
from datetime import date

from bedside.model.season import DAYS

MONTH_LENGTHS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
MONTH_STARTS = tuple(sum(MONTH_LENGTHS[:month]) for month in range(12))


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


def within_year(first: int, last: int) -> tuple[tuple[int, int], ...]:
    """A stretch of days as one or two stretches of the same year."""
    first, last = first % DAYS, first % DAYS + max(1, last - first)
    return ((first, last),) if last <= DAYS else ((0, last - DAYS), (first, DAYS))


def in_words(day: int) -> str:
    """Month and day in full; days beyond the year wrap."""
    month, number = month_and_day(day)
    return f"{month_name[month]} {number}"


def in_short(day: int) -> str:
    """Month and day, the month in three letters."""
    month, number = month_and_day(day)
    return f"{month_abbr[month]} {number}"


def span_in_words(first: int, last: int) -> str:
    """From a day to a day, the month said once if it is the same."""
    if last <= first:
        return in_words(first)
    if last - first >= DAYS - 1:
        return f"{in_words(0)} to {in_words(DAYS - 1)}"
    (month, _), (same, number) = month_and_day(first), month_and_day(last)
    if month == same and last - first < 31:
        return f"{in_words(first)} to {number}"
    return f"{in_words(first)} to {in_words(last)}"


def on_calendar(day: int, year: int) -> date:
    """The date of a day of the usual year in a real one, leap years too."""
    years, rest = divmod(day, DAYS)
    return date(year + years, *month_and_day(rest))
