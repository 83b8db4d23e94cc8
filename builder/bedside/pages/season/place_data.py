"""The tables that the season's scripts read: whole numbers that Python computed."""

from collections.abc import Mapping
from itertools import pairwise
from typing import Any

from markupsafe import Markup

from bedside.model.records import SPRAY_TIERS, Control
from bedside.model.season import Insect, Place, SeasonKnowledge, Span
from bedside.pages.frame.compact_json import safe_json
from bedside.reason.season.accumulation import LOOK_EVERY, tenths, to_next_hatch
from bedside.reason.season.usual_year import last_useful


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
