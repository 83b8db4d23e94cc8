"""`bedside serve`: show the site on this machine, and build again on every change."""

import argparse
from pathlib import Path

from builder.commands.outcome import CLEAN

EXAMPLE = "example:\n  bedside serve --port 8000"
DEFAULT_PORT = 8000
DEFAULT_OUT = ".site"


def register(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = commands.add_parser(
        "serve",
        help="show the site here and rebuild on every change",
        description="Show the site on this machine, and build it again on every change.",
        epilog=EXAMPLE,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--port", type=int, default=DEFAULT_PORT, help="default: 8000")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Serve until the user stops it."""
    # Imported late, as in `build`.
    from builder.site import serve_site

    out: Path = (args.root / DEFAULT_OUT).resolve()
    serve_site(args.root, out, port=args.port, say=print)
    return CLEAN
