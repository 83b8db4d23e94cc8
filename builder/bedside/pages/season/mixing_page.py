"""Label arithmetic: a page that scales what the gardener reads off a label, and offers
nothing.

Units are exact: the US gallon is 231 cubic inches of 2.54 cm (NIST Handbook 44, Appendix
C), its parts are halves, thirds and eighths (NIST Special Publication 430, household
weights and measures). `mixing.js` does the arithmetic.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from markupsafe import Markup

from bedside.model.library import Library
from bedside.model.records import Claim
from bedside.model.season import SeasonKnowledge
from bedside.pages.frame.addresses import MIXING
from bedside.pages.frame.citing import Citation, cited
from bedside.pages.frame.compact_json import safe_json
from bedside.pages.frame.desk import Site, SitePage

GALLON_ML = Fraction(231 * 2540**3, 10**9)
FLUID_OUNCE_ML = GALLON_ML / 128
TEASPOON_ML = FLUID_OUNCE_ML / 6
UNITS: Mapping[str, Fraction] = {
    "ml": Fraction(1),
    "l": Fraction(1000),
    "tsp": TEASPOON_ML,
    "tbsp": TEASPOON_ML * 3,
    "floz": FLUID_OUNCE_ML,
    "cup": FLUID_OUNCE_ML * 8,
    "pint": FLUID_OUNCE_ML * 16,
    "quart": FLUID_OUNCE_ML * 32,
    "gal": GALLON_ML,
}
# What a label may give that is weighed and can't be turned into a volume.
WEIGHED = ("oz", "lb", "g", "kg")
WATER = ("gal", "quart", "pint", "l", "ml")
MOST_WATER_ML = 100 * GALLON_ML  # beyond this it is a farm's job
MOST_DIGITS = 9
GLYPHS = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅓": "1/3", "⅔": "2/3", "⅛": "1/8"}


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


def addresses(library: Library, _season: SeasonKnowledge | None) -> Iterator[str]:
    """The one page, if its cautions are in the knowledge."""
    if library.season("mixing"):
        yield MIXING


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
