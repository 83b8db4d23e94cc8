"""Label arithmetic: a page that scales what the gardener reads off a label, and offers
nothing.

Units are exact: the US gallon is 231 cubic inches of 2.54 cm (NIST Handbook 44, Appendix
C), its parts are halves, thirds and eighths (NIST Special Publication 430, household
weights and measures). `mixing.js` does the arithmetic.
"""

from collections.abc import Iterator, Mapping
from fractions import Fraction

from markupsafe import Markup

from bedside.model.records import Claim
from bedside.pages.frame.addresses import MIXING
from bedside.pages.frame.assets import safe_json
from bedside.pages.frame.citing import cited
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
SAYS = {"mixing.title": (), "mixing.about": ()}


def pages(site: Site) -> Iterator[SitePage]:
    """The one page, if its cautions are in the knowledge."""
    told = site.library.season("mixing")
    if not told:
        return
    claims, basis = (
        tuple(Claim(say=it["say"], sources=tuple(it["from"])) for it in told[key])
        for key in ("claims", "units")
    )
    view = {
        "units": {id_: f"{float(ml):,.2f}" for id_, ml in UNITS.items()},
        "weighed": WEIGHED,
        "water": WATER,
        "claims": claims,
        "basis": basis,
        "data": Markup(mixing_data()),
        "sources": cited(site.knowledge.sources, claims, basis),
        "reviewed": told["reviewed"],
    }
    yield site.page(
        MIXING,
        "mixing.html.j2",
        title=site.said("mixing.title"),
        description=site.said("mixing.about"),
        view=view,
        search=True,
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
