"""Imports go one way: a module imports only from those before it in ORDER."""

import ast
from functools import cache
from pathlib import Path

import pytest

from tests.shipped import PLANT

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "builder" / "bedside"
# The rooms of the house in the order of reading. A name that ends in a dot is a folder; the
# longest name that fits a module is its room.
ORDER = (
    "problems",
    "cache",
    "model.",
    "language.",
    "reason.",
    "read.",
    "measure.",
    "checks.",
    "pages.frame.",
    "pages.season.",
    "pages.sheets.",
    "pages.letters.",
    "pages.walk.",
    "pages.",
    "checking",
    "pipeline",
    "publish.",
    "commands.",
    "cli",
    "__main__",
)
LOOSE = {"", *(it for it in ORDER if not it.endswith("."))}
MOST_FLOORS = 9
MOST_IN_A_ROOM = 21
LONGEST_CHAIN = 12  # imports from `__main__` down to a module that needs no other
# All that read, write or look at a file; nothing else does.
AT_THE_DISK = {
    "cache",  # results kept from an earlier build
    "read.knowledge_files", "read.season", "read.photos",  # what the grower wrote
    "read.theme", "read.shipped", "read.sheet_theme",  # the words and the look
    "read.saved_sheet",
    "publish.site_files", "publish.whole_site", "publish.swap",  # what is published
    "commands.links", "commands.new", "commands.new_site",  # records that a command writes
    "commands.remove",
    "commands.overrides",  # copies of what ships
    "commands.headers", "commands.project", "cli",  # whether there is a site, and a project
}  # fmt: skip
DISK = {
    "open", "read_text", "read_bytes", "write_text", "write_bytes", "iterdir", "glob",
    "rglob", "mkdir", "unlink", "rmtree", "rename", "stat", "exists", "is_file", "is_dir",
}  # fmt: skip
MODULES = tuple(sorted(PACKAGE.rglob("*.py")))


def name_of(path: Path) -> str:
    """A module's name below the package; the package itself has none."""
    parts = path.relative_to(PACKAGE).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def imported_by(path: Path) -> set[str]:
    """Name every module of the package that a file imports, also inside functions."""
    names = {name_of(it) for it in MODULES}
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module:
            found |= {node.module, *(f"{node.module}.{it.name}" for it in node.names)}
        elif isinstance(node, ast.Import):
            found |= {it.name for it in node.names}
    ours = {it.removeprefix("bedside.") for it in found if it.startswith("bedside.")}
    return ours & names


def rank_of(name: str) -> int:
    """Where the room of a module stands in ORDER."""
    below = f"{name}."
    rooms = [it for it in ORDER if below.startswith(it if it.endswith(".") else f"{it}.")]
    assert rooms, f"{name} has no place in ORDER of {Path(__file__).name}"
    return ORDER.index(max(rooms, key=len))


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_a_module_imports_only_from_those_before_it(path: Path) -> None:
    """No arrow points backward, so a newcomer can read the rooms in order."""
    if (name := name_of(path)) == "":
        assert not imported_by(path)
        return
    backward = {it for it in imported_by(path) if rank_of(it) > rank_of(name)}
    assert not backward


def test_no_ring_of_imports() -> None:
    """No group of modules needs each other, also not within one room."""
    open_ways = {name_of(path): imported_by(path) - {name_of(path)} for path in MODULES}
    while free := {name for name, needs in open_ways.items() if not needs & set(open_ways)}:
        open_ways = {name: it for name, it in open_ways.items() if name not in free}
    assert not open_ways


def test_the_house_stays_low() -> None:
    """Whoever changes the top room has few rooms to know below it."""
    floors: dict[int, int] = {}
    for rank, room in enumerate(ORDER):
        inside = [path for path in MODULES if (it := name_of(path)) and rank_of(it) == rank]
        assert inside, f"there is no {room}"
        needs = {rank_of(name) for path in inside for name in imported_by(path)} - {rank}
        floors[rank] = room.endswith(".") + max(
            (floors.get(it, 0) for it in needs), default=0
        )
    assert max(floors.values()) <= MOST_FLOORS


def test_no_tower_of_modules() -> None:
    """What a change may reach can be read: the longest chain of imports is short."""
    needs = {name_of(path): imported_by(path) - {name_of(path), ""} for path in MODULES}

    @cache
    def depth(name: str) -> int:
        return max((depth(below) + 1 for below in needs[name]), default=0)

    assert max(map(depth, needs)) <= LONGEST_CHAIN


def test_every_room_can_be_overlooked() -> None:
    """No folder is crowded, and nothing lies about beside the rooms."""
    folders = {path.parent for path in MODULES}
    assert {path.stem.replace("__init__", "") for path in PACKAGE.glob("*.py")} == LOOSE
    for folder in folders:
        assert len(list(folder.glob("*.py"))) <= MOST_IN_A_ROOM, folder.name


def test_only_the_edge_imports_the_site_generator() -> None:
    """One module knows which generator makes the site, so that moving costs one module."""
    users = {
        name_of(path)
        for path in MODULES
        if any(
            name.split(".")[0] == "mkdocs"
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
            for name in _top_names(node)
        )
    }
    assert users == {"publish.mkdocs_hook"}


def test_only_the_edges_touch_the_disk() -> None:
    """Stages between reading and writing take values and give values."""
    assert {name_of(path) for path in MODULES if _calls(path) & DISK} == AT_THE_DISK


def test_the_builder_knows_no_plant() -> None:
    """No plant and no cause that the real knowledge names stands anywhere in builder/."""
    plants = [path.parent for path in (ROOT / "knowledge").glob("*/plant.yaml")]
    causes = {it.stem for plant in plants for it in plant.glob("causes/*.yaml")}
    # A one-word id such as "scale" is a word like any other; a joined one is a name.
    names = {plant.name for plant in plants} | {it for it in causes if "-" in it}
    for path in PACKAGE.rglob("*"):
        if path.suffix in (".py", ".txt", ".yaml"):
            text = path.read_text(encoding="utf-8").lower()
            assert not {name for name in names if name in text}, path.name


def test_only_tests_of_the_knowledge_name_its_plant() -> None:
    """Another nursery replaces knowledge/ and tests/knowledge/, and nothing else."""
    tests = ROOT / "tests"
    naming = {
        path.relative_to(tests).parts[0]
        for path in tests.rglob("*.py")
        if PLANT in path.read_text(encoding="utf-8").lower()
    }
    assert naming == {"knowledge"}


def _calls(path: Path) -> set[str]:
    calls = [
        node.func
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call)
    ]
    # A browser opens an address, not a file.
    return {it.id for it in calls if isinstance(it, ast.Name)} | {
        it.attr
        for it in calls
        if isinstance(it, ast.Attribute) and ast.unparse(it.value) != "webbrowser"
    }


def _top_names(node: ast.AST) -> list[str]:
    if isinstance(node, ast.ImportFrom):
        return [node.module or ""]
    return [it.name for it in node.names] if isinstance(node, ast.Import) else []
