"""Read the look of the sheets: templates, the words around the facts, fonts."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from bedside.cache import digest
from bedside.read.shipped import place_of, stamps

LOOK = "site_src/handout"


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
    files = tuple(
        place_of(root, f"{LOOK}/{name}")
        # The typesetter is given a folder, so the fonts of a site go together.
        for name in ("sheet.typ", "stack.typ", "key.typ", "words.json", "fonts")
    )
    return _theme(files, tuple(sorted(stamps({it.parent for it in files}).items())))


@lru_cache(maxsize=2)
def _theme(
    files: tuple[Path, ...], _: tuple[tuple[str, tuple[int, int]], ...]
) -> SheetTheme:
    sheet, stack, key, words, fonts = files
    return SheetTheme(
        template=sheet.read_text(encoding="utf-8"),
        stack=stack.read_text(encoding="utf-8"),
        key=key.read_text(encoding="utf-8"),
        words=json.loads(words.read_text(encoding="utf-8")),
        fonts=str(fonts),
        type=digest(file.read_bytes() for file in sorted(fonts.iterdir())).encode(),
    )
