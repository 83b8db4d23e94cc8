"""Read the photographs that records name: what a page may show, or what is wrong."""

import re
from collections.abc import Iterator, Mapping
from pathlib import Path

from bedside.model.library import Library
from bedside.model.records import Cause, Plant
from bedside.problems import Problem

FOLDER = "photos"
MOST_BYTES = 300_000  # a photograph weighs more than the rest of its page ten times over
NAME = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*\.(jpe?g|png|webp)")
# How a file of each kind begins; of a WebP file the size stands between the two parts.
BEGINS = {
    "jpg": re.compile(rb"\xff\xd8\xff"),
    "jpeg": re.compile(rb"\xff\xd8\xff"),
    "png": re.compile(rb"\x89PNG\r\n\x1a\n"),
    "webp": re.compile(rb"RIFF.{4}WEBP", re.DOTALL),
}

Photos = Mapping[str, bytes]


def read_photos(root: Path, library: Library) -> tuple[Photos, tuple[Problem, ...]]:
    """Read every photograph named in the knowledge at `root`, as `<plant>/<file>`.

    A file that is missing, too large or not what its name says is a problem on its line.
    """
    photos: dict[str, bytes] = {}
    problems: list[Problem] = []
    for plant, cause, number, name in _named(library):
        content = _content(root / plant.id / FOLDER / name) if NAME.fullmatch(name) else b""
        fault = _fault(name, content)
        if fault:
            path = ("photos", number, "file")
            problems.append(library.problem(cause.file, path, *fault))
        else:
            photos[f"{plant.id}/{name}"] = content
    return photos, tuple(problems)


def _named(library: Library) -> Iterator[tuple[Plant, Cause, int, str]]:
    for plant in library.knowledge.plants.values():
        for cause in plant.causes.values():
            for number, photo in enumerate(cause.photos):
                yield plant, cause, number, photo["file"]


def _content(path: Path) -> bytes:
    # One byte more than may be, so that a film put here by mistake is not read whole.
    if not path.is_file() or path.is_symlink():
        return b""
    with path.open("rb") as file:
        return file.read(MOST_BYTES + 1)


def _fault(name: str, content: bytes) -> tuple[str, str, str] | None:
    if not NAME.fullmatch(name):
        hint = "small letters, digits and hyphens, then .jpg, .png or .webp"
        return "photo-name", f"'{name}' cannot be the name of a photograph", hint
    if not content:
        return "missing-photo", f"there is no photograph '{name}'", f"put it in {FOLDER}/"
    if len(content) > MOST_BYTES:
        hint = f"save it smaller: at most {MOST_BYTES // 1000} KB"
        return "large-photo", f"'{name}' has more than {MOST_BYTES:,} bytes", hint
    kind = name.rpartition(".")[2]
    if not BEGINS[kind].match(content):
        return "spoiled-photo", f"'{name}' is not a {kind} file", "save it as what it says"
    return None
