"""Checked season records and tables to `SeasonTables`; no warmth is counted yet."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from bedside.language.days import MONTH_LENGTHS, day_number
from bedside.model.library import Document
from bedside.model.records import Claim
from bedside.model.season import (
    Box,
    Growth,
    Insect,
    Normals,
    SeasonTables,
    Sight,
    Span,
    Stage,
    Start,
    Task,
    Thresholds,
    Town,
    Treatment,
    ZipArea,
)  # fmt: skip
from bedside.problems import Problem
from bedside.read.season_tables import Cells, keyed, temperatures

Data = Mapping[str, Any]
Numbers = Sequence[float]


ByPlant = Mapping[str, Data]


def assemble_season(
    climate: Data, years: ByPlant, insects: ByPlant, tables: Mapping[str, Document]
) -> tuple[SeasonTables, tuple[Problem, ...]]:
    """Make the season's records.

    `climate` is the data of season/climate.yaml, `years` and `insects` those of the plants'
    files, of right shape; `tables` are stations, normals, zips and states. The records are
    of use if there is no problem.
    """
    problems: list[Problem] = []
    own_methods = (it for data in insects.values() for it in data.get("method", ()))
    growth = _growth(climate["growth"], own_methods)
    states = keyed(tables["states"], "state", lambda cells: cells.row["name"], problems)
    towns = _towns(tables, states, growth, problems)
    zips = keyed(
        tables["zips"], "zip3", lambda cells: _zip_area(cells, states, towns), problems
    )
    season = SeasonTables(
        growth=growth,
        insects=tuple(
            _insect(data, plant)
            for plant, them in insects.items()
            for data in them["insects"]
        ),
        tasks=tuple(
            _task(data, plant, alone=len(years) == 1)
            for plant, year in years.items()
            for data in year["tasks"]
        ),
        towns={id_: town for id_, (town, _) in towns.items()},
        normals={id_: normals for id_, (_, normals) in towns.items()},
        zips=zips,
        states=states,
        credits=_claims(climate["credits"]),
    )
    return season, tuple(problems)


def _claim(data: Data) -> Claim:
    return Claim(say=data["say"], sources=tuple(data["from"]))


def _claims(data: Sequence[Data]) -> tuple[Claim, ...]:
    return tuple(_claim(item) for item in data)


def _span(data: Sequence[int]) -> Span:
    return Span(low=data[0], likely=data[1], high=data[2])


def _day(text: str) -> int:
    """A month-day; one that doesn't exist is a check's to report, and here the month's
    last.
    """
    month, day = map(int, text.split("-"))
    return day_number(month, min(day, MONTH_LENGTHS[month - 1]))


def _growth(data: Data, own_methods: Iterable[Data]) -> Growth:
    return Growth(
        thresholds=Thresholds(lower=data["lower_c"], upper=data["upper_c"]),
        spread_tenths=tuple(data["spread_tenths_c"]),
        weather_days=data["weather_days"],
        calendar_from=data["calendar_from"],
        calendar_years=data["calendar_years"],
        method=_claims((*data["method"], *own_methods)),
        reviewed=data["reviewed"],
    )


def _insect(data: Data, plant: str) -> Insect:
    stages = (
        Stage(id=s["id"], name=s["name"], sum=_span(s["sum"])) for s in data["stages"]
    )
    sights = (
        Sight(id=s["id"], says=s["says"], stage=s["stage"], done=tuple(s["done"]))
        for s in data["sights"]
    )
    return Insect(
        id=data["id"], plant=plant, name=data["name"], short_name=data["short_name"],
        stages=tuple(stages), young=data["young"], look=data["look"], sights=tuple(sights),
        starts=tuple(_start(start) for start in data["starts"]),
        elsewhere=_claim(data["elsewhere"]),
        treatments=tuple(Treatment(**item) for item in data["treatments"]),
        basis=_claims(data["basis"]),
    )  # fmt: skip


def _start(data: Data) -> Start:
    return Start(
        kind=data["kind"],
        where=tuple(_box(box) for box in data["where"]),
        say=_claim(data["say"]),
        day=_day(data["date"]) if "date" in data else 0,
        give_days=data.get("give_days", 0),
        sum=_span(data["sum"]) if "sum" in data else None,
        after_last_freeze=data.get("after_last_freeze", 0),
        may_not_come=data.get("may_not_come", False),
    )


def _box(data: Data) -> Box:
    return Box(
        states=tuple(data["states"]),
        south_of=data.get("south_of"),
        east_of=data.get("east_of"),
    )


def _task(data: Data, plant: str, *, alone: bool) -> Task:
    name = data["name"]
    return Task(
        id=data["id"], plant=plant, name=name, anchor=data["anchor"],
        shown=name if alone else f"{plant.replace('-', ' ').capitalize()}: {name}",
        to_anchor=data.get("to_anchor", data["anchor"]),
        from_days=data["from_days"], to_days=data["to_days"],
        anchor_sum=data.get("anchor_sum", 0),
        day=_day(data["date"]) if "date" in data else 0,
        freezes=tuple(data["freezes"]),
        if_last_freeze_after=_day(data.get("if_last_freeze_after", "01-01")),
        say=_claim(data["say"]),
    )  # fmt: skip


def _towns(
    tables: Mapping[str, Document],
    states: Mapping[str, str],
    growth: Growth,
    problems: list[Problem],
) -> dict[str, tuple[Town, Normals]]:
    extremes = keyed(tables["normals"], "place", temperatures, problems)
    stations = keyed(tables["stations"], "place", lambda cells: cells, problems)
    for cells in stations.values():
        cells.known("place", extremes)
    # From a table with a fault no town is made: an impossible day has no warmth.
    if problems:
        return {}
    return {
        id_: (_town(cells, states), _normals(cells, extremes[id_], growth))
        for id_, cells in stations.items()
    }


def _normals(cells: Cells, extremes: tuple[Numbers, Numbers], growth: Growth) -> Normals:
    """The spread is the town's own: the usual one, times its percentage where known."""
    percent = cells.row["spread_percent"]
    scale = cells.number("spread_percent", 1, 400) / 100 if percent else 1.0
    lows, highs = extremes
    return Normals(
        low_f=tuple(lows),
        high_f=tuple(highs),
        spread_c=tuple(tenths / 10 * scale for tenths in growth.spread_tenths),
    )


def _town(cells: Cells, states: Mapping[str, str]) -> Town:
    return Town(
        id=cells.row["place"], name=cells.row["city"], state=cells.known("state", states),
        lat=cells.number("lat", 15, 75), lon=cells.number("lon", -180, -60),
        elevation_m=round(cells.number("elev_m", -100, 4500)),
        frost=cells.frost(),
    )  # fmt: skip


def _zip_area(
    cells: Cells, states: Mapping[str, str], towns: Mapping[str, object]
) -> ZipArea:
    digits = cells.row["zip3"]
    if not (len(digits) == 3 and digits.isdecimal()):
        cells.report("zip3", "not-a-zip", f"'{digits}' is not the start of a ZIP code")
    return ZipArea(
        digits=digits, state=cells.known("state", states),
        place=cells.known("place", towns) if towns else "",
        distance_km=round(cells.number("place_km", 0, 2000)),
        frost=cells.frost(),
        frost_elevation_m=round(cells.number("freeze_elev_m", -100, 4500)),
    )  # fmt: skip
