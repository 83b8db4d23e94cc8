"""`bedside new`: a record from a commented pattern, ready to be filled in."""

import re
from collections.abc import Mapping
from datetime import date
from importlib import resources
from pathlib import Path
from string import Template
from types import MappingProxyType

import click

from bedside.commands.grid_records import (
    SHEET_TROUBLES,
    drafts,
    filled_in,
    sheet_troubles,
    steps_of_grid,
    tree_of_grid,
)
from bedside.commands.new_site import SCHEMAS, write_site
from bedside.commands.overrides import write_override
from bedside.commands.project import root_of, sound_library
from bedside.commands.terminal import (
    CLEAN,
    FOLDER,
    PROBLEMS,
    UsageError,
    known,
)
from bedside.problems import counted, render
from bedside.read.grid import Grid, read_grid
from bedside.read.knowledge_files import MAX_ID, RECORD_ID, id_form
from bedside.read.saved_sheet import read_saved

EXAMPLE = """\b
examples:
  bedside new control pick-by-hand
  bedside new cause spring-moth --plant PLANT
  bedside new step water-now --plant PLANT
  bedside new source uni-2024
  bedside new photo CAUSE --plant PLANT
  bedside new handout PLANT             the sheet in the box, out of six causes
  bedside new year PLANT                what to do when, for the pages of the year
  bedside new plant lily
  bedside new plant lily --from causes.csv
  bedside new site ../my-nursery        a whole site to begin with
  bedside new override base.css         your own copy of a file that ships"""
SHARED = {"control": "controls", "topic": "topics"}
SITE, OVERRIDE = "site", "override"
# What is added at the end of a file that is there.
ADDED = {"source": "sources.yaml", "step": "first_steps.yaml", "photo": "causes/$id.yaml"}
HANDOUT, YEAR = "handout", "year"  # one for each plant, whose id is its name
OF_A_PLANT = {"cause": "causes", "sign": "signs", "cases": "cases"}
# The files of a new plant, and the pattern of each.
PLANT_FILES = {
    "plant.yaml": "plant",
    "first_steps.yaml": "first_steps",
    "tree.yaml": "tree",
    "signs/leaf.yaml": "first_sign",
    "causes/$id-unlisted.yaml": "unlisted",
}
KINDS = (*SHARED, *OF_A_PLANT, *ADDED, HANDOUT, YEAR, "plant", SITE, OVERRIDE)
# What to do with what was written; `$id` is its name.
OWN_WORDS = "put your own words where a line says what to say"
TAKE_OUT = "take out 'status: draft' once it is ready to go out"
NEXT = {
    "control": f"{OWN_WORDS}, and name it in the plan of a cause (control: $id)",
    "topic": f"{OWN_WORDS}, and name its address under read_more",
    "cause": f"{OWN_WORDS}, and say under 'evidence' how often each answer is seen; "
    f"{TAKE_OUT}",
    "sign": f"{OWN_WORDS}, and name its answers in the evidence of causes; {TAKE_OUT}",
    "cases": f"{OWN_WORDS}, and name the answers that were found, and the cause",
    "source": f"{OWN_WORDS}, and cite it where it tells something (from: [$id])",
    "step": f"{OWN_WORDS}, and name it in a cause (first_step: $id)",
    "photo": "put the picture into photos/, and take out the marks in front of the lines",
    HANDOUT: f"{OWN_WORDS}; bedside handout prints it",
    YEAR: "write your own tasks below; bedside serve --open shows them at /season/",
    "plant": "bedside serve --open shows it; put your own words into plant.yaml, then "
    "bedside new sign NAME --plant $id and bedside new cause NAME --plant $id",
}  # fmt: skip
DRAFT = re.compile(r"^# A draft:.*\n(?:# .*\n)?status: draft\n", re.MULTILINE)


@click.command(
    help="Write a new record from a commented pattern. Overwrites nothing.",
    short_help="write a new record from a commented pattern",
    epilog=EXAMPLE,
)
@click.argument("kind", type=click.Choice(KINDS))
@click.argument("name", metavar="NAME")
@click.option("--plant", default="", help="whose record it is, if there are more")
@click.option(
    "--from",
    "sheet",
    type=click.Path(path_type=Path),
    metavar="CSV",
    help="a plant's causes by answers, as an office program saves them",
)
@click.pass_context
def command(
    context: click.Context, kind: str, name: str, plant: str, sheet: Path | None
) -> int:
    """Write the record, every file of a new plant, or a whole site."""
    if sheet is not None and kind != "plant":
        raise UsageError("only a plant is made --from a spreadsheet: bedside new plant ID")
    if kind == SITE:
        return write_site(Path(name), _today())
    root = root_of(context.obj)
    if kind == OVERRIDE:
        return write_override(root, name)
    if not RECORD_ID.fullmatch(name) or len(name) > MAX_ID:
        raise UsageError(f"'{name}' is no id; an id has {id_form(name)}")
    if sheet is not None:
        return _write_sheet(root, name, sheet)
    code = _write(root, kind, name, plant)
    if code == CLEAN:
        print(f"next: {Template(NEXT[kind]).substitute(id=name)}")
    return code


def _write(root: Path, kind: str, name: str, plant: str) -> int:
    """Write one record, or the files of a plant."""
    if kind == HANDOUT:
        return _write_handout(root, name)
    if kind in ADDED:
        return _add(root, kind, name, plant)
    files, schemas = _files(kind, name, plant, root / FOLDER), schemas_of(root)
    texts = {it: filled(pattern, it, name, schemas) for it, pattern in files.items()}
    return write_new(root, texts)


def write_new(root: Path, texts: Mapping[str, str]) -> int:
    """Write files of the knowledge folder, all or none: what is there stays."""
    folder = root / FOLDER
    taken = [file for file in texts if (folder / file).exists()]
    if taken:
        print(f"{taken[0]} is there already; nothing was written")
        print("edit that file, or choose another name; 'bedside remove' takes out a plant")
        return PROBLEMS
    for file, text in texts.items():
        path = folder / file
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
        print(f"wrote {FOLDER}/{file}")
    return CLEAN


def _add(root: Path, kind: str, name: str, plant: str) -> int:
    """Add a record, or the lines of one, to the end of a file that is there."""
    owner = "" if kind == "source" and not plant else _owner(plant, root / FOLDER)
    file = "/".join(filter(None, (owner, Template(ADDED[kind]).substitute(id=name))))
    path = root / FOLDER / file
    if not path.is_file():
        raise UsageError(f"there is no {FOLDER}/{file} to add it to")
    text = path.read_text(encoding="utf-8")
    key = "(# )?photos" if kind == "photo" else re.escape(name)
    if re.search(rf"^{key}:", text, re.MULTILINE):
        print(f"{FOLDER}/{file} has '{name}' already; nothing was written")
        print("edit what stands there, or choose another name")
        return PROBLEMS
    whole = text if text.endswith("\n") else text + "\n"
    path.write_text(whole + filled(kind, file, name), encoding="utf-8")
    print(f"added to the end of {FOLDER}/{file}")
    return CLEAN


def _write_handout(root: Path, plant: str) -> int:
    """Write the sheet in the box, out of six causes that have a usual answer."""
    library = sound_library(root, drafts=True)
    if library is None:
        return PROBLEMS
    plants = library.knowledge.plants
    grown = plants[known(plant, plants, "plant")]
    troubles = sheet_troubles(grown)
    if len(troubles) < SHEET_TROUBLES:
        raise UsageError(
            f"a sheet shows {SHEET_TROUBLES} troubles, and {plant} has {len(troubles)} "
            "causes with an answer that is always or usually seen: write more causes first"
        )
    file = f"{plant}/handout.yaml"
    pictures = [it.id for it in next(iter(grown.signs.values())).answers[:2]]
    words = {
        "plural": grown.plural,
        "pictures": f"{{{pictures[0]}: one kind, {pictures[1]}: another kind}}",
        "troubles": "\n".join(troubles.values()),
        "six": ", ".join(troubles),
    }
    return write_new(root, {file: filled(HANDOUT, file, plant, schemas_of(root), words)})


def write_file(path: Path, text: str) -> int:
    """Write one file anywhere; what is there stays."""
    if path.exists():
        print(f"{path} is there already; nothing was written")
        return PROBLEMS
    path.write_text(text, encoding="utf-8", newline="")
    print(f"wrote {path}")
    return CLEAN


def _write_sheet(root: Path, plant: str, sheet: Path) -> int:
    """Write the folder of a plant out of a spreadsheet, or say what is wrong in it."""
    content = read_saved(sheet)
    if isinstance(content, str):
        raise UsageError(f"{sheet}: {content}")
    taken = {it.stem for it in (root / FOLDER).glob("*/causes/*.yaml")}
    grid, problems = read_grid(sheet.name, content, {*taken, f"{plant}-unlisted"}, plant)
    if grid is None:
        print(render(problems), end="")
        return PROBLEMS
    code = write_new(root, texts_of(plant, grid, schemas_of(root)))
    if code == CLEAN:
        print(
            f"{counted(len(grid.causes), 'cause')} and "
            f"{counted(len(grid.signs), 'question')}, a draft\n"
            "next: bedside serve --open shows it, bedside check says what it still wants; "
            f"to publish it, take 'status: draft' out of {FOLDER}/{plant}/plant.yaml"
        )
    return code


def texts_of(plant: str, grid: Grid, schemas: str = "schema") -> dict[str, str]:
    """Every file of a plant that a grid says, with its text."""
    patterns = {
        it: pattern
        for it, pattern in _files("plant", plant, "", Path()).items()
        if not it.startswith((f"{plant}/signs/", f"{plant}/tree"))
    }
    texts = {it: filled(pattern, it, plant, schemas) for it, pattern in patterns.items()}
    texts[f"{plant}/first_steps.yaml"] += steps_of_grid(grid)
    for file, draft in drafts(plant, grid).items():
        text = filled(draft.pattern, f"{plant}/{file}", draft.id, schemas)
        # The plant is the draft: one line to take out, and not one in each file.
        texts[f"{plant}/{file}"] = filled_in(DRAFT.sub("", text), draft.values)
    return {**texts, f"{plant}/tree.yaml": tree_of_grid(plant, grid, schemas)}


def schemas_of(root: Path) -> str:
    """The folder that holds the shapes of records, for editors."""
    return SCHEMAS if (root / FOLDER / SCHEMAS).is_dir() else "schema"


def filled(
    pattern: str,
    file: str,
    name: str,
    schemas: str = "schema",
    more: Mapping[str, str] = MappingProxyType({}),
) -> str:
    """Fill a pattern for a file, named by its path below the knowledge folder."""
    text = (
        resources.files(__package__).joinpath(f"patterns/{pattern}.yaml").read_text("utf-8")
    )
    return Template(text).substitute(
        id=name,
        title=name.replace("-", " ").capitalize(),
        words=name.replace("-", " "),
        plurals=plural_of(name.replace("-", " ")),
        short=name.replace("-", "")[:8],
        today=_today(),
        schemas="../" * file.count("/") + schemas,
        **more,
    )


def plural_of(word: str) -> str:
    """More than one of a plant, as its name lets us guess."""
    if re.search(r"[^aeiou]y$", word):
        return word[:-1] + "ies"
    return word + ("es" if re.search(r"(s|x|z|ch|sh)$", word) else "s")


def _today() -> str:
    return date.today().isoformat()  # noqa: DTZ011 - the day on the writer's own wall


def _files(kind: str, name: str, plant: str, root: Path) -> dict[str, str]:
    if kind == "plant":
        named = {Template(file).substitute(id=name): it for file, it in PLANT_FILES.items()}
        return {f"{name}/{file}": pattern for file, pattern in named.items()}
    if kind in SHARED:
        return {f"{SHARED[kind]}/{name}.yaml": kind}
    if kind == YEAR:
        return {f"{_owner(name, root)}/{YEAR}.yaml": kind}
    return {f"{_owner(plant, root)}/{OF_A_PLANT[kind]}/{name}.yaml": kind}


def _owner(plant: str, root: Path) -> str:
    """The plant that a record belongs to: the one that was named, or the only one."""
    plants = sorted(it.parent.name for it in root.glob("*/plant.yaml"))
    if not plants:
        raise UsageError("there is no plant yet; begin with: bedside new plant NAME")
    if not plant and len(plants) != 1:
        raise UsageError(f"say whose record it is: --plant {'|'.join(plants)}")
    return known(plant or plants[0], plants, "plant")
