"""`bedside serve`: show the site on this machine, and build again on every change."""

import argparse
import errno
from pathlib import Path

from builder.commands.outcome import CLEAN, UsageError

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
    try:
        serve_site(args.root, out, port=args.port, say=print)
    except OSError as error:
        if error.errno not in (errno.EADDRINUSE, errno.EACCES):
            raise
        message = f"port {args.port} is taken; name another with --port"
        raise UsageError(message) from error
    return CLEAN
