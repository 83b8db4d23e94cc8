"""Degree-days against printed tables, reference software and observed weather."""

import csv
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bedside.language.days import MONTH_LENGTHS, day_number, month_and_day
from bedside.model.season import DAYS, Thresholds
from bedside.reason.daily_normals import (
    Numbers,
    celsius,
    daily,
    degree_days,
    expected_degree_days,
    warmth_of,
)
from tests.reason.other_methods import (
    double_degree_days,
    mean_then_threshold,
    threshold_then_mean,
)

DATA = Path(__file__).parents[1] / "data"
TEN_CITIES = (
    "KCLT", "KCQT", "KHOU", "KIND", "KJAX", "KMDW", "KNYC", "KPHL", "KPHX", "KSEA",
)  # fmt: skip
THRESHOLDS = Thresholds(lower=12, upper=30)
MONTH_OF_DAY = np.repeat(np.arange(12), MONTH_LENGTHS)


def rows(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def column(table: list[dict[str, str]], name: str) -> Numbers:
    return np.array([float(row[name]) for row in table])


ZALOM = rows("ref_zalom1983_table7.csv")
UC_YEAR = rows("ref_uc_validation_2020_lt50_ut70.csv")


def zalom(row: dict[str, str], method: str) -> float:
    low, high, following = (float(row[key]) for key in ("tmin_f", "tmax_f", "next_tmin_f"))
    how = Thresholds(lower=55, upper=90)
    if method.startswith("double"):
        return float(double_degree_days(low, high, following, how))
    return float(degree_days(low, high, how))


@pytest.mark.parametrize("row", ZALOM, ids=lambda row: f"{row['tmin_f']}-{row['tmax_f']}")
def test_zalom_1983_table_7(row: dict[str, str]) -> None:
    """Twelve printed days, both sine methods, thresholds 55 and 90 F: equal to the printed
    hundredth.
    """
    for method in ("single_sine", "double_sine"):
        assert zalom(row, method) == pytest.approx(float(row[method]), abs=0.0061), method


def test_mcmaster_and_wilhelm_1997_table_1() -> None:
    """Ten printed days, base 0 C, both ways of averaging: exact."""
    table = rows("ref_mcmaster_wilhelm1997_table1.csv")
    low, high = column(table, "tmin_c"), column(table, "tmax_c")
    assert len(table) == 10
    assert np.array_equal(mean_then_threshold(low, high, 0.0), column(table, "method1"))
    assert np.array_equal(threshold_then_mean(low, high, 0.0), column(table, "method2"))


def test_university_of_california_validation_year() -> None:
    """366 days, single and double sine, horizontal cut-off: to the printed hundredth."""
    low, high = column(UC_YEAR, "tmin"), column(UC_YEAR, "tmax")
    how = Thresholds(lower=50, upper=70)
    single = degree_days(low, high, how)
    double = double_degree_days(low, high, np.append(low[1:], low[-1]), how)
    assert len(UC_YEAR) == 366
    assert np.abs(single - column(UC_YEAR, "sngsine_horiz")).max() <= 0.0051
    assert np.abs(double - column(UC_YEAR, "dblsine_horiz")).max() <= 0.0051
    assert single.sum() == pytest.approx(4011.14, abs=0.15)


def test_extension_examples() -> None:
    """Worked examples: Michigan State, Western Regional Climate Center, Iowa State, Univ.
    of Calif.
    """
    assert float(mean_then_threshold(40, 65, 50)) == 2.5
    assert float(mean_then_threshold(35, 60, 50)) == 0.0
    assert float(mean_then_threshold(51, 95, 60)) == 13.0
    assert float(threshold_then_mean(50, 70, 50, 86)) == 10.0
    assert float(threshold_then_mean(86, 99, 50, 86)) == 36.0
    assert float(mean_then_threshold(64, 64, 53)) == 11.0


def test_another_library_counts_the_same() -> None:
    """nonlineartemppy 0.201 (independent, arc cosine form): 300 days, both thresholds, 5
    decimals.
    """
    table = rows("ref_nonlineartemppy_0_201.csv")
    low, high = column(table, "tmin_c"), column(table, "tmax_c")
    above12, above30 = column(table, "above12"), column(table, "above30")
    assert len(table) == 300
    assert (above30 > 0).sum() > 50
    uncut = Thresholds(lower=12, upper=1000)
    assert np.abs(degree_days(low, high, uncut) - above12).max() < 6e-6
    assert np.abs(degree_days(low, high, THRESHOLDS) - (above12 - above30)).max() < 1.1e-5


def test_a_day_wholly_above_the_upper_threshold_counts_in_full() -> None:
    """Low and high both above the cut-off give the whole span, not part of it."""
    assert float(degree_days(35, 40, Thresholds(lower=12, upper=33))) == 21.0


def test_a_day_without_a_swing() -> None:
    """Low equal to high is a flat day: its warmth between the thresholds."""
    assert float(degree_days(20, 20, THRESHOLDS)) == 8.0
    assert float(degree_days(40, 40, THRESHOLDS)) == 18.0
    assert float(degree_days(5, 5, THRESHOLDS)) == 0.0


NAN, INFINITE = float("nan"), float("inf")


@pytest.mark.parametrize(("low", "high"), [(21.0, 20.0), (NAN, 20.0), (10.0, INFINITE)])
def test_impossible_days_are_refused(low: float, high: float) -> None:
    """A low above the high, or a missing value, is an error and never a number."""
    with pytest.raises(ValueError, match=r"above its high|missing"):
        degree_days(low, high, THRESHOLDS)


def test_thresholds_the_wrong_way_round_are_refused() -> None:
    """An upper threshold at or below the lower one is an error."""
    with pytest.raises(ValueError, match="not above"):
        degree_days(10, 20, Thresholds(lower=30, upper=12))


temperatures = st.floats(-30, 45)


@given(temperatures, temperatures, st.floats(0, 20))
def test_fahrenheit_days_are_1_8_celsius_days(a: float, b: float, lower: float) -> None:
    """The unit changes the number by 1.8 and nothing else."""
    low, high = min(a, b), max(a, b)
    in_f = Thresholds(lower=lower * 1.8 + 32, upper=86)
    in_c = degree_days(low, high, Thresholds(lower=lower, upper=30))
    as_f = degree_days(low * 1.8 + 32, high * 1.8 + 32, in_f)
    assert float(as_f) == pytest.approx(1.8 * float(in_c), abs=1e-6)


@given(temperatures, temperatures)
def test_a_day_counts_between_nothing_and_the_whole_span(a: float, b: float) -> None:
    """Never below 0, and never more than the thresholds lie apart."""
    counted = float(degree_days(min(a, b), max(a, b), THRESHOLDS))
    assert -1e-9 <= counted <= 18.0 + 1e-9


def monthly_means(days: Numbers) -> Numbers:
    return np.array([days[month == MONTH_OF_DAY].mean() for month in range(12)])


@given(st.lists(st.floats(-20, 35), min_size=12, max_size=12))
def test_monthly_means_are_kept(monthly: list[float]) -> None:
    """Days made from twelve monthly means average back to those means."""
    days = daily(monthly)
    assert list(monthly_means(days)) == pytest.approx(monthly, abs=1e-6)


def new_york_normals() -> tuple[Numbers, Numbers]:
    table = rows("normals_daily_1991_2020_new_york.csv")
    return celsius(column(table, "tmin_f")), celsius(column(table, "tmax_f"))


def city_days(icao: str) -> list[dict[str, str]]:
    """The city's observed year (July to June) put into calendar order."""
    table = rows("observed_2014_2015_ten_cities.csv")
    return sorted(
        (row for row in table if row["icao"] == icao), key=lambda row: row["date"][5:]
    )


def city_normals(icao: str) -> tuple[Numbers, Numbers]:
    table = city_days(icao)
    low, high = column(table, "normal_tmin_f_8110"), column(table, "normal_tmax_f_8110")
    return celsius(low), celsius(high)


# January to December, degrees Celsius: how far a day strays (seven cities, 1981-2010,
# rounded).
SPREAD = (5.2, 5.1, 4.6, 4.3, 3.6, 2.9, 2.5, 2.5, 3.1, 3.9, 4.6, 5.2)


def as_planned(low: Numbers, high: Numbers) -> Numbers:
    """Degree-days gathered by the end of each day, counted as the planner counts them."""
    return np.cumsum(expected_degree_days(low, high, daily(SPREAD), THRESHOLDS))


def day_error(low: Numbers, high: Numbers) -> float:
    """Worst difference in days, over every multiple of 50 degree-days, monthly against
    daily.
    """
    theirs = as_planned(low, high)
    ours = as_planned(daily(monthly_means(low)), daily(monthly_means(high)))
    goals = np.arange(50, min(theirs[-1], ours[-1]), 50)
    days = np.arange(DAYS)
    apart = np.interp(goals, theirs, days) - np.interp(goals, ours, days)
    return float(np.abs(apart).max())


def test_monthly_normals_are_as_good_as_daily_ones() -> None:
    """NOAA daily normals of New York (1991-2020) and ten cities (1981-2010): at most one
    day off.
    """
    errors = {"New York": day_error(*new_york_normals())}
    errors |= {icao: day_error(*city_normals(icao)) for icao in TEN_CITIES}
    assert len(errors) == 11
    assert max(errors.values()) <= 1.0, errors


def test_lines_between_monthly_means_would_not_be() -> None:
    """The check above can fail: plain lines through the monthly means are days to weeks
    off.
    """
    low, high = new_york_normals()
    middles = np.cumsum((0, *MONTH_LENGTHS[:-1])) + (np.array(MONTH_LENGTHS) - 1) / 2
    plain = [
        np.interp(np.arange(DAYS), middles, monthly_means(values), period=DAYS)
        for values in (low, high)
    ]
    theirs, ours = as_planned(low, high), as_planned(*plain)
    goals = np.arange(50, min(theirs[-1], ours[-1]), 50)
    days = np.arange(DAYS)
    assert np.abs(np.interp(goals, theirs, days) - np.interp(goals, ours, days)).max() > 1.5


def test_spread_adds_warmth_in_cold_months_only() -> None:
    """Day-to-day weather adds degree-days near the threshold, none in a hot month."""
    low, high, spread = daily([5.0] * 12), daily([12.0] * 12), daily([5.0] * 12)
    cool = expected_degree_days(low, high, spread, THRESHOLDS)
    warm = expected_degree_days(low + 13, high + 13, spread / 5, THRESHOLDS)
    assert cool[180] > 0.5
    assert degree_days(5, 12, THRESHOLDS) == 0
    assert warm[180] == pytest.approx(float(degree_days(18, 25, THRESHOLDS)), abs=0.01)


def test_days_of_the_year() -> None:
    """Day numbers go there and back, and 29 February shares its neighbour's."""
    assert [day_number(*month_and_day(day)) for day in range(DAYS)] == list(range(DAYS))
    assert day_number(2, 29) == day_number(2, 28)
    assert month_and_day(365) == (1, 1)


@pytest.mark.parametrize(("month", "day"), [(2, 31), (13, 1), (0, 5), (4, 31), (6, 0)])
def test_days_that_do_not_exist(month: int, day: int) -> None:
    """31 February and its like are refused."""
    with pytest.raises(ValueError, match=r"no day|no month"):
        day_number(month, day)


def test_warmth_repeats_after_the_year() -> None:
    """A table of one year answers for days after New Year as well."""
    warmth = warmth_of(np.full(DAYS, 2.0))
    assert warmth.year == 7300
    assert warmth.between(360, 370) == 200
