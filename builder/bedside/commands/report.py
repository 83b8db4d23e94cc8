"""`bedside report`: how good the questions are, tried on drawn gardeners."""

import json
from pathlib import Path

import click

from bedside.commands.project import in_project, sound_library
from bedside.commands.terminal import CLEAN, PROBLEMS, known, patience
from bedside.measure.quality import measure
from bedside.measure.report_text import as_json, render_text

EXAMPLE = "\b\nexample:\n  bedside report --plant PLANT --json"


@click.command(
    help="Measure how often the questions lead to the right first step.",
    short_help="measure how good the questions are",
    epilog=EXAMPLE,
)
@click.option("--plant", default="", help="one plant; else each of them")
@click.option("--json", "as_data", is_flag=True, help="print data instead of text")
@in_project
def command(root: Path, plant: str, *, as_data: bool) -> int:
    """Measure, and print as text or data."""
    library = sound_library(root)
    if library is None:
        return PROBLEMS
    plants, controls = library.knowledge.plants, library.knowledge.controls
    names = [known(plant, plants, "plant")] if plant else list(plants)
    with patience("measuring"):
        found = {name: measure(plants[name], controls) for name in names}
    if as_data:
        print(json.dumps({name: as_json(it) for name, it in found.items()}, indent=2))
    else:
        print("\n".join(render_text(it) for it in found.values()), end="")
    return CLEAN
