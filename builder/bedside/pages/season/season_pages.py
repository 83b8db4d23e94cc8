"""The season: finding a place by state, by the first digit of a ZIP code, or by three in a
script; the year of each place, and its calendar file."""

from collections.abc import Iterator
from itertools import groupby
from urllib.parse import urlsplit

from bedside.language.days import in_short
from bedside.model.season import Place, SeasonKnowledge, ZipArea
from bedside.pages.frame.addresses import (
    SEASON,
    calendar_address,
    place_address,
    relative,
    zips_address,
)
from bedside.pages.frame.assets import FOLDER, Asset, safe_json
from bedside.pages.frame.citing import cited
from bedside.pages.frame.desk import Site, SitePage, View
from bedside.pages.season.place_pages import FEET, place_keys, place_pages
from bedside.pages.season.year_calendar import year_file

ZIPS = f"{FOLDER}season-zips.json"
FAR_KM = 60
MILES = 0.621371
# The station stands so much higher or lower than the nearest record of frost that its
# warmth misleads: about 2 C at the usual 6.5 C a kilometre.
CLIMB_M = 300
SAYS = {
    "season.find": (),
    "season.find_about": ("towns",),
    "season.zips": ("digit",),
    "season.place": ("place", "state"),
}


def pages(site: Site) -> Iterator[SitePage]:
    """The page that finds a place, a page for each first digit of a ZIP, each place."""
    season = site.season
    if season is None:
        return
    yield site.page(
        SEASON,
        "season.html.j2",
        title=site.said("season.find"),
        description=site.said("season.find_about", towns=str(len(season.places))),
        view=find_view(site, season),
        search=True,
    )
    for digit, areas in by_first_digit(season).items():
        yield site.page(
            zips_address(digit),
            "season_zips.html.j2",
            title=site.said("season.zips", digit=digit),
            view={"digit": digit, "rows": [zip_row(it, season) for it in areas]},
        )
    yield from place_pages(site, season)


def assets(site: Site) -> Iterator[Asset]:
    """The ZIP table for the script, and every place's calendar file."""
    season = site.season
    if season is None:
        return
    yield zips_asset(season)
    host = urlsplit(site.knowledge.nursery.site).netloc or "example"
    words = site.words["season"]["calendar"]
    files = site.kept.all(
        "calendars",
        place_keys(site, season),
        lambda ids: {it: year_file(season.places[it], season, host, words) for it in ids},
    )
    for id_, content in files.items():
        yield Asset(address=calendar_address(id_), content=content)


def find_view(site: Site, season: SeasonKnowledge) -> View:
    """Every state's towns, and the first digits of ZIP codes."""

    def state(place: Place) -> str:
        return season.states[place.state]

    places = sorted(season.places.values(), key=lambda it: (state(it), it.name))
    basis = tuple(claim for insect in season.insects for claim in insect.basis)
    method, credits_ = season.growth.method, season.credits
    return {
        "states": {name: list(towns) for name, towns in groupby(places, key=state)},
        "digits": list(by_first_digit(season)),
        "method": method,
        "basis": basis,
        "credits": credits_,
        "sources": cited(site.knowledge.sources, method, basis, credits_),
        "reviewed": season.growth.reviewed,
    }


def by_first_digit(season: SeasonKnowledge) -> dict[str, list[ZipArea]]:
    """ZIP areas by the first of their digits."""
    areas = sorted(season.zips.values(), key=lambda it: it.digits)
    return {digit: list(it) for digit, it in groupby(areas, lambda it: it.digits[0])}


def zip_row(area: ZipArea, season: SeasonKnowledge) -> View:
    """One ZIP area: its place, how far that is, and the usual frost nearest to the area."""
    place, frost = season.places[area.place], area.frost
    climb = abs(area.frost_elevation_m - place.elevation_m)
    dated = frost.kind == "dates"
    return {
        "digits": area.digits,
        "place": f"{place.name}, {place.state}",
        "address": place_address(place.id),
        "miles": round(area.distance_km * MILES),
        "far": area.distance_km > FAR_KM,
        "climb_ft": round(climb * FEET / 100) * 100
        if climb > CLIMB_M
        else 0,  # if it matters
        "last": in_short(frost.last) if dated else "",
        "first": in_short(frost.first) if dated else "",
    }


def zips_asset(season: SeasonKnowledge) -> Asset:
    """The ZIP table for the script that stands on the season's first page."""
    rows = {area.digits: zip_row(area, season) for area in season.zips.values()}
    for row in rows.values():
        row["address"] = relative(SEASON, row["address"])
    return Asset(address=ZIPS, content=safe_json(rows).encode())
