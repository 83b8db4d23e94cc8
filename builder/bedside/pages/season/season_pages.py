"""The season: finding a place, the year of each place, its calendar file."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any
from urllib.parse import urlsplit

from bedside.cache import digest
from bedside.model.season import Place, SeasonKnowledge
from bedside.pages.frame.addresses import (
    SEASON,
    calendar_address,
    cause_address,
    control_address,
    place_address,
    relative,
    zips_address,
)
from bedside.pages.frame.assets import FOLDER, Asset
from bedside.pages.frame.citing import cited
from bedside.pages.frame.desk import Site, SitePage
from bedside.pages.season.find_place import (
    ZipsView,
    by_first_digit,
    find_view,
    zip_row,
    zips_asset,
)
from bedside.pages.season.months import months_of, wait_table
from bedside.pages.season.place_data import place_data
from bedside.pages.season.place_views import (
    FEET,
    PlaceView,
    drawings_of,
    frost_view,
    insect_view,
    task_views,
)
from bedside.pages.season.year_calendar import year_file
from bedside.reason.season.usual_year import years_of

LOADED = (".js", ".svg")  # what the page of a place may name


def pages(site: Site) -> Iterator[SitePage]:
    """The page that finds a place, a page for each first digit of a ZIP, each place."""
    season = site.season
    if season is None:
        return
    words = _words(site)
    yield site.page(
        SEASON,
        "season.html.j2",
        title=words["find"],
        description=words["find_about"],
        view=find_view(site, season),
        search=True,
    )
    for digit, areas in by_first_digit(season):
        yield site.page(
            zips_address(digit),
            "season_zips.html.j2",
            title=words["zips"].format(digit=digit),
            view=ZipsView(digit=digit, rows=tuple(zip_row(it, season) for it in areas)),
        )
    yield from _place_pages(site, season, words)


def assets(site: Site) -> Iterator[Asset]:
    """The ZIP table for the script, and every place's calendar file."""
    season = site.season
    if season is None:
        return
    yield zips_asset(season)
    words = _words(site)
    files = site.kept.all(
        "calendars",
        _keys(site, season),
        lambda ids: {
            id_: year_file(season.places[id_], season, _host(site), words["calendar"])
            for id_ in ids
        },
    )
    for id_, content in files.items():
        yield Asset(address=calendar_address(id_), content=content)


def _place_pages(
    site: Site, season: SeasonKnowledge, words: Mapping[str, Any]
) -> Iterator[SitePage]:
    """Every place, kept from an earlier build if nothing it is made from has changed."""
    titles = {
        id_: words["place"].format(place=place.name, state=place.state)
        for id_, place in season.places.items()
    }
    htmls = site.kept.all(
        "places",
        _keys(site, season),
        lambda ids: {id_: _place_page(site, season, id_, titles[id_]) for id_ in ids},
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


def _place_page(site: Site, season: SeasonKnowledge, id_: str, title: str) -> bytes:
    view = place_view(site, season, season.places[id_])
    return site.page(
        place_address(id_), "season_place.html.j2", title=title, view=view
    ).html.encode()


def _keys(site: Site, season: SeasonKnowledge) -> dict[str, str]:
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
        repr(sorted(_causes(site))),
    )
    around = digest(part.encode() for part in parts).encode()
    return {
        id_: digest((around, repr(place).encode())) for id_, place in season.places.items()
    }


def _words(site: Site) -> Mapping[str, Any]:
    module: Any = site.templates.environment.get_template("_season_words.html.j2").module
    words: Mapping[str, Any] = module.words
    return words


def _host(site: Site) -> str:
    return urlsplit(site.knowledge.nursery.site).netloc or "example"


def _causes(site: Site) -> frozenset[str]:
    return frozenset(
        id_ for plant in site.knowledge.plants.values() for id_ in plant.causes
    )


def place_view(site: Site, season: SeasonKnowledge, place: Place) -> PlaceView:
    """Everything that one place's page shows."""
    known, here = _causes(site), place_address(place.id)
    years = years_of(place, season)
    insects = tuple(
        insect_view(it, cause_address(it.insect.id) if it.insect.id in known else "")
        for it in years
    )
    tasks = task_views(place, season)
    controls = site.knowledge.controls
    return PlaceView(
        id=place.id,
        name=place.name,
        state=place.state,
        state_name=season.states[place.state],
        elevation_ft=round(place.elevation_m * FEET),
        frost=frost_view(place),
        insects=insects,
        tasks=tasks,
        months=months_of(place, season, years),
        drawings=drawings_of(place, season, years),
        waits=tuple(
            wait_table(place, insect, season.growth.weather_days)
            for insect in season.insects
        ),
        method=season.growth.method,
        credits=season.credits[:1],
        calendar=calendar_address(place.id),
        data=place_data(
            place,
            season,
            controls,
            {id_: relative(here, control_address(id_)) for id_ in controls},
        ),
        sources=cited(
            site.knowledge.sources,
            insects,
            tasks,
            season.growth.method,
            season.credits[:1],
        ),
        reviewed=season.growth.reviewed,
    )
