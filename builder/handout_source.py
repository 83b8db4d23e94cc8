"""Read and write at the edge of the sheets: template, words and fonts; orders; PDFs."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from builder.kept import digest
from builder.site_source import stamps

# The look of the sheets belongs to the project, as the schemas do.
OWN_LOOK = Path(__file__).parents[1] / "site_src" / "handout"
MOST_BYTES = 5_000_000


@dataclass(frozen=True, kw_only=True, slots=True)
class SheetLook:
    """The templates, the words around the facts, where the fonts are."""

    template: str
    stack: str
    key: str
    words: Mapping[str, Any]
    fonts: str
    type: bytes  # what the fonts hold, in one digest


def read_sheet_look() -> SheetLook:
    """Read site_src/handout once, and again when something in it was written."""
    return _look(tuple(sorted(stamps((OWN_LOOK,)).items())))


@lru_cache(maxsize=1)
def _look(_: tuple[tuple[str, tuple[int, int]], ...]) -> SheetLook:
    fonts = OWN_LOOK / "fonts"
    return SheetLook(
        template=(OWN_LOOK / "sheet.typ").read_text(encoding="utf-8"),
        stack=(OWN_LOOK / "stack.typ").read_text(encoding="utf-8"),
        key=(OWN_LOOK / "key.typ").read_text(encoding="utf-8"),
        words=json.loads((OWN_LOOK / "words.json").read_text(encoding="utf-8")),
        fonts=str(fonts),
        type=digest(file.read_bytes() for file in sorted(fonts.iterdir())).encode(),
    )


def read_orders(path: Path) -> bytes | str:
    """The bytes of a file of orders, or what is wrong in words."""
    try:
        if path.stat().st_size > MOST_BYTES:
            return f"more than {MOST_BYTES // 1_000_000} MB: is this the right file?"
        return path.read_bytes()
    except FileNotFoundError:
        return "there is no such file"
    except IsADirectoryError:
        return "this is a folder, and a file is needed"


def write_sheet(path: Path, content: bytes) -> None:
    """Write beside and swap, so that a stopped run leaves no half file."""
    path.parent.mkdir(parents=True, exist_ok=True)
    beside = path.with_name(f".{path.name}.part")
    beside.write_bytes(content)
    beside.replace(path)
