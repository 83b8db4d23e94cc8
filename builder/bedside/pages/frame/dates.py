"""Days of the usual year in words: 94 is "April 5", a range "April 5 to 19"."""

from calendar import month_abbr, month_name
from datetime import date, timedelta

from bedside.model.season import DAYS
from bedside.reason.season.day_numbers import month_and_day


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


def after(day: date, days: int) -> date:
    """The date some days later."""
    return day + timedelta(days=days)
