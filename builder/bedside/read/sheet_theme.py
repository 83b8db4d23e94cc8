"""Read the look of the sheets: templates, the words around the facts, fonts."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from bedside.cache import digest
from bedside.read.theme_files import stamps

LOOK = Path("site_src") / "handout"
# The look of the sheets where a project brings none of its own, as with the schemas.
OWN_PROJECT = Path(__file__).parents[3]


# Compared as an object: as long as nothing was written, the same one is handed out.
@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class SheetTheme:
    """The templates, the words around the facts, where the fonts are."""

    template: str
    stack: str
    key: str
    words: Mapping[str, Any]
    fonts: str
    type: bytes  # what the fonts hold, in one digest


def read_sheet_theme(root: Path) -> SheetTheme:
    """Read the look of the sheets once, and again when something in it was written."""
    look = root / LOOK
    folder = look if look.is_dir() else OWN_PROJECT / LOOK
    return _theme(folder, tuple(sorted(stamps((folder,)).items())))


@lru_cache(maxsize=2)
def _theme(folder: Path, _: tuple[tuple[str, tuple[int, int]], ...]) -> SheetTheme:
    fonts = folder / "fonts"
    return SheetTheme(
        template=(folder / "sheet.typ").read_text(encoding="utf-8"),
        stack=(folder / "stack.typ").read_text(encoding="utf-8"),
        key=(folder / "key.typ").read_text(encoding="utf-8"),
        words=json.loads((folder / "words.json").read_text(encoding="utf-8")),
        fonts=str(fonts),
        type=digest(file.read_bytes() for file in sorted(fonts.iterdir())).encode(),
    )
