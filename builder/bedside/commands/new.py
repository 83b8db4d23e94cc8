"""`bedside new`: a record from a commented pattern, ready to be filled in."""

import re
from collections.abc import Mapping
from datetime import date
from importlib import resources
from pathlib import Path
from string import Template

import click

from bedside.commands.new_site import SCHEMAS, write_site
from bedside.commands.project import root_of
from bedside.commands.terminal import CLEAN, FOLDER, PROBLEMS, UsageError, known

EXAMPLE = """\b
examples:
  bedside new control pick-by-hand
  bedside new cause spring-moth --plant PLANT
  bedside new plant lily
  bedside new site ../my-nursery        a whole site to begin with"""
SHARED = {"control": "controls", "topic": "topics"}
SITE = "site"
OF_A_PLANT = {"cause": "causes", "sign": "signs", "cases": "cases"}
# The files of a new plant, and the pattern of each.
PLANT_FILES = {
    "plant.yaml": "plant",
    "first_steps.yaml": "first_steps",
    "tree.yaml": "tree",
    "signs/leaf.yaml": "first_sign",
    "causes/$id-unlisted.yaml": "unlisted",
}
RECORD_ID = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")
MAX_ID = 40


@click.command(
    help="Write a new record from a commented pattern. Overwrites nothing.",
    short_help="write a new record from a commented pattern",
    epilog=EXAMPLE,
)
@click.argument("kind", type=click.Choice((*SHARED, *OF_A_PLANT, "plant", SITE)))
@click.argument("name", metavar="NAME")
@click.option("--plant", default="", help="whose record it is, if there are more")
@click.pass_context
def command(context: click.Context, kind: str, name: str, plant: str) -> int:
    """Write the record, every file of a new plant, or a whole site."""
    if kind == SITE:
        return write_site(Path(name), _today())
    root = root_of(context.obj)
    if not RECORD_ID.fullmatch(name) or len(name) > MAX_ID:
        raise UsageError(f"'{name}' is no id: use small letters, digits and hyphens")
    folder = root / FOLDER
    files = _files(kind, name, plant, folder)
    schemas = SCHEMAS if (folder / SCHEMAS).is_dir() else "schema"
    texts = {it: filled(pattern, it, name, schemas) for it, pattern in files.items()}
    return write_new(root, texts)


def write_new(root: Path, texts: Mapping[str, str]) -> int:
    """Write files of the knowledge folder, all or none: what is there stays."""
    folder = root / FOLDER
    taken = [file for file in texts if (folder / file).exists()]
    if taken:
        print(f"{taken[0]} is there already; nothing was written")
        return PROBLEMS
    for file, text in texts.items():
        path = folder / file
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
        print(f"wrote {FOLDER}/{file}")
    return CLEAN


def filled(pattern: str, file: str, name: str, schemas: str = "schema") -> str:
    """Fill a pattern for a file, named by its path below the knowledge folder."""
    text = (
        resources.files(__package__).joinpath(f"patterns/{pattern}.yaml").read_text("utf-8")
    )
    return Template(text).substitute(
        id=name,
        title=name.replace("-", " ").capitalize(),
        words=name.replace("-", " "),
        short=name.replace("-", "")[:8],
        today=_today(),
        schemas="../" * file.count("/") + schemas,
    )


def _today() -> str:
    return date.today().isoformat()  # noqa: DTZ011 - the day on the writer's own wall


def _files(kind: str, name: str, plant: str, root: Path) -> dict[str, str]:
    if kind == "plant":
        named = {Template(file).substitute(id=name): it for file, it in PLANT_FILES.items()}
        return {f"{name}/{file}": pattern for file, pattern in named.items()}
    if kind in SHARED:
        return {f"{SHARED[kind]}/{name}.yaml": kind}
    plants = sorted(it.parent.name for it in root.glob("*/plant.yaml"))
    if not plant and len(plants) != 1:
        raise UsageError(f"say whose record it is: --plant {'|'.join(plants) or 'PLANT'}")
    owner = known(plant or plants[0], plants, "plant")
    return {f"{owner}/{OF_A_PLANT[kind]}/{name}.yaml": kind}
