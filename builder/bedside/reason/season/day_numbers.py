"""Days of the year as numbers, 0 to 364; 29 February shares 28 February's number."""

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
