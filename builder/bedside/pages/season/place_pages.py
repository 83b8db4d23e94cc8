"""The year of each place: its page, month by month, and the table that its script reads."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

from markupsafe import Markup

from bedside.cache import digest
from bedside.language.days import MONTH_STARTS, in_words, month_and_day, span_in_words
from bedside.model.records import SPRAY_TIERS, Claim, Control
from bedside.model.season import DAYS, Insect, Place, SeasonKnowledge, Span
from bedside.pages.frame.addresses import (
    calendar_address,
    control_address,
    place_address,
    relative,
)
from bedside.pages.frame.assets import FOLDER, safe_json
from bedside.pages.frame.citing import cited
from bedside.pages.frame.desk import Site, SitePage, View
from bedside.pages.season.year_drawing import draw, lying, standing
from bedside.reason.usual_year import (
    ALL_SEASON,
    LOOK_EVERY,
    InsectYear,
    always,
    before_frost,
    days_of,
    in_season,
    last_useful,
    task_window,
    tenths,
    to_next_hatch,
    widened,
    years_of,
)

MIDDLE = 14  # of a month, counted from its first day


@dataclass(frozen=True, kw_only=True, slots=True)
class MonthLine:
    """One thing in a month. `kind` picks the words: frost, task, hatch, all ages, last."""

    kind: str
    day: int
    when: str
    plant: str = ""
    subject: str = ""
    say: Claim | None = None


Months = dict[str, dict[str, list[MonthLine]]]  # of each month those of each plant


def months_of(
    place: Place,
    season: SeasonKnowledge,
    years: Sequence[InsectYear],
    names: Mapping[str, str],
) -> Months:
    """The year month by month; months without anything are left out.

    `names` has the plants that are told apart; what is of none of them stands first.
    """
    lines = sorted(
        (
            *_frost_lines(place),
            *_task_lines(place, season),
            *(line for year in years for line in _insect_lines(year)),
        ),
        key=lambda line: line.day % DAYS,
    )
    order = ("", *names.values())
    months: Months = {}
    for line in sorted(lines, key=lambda it: month_and_day(it.day)[0]):
        month = months.setdefault(in_words(line.day).split()[0], {})
        month.setdefault(names.get(line.plant, ""), []).append(line)
    return {
        month: {it: plants[it] for it in order if it in plants}
        for month, plants in months.items()
    }


def _frost_lines(place: Place) -> Iterator[MonthLine]:
    frost = place.frost
    if frost.kind == "dates":
        for kind, day in (("frost-ends", frost.last), ("frost-begins", frost.first)):
            yield MonthLine(kind=kind, day=day, when=in_words(day))


def _task_lines(place: Place, season: SeasonKnowledge) -> Iterator[MonthLine]:
    for task in season.tasks:
        window = task_window(task, place)
        if window:
            day, when = _month_of(*window), span_in_words(*window)
            yield MonthLine(
                kind="task", day=day, when=when, plant=task.plant,
                subject=task.name, say=task.say,
            )  # fmt: skip


def _month_of(first: int, last: int) -> int:
    """A day in the month that a task belongs to: its middle, or its start if it is long."""
    return first if last - first > ALL_SEASON else (first + last) // 2


def _insect_lines(year: InsectYear) -> Iterator[MonthLine]:
    def line(kind: str, day: int, when: str) -> MonthLine:
        of = year.insect
        return MonthLine(kind=kind, day=day, when=when, plant=of.plant, subject=of.name)

    for it in year.apart:
        yield line("hatch", it.hatch.low, span_in_words(it.hatch.low, it.hatch.high))
    ages, last = year.all_ages_from, year.last_useful
    if ages is not None:
        yield line("all-ages", ages, in_words(ages))
    if year.generations and last is not None:
        yield line("last", last, in_words(last))


def waits_of(place: Place, insect: Insect, weather_days: int) -> dict[str, list[str]]:
    """For the middle of each month with leaves outdoors: how many days to wait from each
    sight to the next hatch; empty where frost or cold comes first."""
    goals = [to_next_hatch(insect, it) for it in insect.sights]
    return {
        in_words(day): [_wait(place, goal, day, weather_days) for goal in goals]
        for day in (start + MIDDLE for start in MONTH_STARTS)
        if in_season(place.frost, day)
    }


def _wait(place: Place, goal: Span, day: int, weather_days: int) -> str:
    bare = days_of(place.warmth, always(day), goal)
    if bare is None or not before_frost(place.frost, day, bare.likely):
        return ""
    hatch = widened(bare, weather_days, day)
    return f"{hatch.low - day} to {hatch.high - day}"


FEET = 3.28084
LOADED = (".js", ".svg")  # what the page of a place may name


def place_pages(site: Site, season: SeasonKnowledge) -> Iterator[SitePage]:
    """Every place, kept from an earlier build if nothing it is made from has changed."""
    titles = {
        id_: site.said("season.place", place=place.name, state=place.state)
        for id_, place in season.places.items()
    }
    htmls = site.kept.all(
        "places",
        place_keys(site, season),
        lambda ids: {id_: _html(site, season, id_, titles[id_]) for id_ in ids},
    )
    for id_, html in htmls.items():
        yield SitePage(
            address=place_address(id_),
            title=titles[id_],
            description=titles[id_],
            html=html.decode(),
            shell="lean",
            search=False,
        )


def place_keys(site: Site, season: SeasonKnowledge) -> dict[str, str]:
    """For each place one name for everything that goes into its page."""
    look = site.templates
    # A place loads scripts and the icon, and nothing that an edit of a plant makes anew.
    stamps = {
        name: stamp
        for name, stamp in look.stamps.items()
        if name.startswith(FOLDER) and name.endswith(LOADED)
    }
    parts = (
        repr(replace(season, places={}, zips={})),
        repr(sorted(look.environment.loader.mapping.items())),  # type: ignore[union-attr]
        repr((look.styles, look.palette, sorted(stamps.items()), look.nursery)),
        repr(site.words),
        repr(sorted(site.knowledge.controls.items())),
        repr(sorted(site.knowledge.sources.items())),
        repr((sorted(_causes(site)), _names(site))),
    )
    around = digest(part.encode() for part in parts).encode()
    return {
        id_: digest((around, repr(place).encode())) for id_, place in season.places.items()
    }


def _html(site: Site, season: SeasonKnowledge, id_: str, title: str) -> bytes:
    view = place_view(site, season, season.places[id_])
    made = site.page(place_address(id_), "season_place.html.j2", title=title, view=view)
    return made.html.encode()


def _causes(site: Site) -> frozenset[str]:
    return frozenset(
        id_ for plant in site.knowledge.plants.values() for id_ in plant.causes
    )


def _names(site: Site) -> dict[str, str]:
    plants = site.knowledge.plants
    return {it: name for it in plants if (name := site.plant_named(it))}


def place_view(site: Site, season: SeasonKnowledge, place: Place) -> View:
    """Everything that one place's page shows."""
    years, controls = years_of(place, season), site.knowledge.controls
    windows = ((task, task_window(task, place)) for task in season.tasks)
    dated = [(task, *window) for task, window in windows if window]
    # A strip has no room for the plant, and what all want at one time is drawn once.
    tasks = [*dict.fromkeys((task.name, first, last) for task, first, last in dated)]
    wide, tall = lying(len(years), len(tasks)), standing(len(years))
    here = place_address(place.id)
    links = {id_: relative(here, control_address(id_)) for id_ in controls}
    method, credit = season.growth.method, season.credits[:1]
    said = (
        *map(told_of, years),
        *(task.say for task, *_ in sorted(dated, key=lambda it: it[1] % DAYS)),
    )
    return {
        "place": place,
        "elevation_ft": round(place.elevation_m * FEET),
        "last_frost": in_words(place.frost.last),
        "first_frost": in_words(place.frost.first),
        "after_new_year": place.frost.first >= DAYS,
        "insects": [(year, told_of(year)) for year in years],
        "causes": _causes(site),
        "months": months_of(place, season, years, _names(site)),
        "drawings": [draw(place, years, tasks, layout) for layout in (wide, tall)],
        "waits": [
            (insect, waits_of(place, insect, season.growth.weather_days))
            for insect in season.insects
        ],
        "method": method,
        "credit": credit[0],
        "calendar": calendar_address(place.id),
        "data": place_data(place, season, controls, links),
        "sources": cited(site.knowledge.sources, said, method, credit),
        "reviewed": season.growth.reviewed,
    }


def told_of(year: InsectYear) -> Claim:
    """What is said of an insect at a place: how its year begins, if that is known."""
    return year.start.say if year.start else year.insect.elsewhere


def place_data(
    place: Place,
    season: SeasonKnowledge,
    controls: Mapping[str, Control],
    links: Mapping[str, str],
) -> Markup:
    """One place as JSON: warmth day by day in tenths, frost, and what each sight leads to.

    `links` gives each control's relative address. Text that could close a script element is
    written so that it can't.
    """
    data = {
        "place": place.id,
        "name": f"{place.name}, {place.state}",
        "days": [after - before for before, after in pairwise(place.warmth.sums)],
        "frost": {
            "kind": place.frost.kind, "last": place.frost.last, "first": place.frost.first,
        },
        "weather": season.growth.weather_days,
        "every": LOOK_EVERY,
        "insects": [
            _insect_data(place, insect, controls, links) for insect in season.insects
        ],
    }  # fmt: skip
    return Markup(safe_json(data))


def _insect_data(
    place: Place, insect: Insect, controls: Mapping[str, Control], links: Mapping[str, str]
) -> dict[str, Any]:
    return {
        "id": insect.id,
        "name": insect.name,
        "look": insect.look,
        "young": insect.young * 10,
        "generation": _numbers(tenths(insect.generation)),
        "last": last_useful(place, insect),
        "sights": [
            {"id": it.id, "says": it.says, "sum": _numbers(to_next_hatch(insect, it))}
            for it in insect.sights
        ],
        "treatments": [
            {
                "id": it.control,
                "name": controls[it.control].name,
                "window": it.window,
                "label": controls[it.control].tier in SPRAY_TIERS,
                "href": links[it.control],
            }
            for it in insect.treatments
            if it.control in controls
        ],
    }


def _numbers(span: Span) -> list[int]:
    return [span.low, span.likely, span.high]
