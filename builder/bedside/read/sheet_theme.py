"""Read the look of the sheets: templates, the words around the facts, fonts."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from bedside.cache import digest
from bedside.read.theme import stamps

# The look of the sheets belongs to the project, as the schemas do.
OWN_THEME = Path(__file__).parents[3] / "site_src" / "handout"


@dataclass(frozen=True, kw_only=True, slots=True)
class SheetTheme:
    """The templates, the words around the facts, where the fonts are."""

    template: str
    stack: str
    key: str
    words: Mapping[str, Any]
    fonts: str
    type: bytes  # what the fonts hold, in one digest


def read_sheet_theme() -> SheetTheme:
    """Read site_src/handout once, and again when something in it was written."""
    return _theme(tuple(sorted(stamps((OWN_THEME,)).items())))


@lru_cache(maxsize=1)
def _theme(_: tuple[tuple[str, tuple[int, int]], ...]) -> SheetTheme:
    fonts = OWN_THEME / "fonts"
    return SheetTheme(
        template=(OWN_THEME / "sheet.typ").read_text(encoding="utf-8"),
        stack=(OWN_THEME / "stack.typ").read_text(encoding="utf-8"),
        key=(OWN_THEME / "key.typ").read_text(encoding="utf-8"),
        words=json.loads((OWN_THEME / "words.json").read_text(encoding="utf-8")),
        fonts=str(fonts),
        type=digest(file.read_bytes() for file in sorted(fonts.iterdir())).encode(),
    )
