"""Generations and windows against printed counts, official sums and plain counting."""

import csv
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bedside.language.days import day_number, month_and_day
from bedside.model.season import DAYS, Frost, Insect, Place, Thresholds, Warmth
from bedside.reason.daily_normals import Numbers, celsius, daily, degree_days
from bedside.reason.usual_year import (
    before_frost,
    in_season,
    insect_year,
    last_start,
    last_useful,
    reaching,
    start_at,
    task_window,
    to_next_hatch,
)
from tests.reason.what_follows import what_follows
from tests.season_data import KNOWLEDGE, real_season, steady_place

SEASON = real_season()
LARGER, LESSER = SEASON.insects
WEATHER = SEASON.growth.weather_days


def rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def room_from(place: Place, insect: Insect, month: int, day: int) -> float:
    """Generations the warmth has room for between a day and the usual first frost."""
    warmth = place.warmth.between(day_number(month, day), place.frost.end)
    return warmth / (insect.generation.likely * 10)


# Published counts (Galveston County Master Gardeners and Texas AgriLife 2008; North
# Carolina Biodiversity Project; Cherokee Tribune 2013 and the trade's "3 or 4 a year"):
# low, high.
BROODS = (
    ("galveston-tx", 5, 15, 3.0, 6.0),
    ("charlotte-nc", 7, 1, 1.0, 2.9),
    ("charlotte-nc", 8, 1, 1.0, 2.0),
    ("charlotte-nc", 5, 15, 3.0, 4.5),
    ("jacksonville-fl", 5, 15, 3.0, 4.5),
)


@pytest.mark.parametrize(("place", "month", "day", "low", "high"), BROODS)
def test_room_for_broods_matches_printed_counts(
    place: str, month: int, day: int, low: float, high: float
) -> None:
    """The warmth has room for as many broods as are reported where somebody counted."""
    assert low <= room_from(SEASON.places[place], LARGER, month, day) <= high


def test_places_where_warmth_promises_more_than_was_seen() -> None:
    """Georgia (two broods June to November) and Arizona (two) have more room than broods
    seen.

    So the pages must say "room for up to", never "there will be": arrival and great heat
    limit the insect there, and degree-days know neither.
    """
    assert room_from(SEASON.places["atlanta-ga"], LARGER, 7, 1) > 2.2
    assert room_from(SEASON.places["phoenix-az"], LARGER, 7, 1) > 3.5


def test_first_hatch_of_the_year_in_north_carolina() -> None:
    """The sum is set so that Raleigh's first hatch falls on the dated notice of 21 May
    2007.

    This pins a constant; it can't confirm it.
    """
    year = insect_year(SEASON.places["raleigh-nc"], LESSER, WEATHER)
    assert abs(year.generations[0].hatch.likely - day_number(5, 21)) <= 4


def test_forty_days_is_what_the_sums_are_pinned_to() -> None:
    """At a steady 26.5 C the larger one takes 40 days; growers' rule, so a pin and no
    check.
    """
    per_day = float(degree_days(26.5, 26.5, Thresholds(lower=12, upper=30)))
    assert LARGER.generation.likely / per_day == pytest.approx(40, abs=0.1)
    assert LESSER.generation.likely / per_day == pytest.approx(34.5, abs=0.1)


# NOAA's two tables of city normals, 223 stations in both: highs rose 0.84 F, lows 0.75 F.
RISE_F = 0.8


def official_sums() -> tuple[Numbers, Numbers]:
    """Daily means of 1981 to 2010 (places, 365), Celsius, and the official sums,
    Fahrenheit.
    """
    table = [
        row
        for row in rows(KNOWLEDGE / "season" / "stations.csv")
        if row["gdd50f_1981_2010"]
    ]
    normals = {row["place"]: row for row in rows(KNOWLEDGE / "season" / "normals.csv")}
    months = [normals[row["place"]] for row in table]
    low, high = (
        celsius(
            [[float(row[f"{name}_{month}"]) for month in range(1, 13)] for row in months]
        )
        for name in ("tmin_f", "tmax_f")
    )
    official = np.array([float(row["gdd50f_1981_2010"]) for row in table])
    return daily((low + high) / 2 - RISE_F / 1.8), official


def test_official_growing_degree_days() -> None:
    """NOAA's yearly sums above 50 F, 1981 to 2010, from every station that has one.

    NOAA adds the part of each day's mean above 50 F over thirty years. From monthly normals
    alone the sum falls short by over 5 in 100; with day-to-day spread (the same for all
    stations) the error is under 1 in 100 on average.
    """
    means, official = official_sums()
    spread = daily([tenths / 10 for tenths in SEASON.growth.spread_tenths])
    nodes, weights = np.polynomial.hermite_e.hermegauss(31)
    shifted = means[..., np.newaxis] + spread[:, np.newaxis] * nodes
    spread_out = np.maximum(0, shifted - 10) @ (weights / weights.sum())
    bare = np.maximum(0, means - 10)
    off = [1.8 * days.sum(axis=1) / official - 1 for days in (bare, spread_out)]
    warm = official > 1000
    assert warm.sum() > 200
    assert off[0][warm].mean() < -0.05
    assert abs(off[1][warm].mean()) < 0.01
    assert off[1][warm].std() < 0.06


TEN_CITIES = {
    "KCLT": "charlotte-nc", "KCQT": "los-angeles-ca", "KHOU": "houston-tx",
    "KIND": "indianapolis-in", "KJAX": "jacksonville-fl", "KMDW": "chicago-il",
    "KNYC": "new-york-ny", "KPHL": "philadelphia-pa", "KPHX": "phoenix-az",
    "KSEA": "seattle-wa",
}  # fmt: skip


def observed_interval(icao: str, start: int, goal: int) -> float:
    """Days that `goal` degree-days took in the weather observed in 2014."""
    table = [
        row
        for row in rows(
            Path(__file__).parents[1] / "data" / "observed_2014_2015_ten_cities.csv"
        )
        if row["icao"] == icao and row["date"] >= f"2014-{month_and_day(start)[0]:02d}-"
    ]
    low, high = (
        celsius([float(row[name]) for row in table]) for name in ("tmin_f", "tmax_f")
    )
    skipped = month_and_day(start)[1] - 1
    days = degree_days(low, high, Thresholds(lower=12, upper=30))[skipped:]
    sums = np.concatenate(([0.0], np.cumsum(days)))
    return float(np.interp(goal, sums, np.arange(len(sums))))


def test_a_usual_year_foretells_the_weather_of_2014() -> None:
    """Ten cities, from a first roll on 10 July to the next hatch: mean error under 4 days.

    A fixed 33 days, which is what the sum takes at 26.5 C, errs more than twice as much.
    """
    start, goal = day_number(7, 10), 480
    usual, fixed = [], []
    for icao, place in TEN_CITIES.items():
        took = observed_interval(icao, start, goal)
        day = reaching(SEASON.places[place].warmth, start, goal * 10)
        assert day is not None
        usual.append(abs(day - start - took))
        fixed.append(abs(33 - took))
    assert np.mean(usual) < 4.0
    assert np.mean(usual) < np.mean(fixed) / 2


@given(
    st.lists(st.integers(0, 180), min_size=DAYS, max_size=DAYS),
    st.integers(0, 700),
    st.integers(1, 9000),
)
def test_reaching_agrees_with_plain_counting(
    days: list[int], start: int, goal: int
) -> None:
    """The day found by halving is the day found by adding up one day after the other."""
    warmth = Warmth(sums=(0, *(int(it) for it in np.cumsum(days))))
    total, day = 0, start
    while day <= start + 2 * DAYS:
        total += days[day % DAYS]
        if total >= goal:
            break
        day += 1
    assert reaching(warmth, start, goal) == (day if total >= goal else None)


@given(st.lists(st.integers(0, 180), min_size=DAYS, max_size=DAYS), st.integers(1, 9000))
def test_the_last_start_is_the_last(days: list[int], goal: int) -> None:
    """From the day found warmth is enough before the end, from the next it is not."""
    warmth = Warmth(sums=(0, *(int(it) for it in np.cumsum(days))))
    last = last_start(warmth, 300, goal)
    if last is None:
        assert warmth.between(0, 300) < goal
    else:
        assert warmth.between(last, 300) >= goal
        assert last == 300 or warmth.between(last + 1, 300) < goal


@pytest.mark.parametrize("insect", SEASON.insects, ids=lambda insect: insect.id)
def test_from_sight_to_hatch_is_ordered(insect: Insect) -> None:
    """Later stages lead to earlier hatches, and every low is below its high."""
    sums = [to_next_hatch(insect, sight) for sight in insect.sights]
    eggs, *later = sums
    assert all(it.low <= it.likely <= it.high for it in sums)
    assert [it.likely for it in later] == sorted((it.likely for it in later), reverse=True)
    assert eggs.low == 0
    assert eggs.high == insect.stages[0].sum.high * 10


def test_a_roll_leads_to_the_next_hatch() -> None:
    """A roll is seen about 100 degree-days after hatching: the rest of the generation is
    left.
    """
    for insect in SEASON.insects:
        roll = next(sight for sight in insect.sights if sight.id == "roll")
        left = to_next_hatch(insect, roll)
        assert left.likely == pytest.approx((insect.generation.likely - 100) * 10, abs=20)


def test_what_follows_a_roll_in_june() -> None:
    """At 14.5 degree-days a day, 480 of them are 33 days away; ranges hold that day."""
    place = steady_place(14.5, Frost(kind="dates", last=95, first=303))
    roll = next(sight for sight in LARGER.sights if sight.id == "roll")
    outlook = what_follows(place, LARGER, roll, day_number(6, 15), WEATHER)
    assert outlook.hatch is not None
    assert outlook.next_hatch is not None
    assert outlook.hatch.likely - day_number(6, 15) == 33
    assert outlook.next_hatch.likely - outlook.hatch.likely == 40
    assert outlook.hatch.low < outlook.hatch.likely < outlook.hatch.high
    assert 6 <= (outlook.hatch.high - outlook.hatch.low) / 2 <= 8, (
        "about a week either side"
    )
    assert outlook.in_season
    assert outlook.before_frost
    assert {later - day for day, later in pairwise(outlook.looks)} == {7}


def test_not_warm_enough() -> None:
    """Where two years do not bring the sum there is no date, and no crash."""
    place = steady_place(0.3, Frost(kind="any-month"))
    outlook = what_follows(place, LARGER, LARGER.sights[2], 180, WEATHER)
    assert (outlook.hatch, outlook.young_until, outlook.next_hatch) == (None, None, None)
    assert outlook.looks == ()


def test_frost_after_new_year() -> None:
    """Tampa's usual first freeze is in January: the growing year runs to its end."""
    tampa = SEASON.places["tampa-fl"].frost
    assert tampa.first == day_number(1, 3) + DAYS
    assert tampa.end == DAYS
    assert in_season(tampa, day_number(1, 1))
    assert not in_season(tampa, day_number(1, 15))
    assert in_season(tampa, day_number(2, 1))


@pytest.mark.parametrize(
    ("name", "kind"), [("honolulu-hi", "rare"), ("mt-washington-nh", "any-month")]
)
def test_places_without_frost_dates(name: str, kind: str) -> None:
    """No frost, or frost in any month: every insect and every task still has its answer."""
    place = SEASON.places[name]
    assert place.frost.kind == kind
    assert in_season(place.frost, 10)
    assert before_frost(place.frost, 10, 400)
    for insect in SEASON.insects:
        assert last_useful(place, insect) is None
        assert insect_year(place, insect, WEATHER).room >= 0
    assert [task.id for task in SEASON.tasks if task_window(task, place)]


def test_every_place_has_its_year() -> None:
    """254 places, every insect: ranges and generations in order, room within the count."""
    assert len(SEASON.places) == 254
    for place in SEASON.places.values():
        for insect in SEASON.insects:
            year = insect_year(place, insect, WEATHER)
            hatches = [generation.hatch for generation in year.generations]
            assert all(it.low <= it.likely <= it.high for it in hatches)
            assert [it.likely for it in hatches] == sorted({it.likely for it in hatches})
            if year.start is not None and year.start.kind != "all-year":
                assert year.room <= len(hatches)


def test_where_an_insect_is_not_in_print() -> None:
    """The lesser one has no start beyond the states that print it, the larger none out
    west.
    """
    assert start_at(LESSER, SEASON.places["seattle-wa"]) is None
    assert start_at(LESSER, SEASON.places["chicago-il"]) is None
    assert start_at(LARGER, SEASON.places["seattle-wa"]) is None
    arrives = start_at(LARGER, SEASON.places["chicago-il"])
    assert arrives is not None
    assert arrives.may_not_come


def test_regions_by_latitude() -> None:
    """The first entry that holds a place counts: peninsula, coast, inland, north."""
    expected = {"miami-fl": "all-year", "jacksonville-fl": "date", "atlanta-ga": "date"}
    for name, kind in expected.items():
        start = start_at(LARGER, SEASON.places[name])
        assert start is not None
        assert start.kind == kind
    days = [start_at(LARGER, SEASON.places[it]) for it in ("savannah-ga", "atlanta-ga")]
    assert [month_and_day(it.day) for it in days if it] == [(5, 15), (7, 1)]


def test_tasks_follow_frost() -> None:
    """Planting follows the last freeze, clearing the first; a warm place clears in late
    winter.
    """
    tasks = {task.id: task for task in SEASON.tasks}
    charlotte, miami = SEASON.places["charlotte-nc"], SEASON.places["miami-fl"]
    plant_out, clear = (
        task_window(tasks[it], charlotte) for it in ("plant-out", "clear-tops")
    )
    assert plant_out is not None
    assert clear is not None
    assert plant_out[0] == charlotte.frost.last
    assert clear == (charlotte.frost.first, charlotte.frost.first + 14)
    assert task_window(tasks["clear-tops"], miami) is None
    late_winter = task_window(tasks["clear-tops-warm"], miami)
    assert late_winter is not None
    assert late_winter[1] <= day_number(2, 15)
