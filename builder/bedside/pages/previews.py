"""The picture that goes with a shared address: one a cause, and one for all other pages.

It shows a drawing and who is speaking, and never what anybody found on a plant. 1200 by
630 is what readers of the Open Graph protocol crop least. No browser makes it.
"""

import json
from collections.abc import Iterator, Mapping
from typing import Any

import typst

from bedside.cache import digest
from bedside.pages.frame.assets import FOLDER, Asset
from bedside.pages.frame.desk import Site
from bedside.pages.frame.drawings import standalone
from bedside.pages.sheets.printing import fonts_of
from bedside.read.sheet_theme import SheetTheme

PREVIEWS = f"{FOLDER}previews/"
GENERAL = "questions"
WIDTH, HEIGHT = 1200, 630
DOTS_PER_INCH = 72.0  # one point is one pixel
_TEMPLATE = """
#let shared = json(bytes(sys.inputs.at("shared")))
#let colours = shared.colours
#set page(width: 1200pt, height: 630pt, margin: 0pt, fill: rgb(colours.paper))
#set par(leading: 14pt)
#for (at, drawn) in shared.drawn.enumerate() {
  if at > 0 { pagebreak() }
  place(left + horizon, dx: 56pt, image(bytes(drawn), format: "svg", width: 660pt))
  place(left + horizon, dx: 770pt, block(width: 380pt, {
    rect(width: 72pt, height: 8pt, fill: rgb(colours.bloom))
    v(22pt)
    text(font: "Literata", weight: 700, size: 58pt, fill: rgb(colours.ink), shared.who)
    v(30pt)
    text(font: "Atkinson Hyperlegible", size: 40pt, fill: rgb(colours.leaf), shared.what)
  }))
}
"""


def assets(site: Site) -> Iterator[Asset]:
    """A picture for each cause of each plant, and the one for every other page."""
    drawn = {GENERAL: _drawing(site, _first_drawing(site))} | {
        cause.id: _drawing(site, cause.drawing)
        for plant in site.knowledge.plants.values()
        for cause in plant.causes.values()
    }
    around = (_TEMPLATE.encode(), _shared(site, ()).encode(), site.sheets.type)
    made = site.kept.all(
        "previews",
        {name: digest((*around, svg.encode())) for name, svg in drawn.items()},
        lambda names: _made(
            names, _shared(site, tuple(drawn[it] for it in names)), site.sheets
        ),
    )
    for name, picture in made.items():
        yield Asset(address=f"{PREVIEWS}{name}.png", content=picture)


def _first_drawing(site: Site) -> str:
    plant = next(iter(site.knowledge.plants.values()))
    first = plant.signs[plant.tree.questions[plant.tree.first].sign]
    return next((it.drawing for it in first.answers if it.drawing), plant.drawing)


def _drawing(site: Site, name: str) -> str:
    return standalone(site.drawings, name, site.knowledge.nursery.light)


def _shared(site: Site, drawn: tuple[str, ...]) -> str:
    nursery = site.knowledge.nursery
    what: dict[str, Any] = {
        "colours": dict(nursery.light),
        "who": nursery.name,
        "what": site.words["preview"]["line"],
        "drawn": drawn,
    }
    return json.dumps(what, ensure_ascii=False, sort_keys=True)


def _made(names: tuple[str, ...], shared: str, theme: SheetTheme) -> Mapping[str, bytes]:
    # Typed loosely: the library gives one picture alone and several in a list.
    made: Any = typst.compile(
        _TEMPLATE.encode(),
        font_paths=fonts_of(theme),
        format="png",
        ppi=DOTS_PER_INCH,
        sys_inputs={"shared": shared},
    )
    pictures = made if isinstance(made, list) else [made]
    return dict(zip(names, pictures, strict=True))
