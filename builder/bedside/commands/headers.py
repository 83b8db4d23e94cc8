"""`bedside headers`: what a web server should send with the built site."""

from pathlib import Path
from urllib.parse import urlsplit

import click

from bedside.commands.project import in_project
from bedside.commands.terminal import CLEAN, FOLDER, PROBLEMS, UsageError, print_problems
from bedside.publish.headers import RECIPES, Site, policy_of
from bedside.publish.site_files import read_site
from bedside.read.load import load

EXAMPLE = """\b
examples:
  bedside headers server > bedside.conf    a block for nginx
  bedside headers bucket                   an object store with a CDN
  bedside headers pages > site/_headers    a pages service that reads such a file"""
DEFAULT_SITE = "site"


@click.command(
    help="Print headers and cache times for one way to publish. Build first.",
    short_help="print a web server's headers and cache times for the built site",
    epilog=EXAMPLE,
)
@click.argument("way", type=click.Choice(tuple(RECIPES)))
@click.option(
    "--site",
    "folder",
    type=click.Path(path_type=Path),
    metavar="DIR",
    help="default: site/",
)
@in_project
def command(root: Path, way: str, folder: Path | None) -> int:
    """Print one recipe for the site as it was built."""
    folder = folder or root / DEFAULT_SITE
    if not (folder / "index.html").is_file():
        raise UsageError(f"there is no site in {folder}; run bedside build first")
    loaded = load(root / FOLDER)
    if loaded.library is None:
        print_problems(loaded.problems, loaded.files)
        return PROBLEMS
    base = urlsplit(loaded.library.knowledge.nursery.site).path.rstrip("/") + "/"
    site = Site(policy=policy_of(read_site(folder)), base=base)
    print(RECIPES[way](site), end="")
    return CLEAN
