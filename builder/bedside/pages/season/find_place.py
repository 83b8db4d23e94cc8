"""Finding a place: by state, by the first digit of a ZIP code, by three in a script."""

from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass
from itertools import groupby

from bedside.model.records import Claim
from bedside.model.season import SeasonKnowledge, ZipArea
from bedside.pages.frame.addresses import SEASON, place_address, relative, zips_address
from bedside.pages.frame.assets import FOLDER, Asset
from bedside.pages.frame.citing import Citation, cited
from bedside.pages.frame.compact_json import safe_json
from bedside.pages.frame.dates import in_short
from bedside.pages.frame.desk import Site
from bedside.pages.season.place_views import FEET

ZIPS = f"{FOLDER}season-zips.json"
FAR_KM = 60
MILES = 0.621371
# The station stands so much higher or lower than the nearest record of frost that its
# warmth misleads: about 2 C at the usual 6.5 C a kilometre.
CLIMB_M = 300


@dataclass(frozen=True, kw_only=True, slots=True)
class PlaceLink:
    name: str
    address: str


@dataclass(frozen=True, kw_only=True, slots=True)
class StateList:
    name: str
    places: tuple[PlaceLink, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class FindView:
    states: tuple[StateList, ...]
    digits: tuple[PlaceLink, ...]
    method: tuple[Claim, ...]
    basis: tuple[Claim, ...]
    credits: tuple[Claim, ...]
    sources: Mapping[str, Citation]
    reviewed: str


@dataclass(frozen=True, kw_only=True, slots=True)
class ZipRow:
    digits: str
    place: str
    address: str
    miles: int
    far: bool
    climb_ft: int  # 0 unless it matters
    last: str
    first: str


@dataclass(frozen=True, kw_only=True, slots=True)
class ZipsView:
    digit: str
    rows: tuple[ZipRow, ...]


def find_view(site: Site, season: SeasonKnowledge) -> FindView:
    """Every state's towns, and the first digits of ZIP codes."""
    basis = tuple(claim for insect in season.insects for claim in insect.basis)
    by_state = groupby(
        sorted(season.places.values(), key=lambda it: (season.states[it.state], it.name)),
        key=lambda it: season.states[it.state],
    )
    return FindView(
        states=tuple(
            StateList(
                name=name,
                places=tuple(
                    PlaceLink(name=it.name, address=place_address(it.id)) for it in places
                ),
            )
            for name, places in by_state
        ),
        digits=tuple(
            PlaceLink(name=digit, address=zips_address(digit))
            for digit, _ in by_first_digit(season)
        ),
        method=season.growth.method,
        basis=basis,
        credits=season.credits,
        sources=cited(site.knowledge.sources, season.growth.method, basis, season.credits),
        reviewed=season.growth.reviewed,
    )


def by_first_digit(season: SeasonKnowledge) -> Iterator[tuple[str, tuple[ZipArea, ...]]]:
    """ZIP areas by the first of their digits."""
    areas = sorted(season.zips.values(), key=lambda it: it.digits)
    for digit, group in groupby(areas, key=lambda it: it.digits[0]):
        yield digit, tuple(group)


def zip_row(area: ZipArea, season: SeasonKnowledge) -> ZipRow:
    """One ZIP area: its place, how far that is, and the usual frost nearest to the area."""
    place, frost = season.places[area.place], area.frost
    climb = abs(area.frost_elevation_m - place.elevation_m)
    return ZipRow(
        digits=area.digits,
        place=f"{place.name}, {place.state}",
        address=place_address(place.id),
        miles=round(area.distance_km * MILES),
        far=area.distance_km > FAR_KM,
        climb_ft=round(climb * FEET / 100) * 100 if climb > CLIMB_M else 0,
        last=in_short(frost.last) if frost.kind == "dates" else "",
        first=in_short(frost.first) if frost.kind == "dates" else "",
    )


def zips_asset(season: SeasonKnowledge) -> Asset:
    """The ZIP table for the script that stands on the season's first page."""
    rows = {area.digits: asdict(zip_row(area, season)) for area in season.zips.values()}
    for row in rows.values():
        row["address"] = relative(SEASON, row["address"])
    return Asset(address=ZIPS, content=safe_json(rows).encode())
