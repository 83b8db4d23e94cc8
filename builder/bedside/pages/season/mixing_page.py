"""Label arithmetic: a page that scales what the gardener reads off a label, and offers
nothing.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from bedside.model.records import Claim
from bedside.pages.frame.addresses import MIXING
from bedside.pages.frame.citing import Citation, cited
from bedside.pages.frame.compact_json import safe_json
from bedside.pages.frame.desk import Site, SitePage
from bedside.reason.mixing import (
    GLYPHS,
    MOST_DIGITS,
    MOST_WATER_ML,
    UNITS,
    WATER,
    WEIGHED,
)


@dataclass(frozen=True, kw_only=True, slots=True)
class UnitRow:
    id: str
    ml: str


@dataclass(frozen=True, kw_only=True, slots=True)
class MixingView:
    units: tuple[UnitRow, ...]
    liquid: tuple[str, ...]
    weighed: tuple[str, ...]
    water: tuple[str, ...]
    claims: tuple[Claim, ...]
    basis: tuple[Claim, ...]
    data: Markup
    sources: Mapping[str, Citation]
    reviewed: str


def pages(site: Site) -> Iterator[SitePage]:
    """The one page, if its cautions are in the knowledge."""
    told = site.library.season("mixing")
    if not told:
        return
    words: Any = site.templates.environment.get_template("_mixing_words.html.j2").module
    view = mixing_view(site, told)
    yield site.page(
        MIXING,
        "mixing.html.j2",
        title=words.words["title"],
        description=words.words["about"],
        view=view,
        search=True,
    )


def mixing_view(site: Site, told: Mapping[str, Any]) -> MixingView:
    """Units, cautions and the table that the script reads."""
    claims, basis = (
        tuple(Claim(say=it["say"], sources=tuple(it["from"])) for it in told[key])
        for key in ("claims", "units")
    )
    return MixingView(
        units=tuple(UnitRow(id=id_, ml=f"{float(ml):,.2f}") for id_, ml in UNITS.items()),
        liquid=tuple(UNITS),
        weighed=WEIGHED,
        water=WATER,
        claims=claims,
        basis=basis,
        data=Markup(mixing_data()),
        sources=cited(site.knowledge.sources, claims, basis),
        reviewed=told["reviewed"],
    )


def mixing_data() -> str:
    """Units as exact fractions of a millilitre, and the bounds, for the script."""
    return safe_json(
        {
            "units": {
                id_: [str(ml.numerator), str(ml.denominator)] for id_, ml in UNITS.items()
            },
            "weighed": WEIGHED,
            "most": [str(MOST_WATER_ML.numerator), str(MOST_WATER_ML.denominator)],
            "digits": MOST_DIGITS,
            "glyphs": GLYPHS,
        }
    )
