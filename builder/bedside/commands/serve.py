"""`bedside serve`: show the site on this machine, and build again on every change."""

import errno
import webbrowser
from pathlib import Path

import click

from bedside.commands.project import in_project
from bedside.commands.terminal import CLEAN, UsageError

EXAMPLE = "\b\nexample:\n  bedside serve --open"
DEFAULT_PORT = 8000
PORT = click.IntRange(0, 65535)  # 0 is any that is free
DEFAULT_OUT = ".site"


@click.command(
    help="Show the site on this machine, and build it again on every change.",
    short_help="show the site here and rebuild on every change",
    epilog=EXAMPLE,
)
@click.option("--port", type=PORT, default=DEFAULT_PORT, help=f"default: {DEFAULT_PORT}")
@click.option("--open", "opens", is_flag=True, help="open it in a browser")
@in_project
def command(root: Path, port: int, *, opens: bool) -> int:
    """Serve until the user stops it."""
    # Imported late, as in `build`.
    from bedside.publish.whole_site import serve_site

    # Two that serve one project have two ports, and each a folder of its own.
    name = DEFAULT_OUT if port == DEFAULT_PORT else f"{DEFAULT_OUT}-{port}"
    out = (root / name).resolve()
    try:
        serve_site(root, out, port=port, say=_say, show=_open if opens else _stay)
    except OSError as error:
        if error.errno not in (errno.EADDRINUSE, errno.EACCES):
            raise
        message = f"port {port} is taken; name another with --port"
        raise UsageError(message) from error
    return CLEAN


def _say(text: str) -> None:
    # The address must be seen at once, also where the output is kept in a file.
    print(text, flush=True)


def _open(address: str) -> None:
    webbrowser.open(address)


def _stay(_: str) -> None:
    """Leave the browser closed."""
