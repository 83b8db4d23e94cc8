"""Imports go one way: a module imports only from those before it in ORDER."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
# A name ending in a dot stands for a package; modules of one entry may import each other,
# as long as that makes no ring.
ORDER = (
    ("problems", "kept"),
    ("documents",),
    ("plain_text",),
    ("plain_yaml", "plain_csv"),
    ("layout",),
    ("source", "site_source"),
    ("shape_words",),
    ("schema",),
    ("model", "season_model"),
    ("outline",),
    ("assemble",),
    ("handout_model", "promised"),
    ("contrast", "drawing"),
    ("reason.",),
    ("season_tables", "season_assemble", "season_source", "handout_source", "photo_source"),
    ("wording", "letter_words"),
    ("checks.",),
    ("compile.",),
    ("addresses",),
    ("pipeline",),
    ("links", "reload", "swap"),
    ("mkdocs_hook",),
    ("site",),
    ("commands.",),
    ("cli",),
    ("__main__",),
)
MODULES = tuple(sorted((ROOT / "builder").rglob("*.py")))
DISK = ("open", "read_text", "read_bytes", "write_text", "write_bytes", "iterdir", "glob")


def name_of(path: Path) -> str:
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def imported_by(path: Path) -> set[str]:
    """Name every module of builder that a file imports, also inside functions."""
    names = {name_of(it) for it in MODULES}
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module:
            found |= {node.module, *(f"{node.module}.{it.name}" for it in node.names)}
        elif isinstance(node, ast.Import):
            found |= {it.name for it in node.names}
    return {name for name in found & names if name != "builder"}


def rank_of(name: str) -> int:
    below = name.removeprefix("builder.") + "."
    for at, entry in enumerate(ORDER):
        if any(below.startswith(it if it.endswith(".") else f"{it}.") for it in entry):
            return at
    raise AssertionError(f"{name} has no place in ORDER of {Path(__file__).name}")


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_a_module_imports_only_from_those_before_it(path: Path) -> None:
    """No arrow points backward, so a newcomer can read the modules in order."""
    if (name := name_of(path)) == "builder":
        assert not imported_by(path)
        return
    backward = {it for it in imported_by(path) if rank_of(it) > rank_of(name)}
    assert not backward


def test_no_ring_of_imports() -> None:
    """No group of modules needs each other, also not within one package."""
    open_ways = {name_of(path): imported_by(path) - {name_of(path)} for path in MODULES}
    while free := {name for name, needs in open_ways.items() if not needs & set(open_ways)}:
        open_ways = {name: it for name, it in open_ways.items() if name not in free}
    assert not open_ways


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
    assert users <= {"builder.mkdocs_hook"}


def test_the_builder_knows_no_plant() -> None:
    """No plant and no cause that the real knowledge names stands anywhere in builder/."""
    plants = [path.parent for path in (ROOT / "knowledge").glob("*/plant.yaml")]
    causes = {it.stem for plant in plants for it in plant.glob("causes/*.yaml")}
    # A one-word id such as "scale" is a word like any other; a joined one is a name.
    names = {plant.name for plant in plants} | {it for it in causes if "-" in it}
    for path in (ROOT / "builder").rglob("*"):
        if path.suffix in (".py", ".txt", ".yaml"):
            text = path.read_text(encoding="utf-8").lower()
            assert not {name for name in names if name in text}, path.name


def test_the_reasoning_touches_no_file() -> None:
    """Stages between reading and writing take values and give values."""
    pure = ("reason", "checks", "schema", "shape_words", "outline", "assemble", "model")
    for path in MODULES:
        if name_of(path).split(".")[1:2] and name_of(path).split(".")[1] in pure:
            calls = {
                node.func.attr if isinstance(node.func, ast.Attribute) else node.func.id
                for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
                if isinstance(node, ast.Call)
                and isinstance(node.func, (ast.Attribute, ast.Name))
            }
            assert not calls & {*DISK, "print"}, path.name


def _top_names(node: ast.AST) -> list[str]:
    if isinstance(node, ast.ImportFrom):
        return [node.module or ""]
    return [it.name for it in node.names] if isinstance(node, ast.Import) else []
