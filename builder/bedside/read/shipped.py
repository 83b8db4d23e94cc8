"""What ships with the package, and its one rule: a site's own file of the same name wins.

Templates, styles, scripts, sheets and their words stand in site_src/; schemas, words that
everyone writes, zones and climate tables in knowledge/. A site that brings none of them has
all of them.
"""

from collections.abc import Iterable
from fnmatch import fnmatchcase
from pathlib import Path

PACKAGE = Path(__file__).parents[1]
# A wheel holds it inside the package; in the repository it stays where people edit it.
_INSIDE = PACKAGE / "shipped"
SHIPPED = _INSIDE if _INSIDE.is_dir() else PACKAGE.parents[1]
KNOWLEDGE = SHIPPED / "knowledge"
# What editors, office programs and systems leave beside the files one means.
STRAYS = (
    ".DS_Store", "._*", ".~lock.*", ".*.sw?", "Thumbs.db", "ehthumbs.db", "desktop.ini",
    "~$*", "*~", "*.bak", "*.tmp", "*.orig",
)  # fmt: skip


def place_of(root: Path, name: str, ships: Path = SHIPPED) -> Path:
    """Where a file is that `root` may bring, and that ships if it does not."""
    own = root / name
    return own if own.exists() else ships / name


def laid_over(root: Path, folder: str, ships: Path = SHIPPED) -> list[tuple[str, Path]]:
    """Each file of a folder that ships, by its name there; the site's own in its place."""
    own = {name: path for name, path in files_below(root / folder) if _is_meant(name)}
    return sorted((dict(files_below(ships / folder)) | own).items())


def is_stray(name: str) -> bool:
    """Tell whether a file was left by an editor, an office program or a system."""
    return any(fnmatchcase(name, pattern) for pattern in STRAYS)


def own_look(root: Path) -> tuple[str, ...]:
    """The files of a site's own look that are not as they ship."""
    own, ships = root / "site_src", dict(files_below(SHIPPED / "site_src"))
    return tuple(
        f"site_src/{name}"
        for name, path in files_below(own)
        if name not in ships or path.read_bytes() != ships[name].read_bytes()
    )


def _is_meant(name: str) -> bool:
    # Editors and systems leave files of their own, which nobody means to publish.
    return not any(it.startswith(".") or is_stray(it) for it in name.split("/"))


def stamps(folders: Iterable[Path]) -> dict[str, tuple[int, int]]:
    """When each file below the folders was last written, and its size: cheap to compare."""
    return {
        str(path): (stat.st_mtime_ns, stat.st_size)
        for folder in dict.fromkeys(folders)
        for _, path in files_below(folder)
        for stat in [path.stat()]
    }


def files_below(folder: Path) -> list[tuple[str, Path]]:
    """Each file below a folder, by its name there."""
    # Sorted, so that two machines build the same bytes.
    found = [path for path in folder.rglob("*") if path.is_file()]
    return sorted((path.relative_to(folder).as_posix(), path) for path in found)
