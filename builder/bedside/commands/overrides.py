"""A site's own copies of files that ship: `bedside new override` makes one, and `check`
names it when a later release changes the one that ships.
"""

import json
from collections.abc import Iterator, Mapping
from contextlib import suppress
from fnmatch import fnmatch
from pathlib import Path

from bedside.cache import digest
from bedside.commands.terminal import CLEAN, UsageError
from bedside.problems import WARNING, Location, Problem, did_you_mean, problem_at
from bedside.read.shipped import SHIPPED, files_below

# Of what ships, all that a site may bring itself; a record of its own is no such file.
MAY_BE_OWN = (
    "mkdocs.yml", "site_src/*", "knowledge/zones.yaml", "knowledge/words/*",
    "knowledge/schema/*", "knowledge/season/*.csv",
)  # fmt: skip
# Beside the folders of a site: the version of the shipped file that each copy is made from.
NOTES = "overrides.json"


def write_override(root: Path, word: str) -> int:
    """Give a site its own copy of a shipped file, and note of which version.

    A copy that is there stays as it is: then its grower has seen what ships now.
    """
    name = _shipped(word)
    if _is_where_it_ships(root):
        raise UsageError(f"{name} is the file that ships: change it where it stands")
    path, there = root / name, (root / name).is_file()
    if not there:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes((SHIPPED / name).read_bytes())
    notes = {**_noted(root), name: _version(SHIPPED / name)}
    text = json.dumps(dict(sorted(notes.items())), indent=2) + "\n"
    (root / NOTES).write_text(text, encoding="utf-8")
    print(f"kept your {name}, noted what ships now" if there else f"wrote {name}")
    return CLEAN


def changed_since(root: Path) -> Iterator[Problem]:
    """Name each own file of a site whose shipped one has changed since it was made."""
    if _is_where_it_ships(root):
        return
    notes = _noted(root)
    for name in _may_be_own():
        ships = _version(SHIPPED / name)
        if _version(root / name) in (None, ships) or notes.get(name) == ships:
            continue
        look = f"look at {SHIPPED / name}, then: bedside new override {name}"
        if name in notes:
            yield _of_own(name, "changed-since", "the file that ships has changed", look)
        elif name.startswith("site_src/"):
            told = "nobody noted which version of the shipped file this was made from"
            yield _of_own(name, "unnoted-override", told, look)


def _is_where_it_ships(root: Path) -> bool:
    return root.resolve() == SHIPPED.resolve()


def _may_be_own() -> tuple[str, ...]:
    """Every shipped file that a site may bring itself, by its name below the root."""
    names = ["mkdocs.yml"]
    for top in ("site_src", "knowledge"):
        names += [f"{top}/{name}" for name, _ in files_below(SHIPPED / top)]
    return tuple(it for it in names if any(fnmatch(it, like) for like in MAY_BE_OWN))


def _shipped(word: str) -> str:
    """The shipped file that is meant by its whole name or by the end of it."""
    names = _may_be_own()
    meant = [it for it in names if it.endswith(f"/{word}")]
    if word in names or len(meant) == 1:
        return word if word in names else meant[0]
    ends = (it.rpartition("/")[2] for it in names)
    hint = " or ".join(meant) or did_you_mean(word, [*names, *ends])
    raise UsageError(f"no one shipped file is called '{word}'; {hint or 'see the README'}")


def _version(path: Path) -> str | None:
    return digest((path.read_bytes(),)) if path.is_file() else None


def _noted(root: Path) -> Mapping[str, str | None]:
    with suppress(OSError, ValueError):
        notes = json.loads((root / NOTES).read_bytes())
        return notes if isinstance(notes, dict) else {}
    return {}


def _of_own(name: str, code: str, message: str, hint: str) -> Problem:
    # A problem names its file from the knowledge folder.
    place = Location(file=f"../{name}")
    return problem_at(place, code, message, hint, level=WARNING)
