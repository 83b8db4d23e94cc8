"""`bedside headers`: what a web server should send with the built site."""

import argparse
from pathlib import Path
from urllib.parse import urlsplit

from bedside.commands.terminal import (
    CLEAN,
    PROBLEMS,
    UsageError,
    knowledge_of,
    print_problems,
)
from bedside.publish.headers import RECIPES, Site, policy_of
from bedside.publish.site_files import read_site
from bedside.read.load import load

EXAMPLE = """examples:
  bedside headers server > bedside.conf    a block for nginx
  bedside headers bucket                   an object store with a CDN
  bedside headers pages > site/_headers    a pages service that reads such a file"""
DEFAULT_SITE = "site"


def register(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = commands.add_parser(
        "headers",
        help="print a web server's headers and cache times for the built site",
        description="Print headers and cache times for one way to publish. Build first.",
        epilog=EXAMPLE,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("way", choices=tuple(RECIPES))
    parser.add_argument("--site", type=Path, metavar="DIR", help="default: site/")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Print one recipe for the site as it was built."""
    folder = args.site or args.root / DEFAULT_SITE
    if not (folder / "index.html").is_file():
        raise UsageError(f"there is no site in {folder}; run bedside build first")
    loaded = load(knowledge_of(args))
    if loaded.library is None:
        print_problems(loaded.problems, loaded.files)
        return PROBLEMS
    base = urlsplit(loaded.library.knowledge.nursery.site).path.rstrip("/") + "/"
    site = Site(policy=policy_of(read_site(folder)), base=base)
    print(RECIPES[args.way](site), end="")
    return CLEAN
