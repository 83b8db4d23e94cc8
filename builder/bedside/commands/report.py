"""`bedside report`: how good the questions are, tried on drawn gardeners."""

import argparse
import json

from bedside.commands.terminal import CLEAN, PROBLEMS, known, patience, sound_library
from bedside.measure.quality import measure
from bedside.measure.report_text import as_json, render_text

EXAMPLE = "example:\n  bedside report --plant PLANT --json"


def register(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = commands.add_parser(
        "report",
        help="measure how good the questions are",
        description="Measure how often the questions lead to the right first step.",
        epilog=EXAMPLE,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--plant", default="", help="one plant; else each of them")
    parser.add_argument("--json", action="store_true", help="print data instead of text")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Measure, and print as text or data."""
    library = sound_library(args)
    if library is None:
        return PROBLEMS
    plants, controls = library.knowledge.plants, library.knowledge.controls
    names = [known(args.plant, plants, "plant")] if args.plant else list(plants)
    with patience("measuring"):
        found = {name: measure(plants[name], controls) for name in names}
    if args.json:
        print(json.dumps({name: as_json(it) for name, it in found.items()}, indent=2))
    else:
        print("\n".join(render_text(it) for it in found.values()), end="")
    return CLEAN
