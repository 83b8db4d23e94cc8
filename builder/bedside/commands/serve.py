"""`bedside serve`: show the site on this machine, and build again on every change."""

import argparse
import errno
import webbrowser
from pathlib import Path

from bedside.commands.terminal import CLEAN, UsageError

EXAMPLE = "example:\n  bedside serve --open"
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
    parser.add_argument("--open", action="store_true", help="open it in a browser")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Serve until the user stops it."""
    # Imported late, as in `build`.
    from bedside.publish.whole_site import serve_site

    out: Path = (args.root / DEFAULT_OUT).resolve()
    try:
        show = _open if args.open else _stay
        serve_site(args.root, out, port=args.port, say=_say, show=show)
    except OSError as error:
        if error.errno not in (errno.EADDRINUSE, errno.EACCES):
            raise
        message = f"port {args.port} is taken; name another with --port"
        raise UsageError(message) from error
    return CLEAN


def _say(text: str) -> None:
    # The address must be seen at once, also where the output is kept in a file.
    print(text, flush=True)


def _open(address: str) -> None:
    webbrowser.open(address)


def _stay(_: str) -> None:
    """Leave the browser closed."""
