"""Read the words and the look of the site: templates, style sheets, assets.

Everything that pages need from disk besides the knowledge comes through here, once.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from bedside.read.sheet_theme import SheetTheme, read_sheet_theme
from bedside.read.shipped import laid_over, place_of

TEMPLATE_END = ".j2"


@dataclass(frozen=True, kw_only=True, slots=True)
class Theme:
    """The words and the look of a site, as read: names relative to their folder."""

    words: Mapping[str, Any]
    # By plant: what only the tests can measure, and how well letters were read.
    measured: Mapping[str, Mapping[str, Any]]
    letters_read: Mapping[str, Mapping[str, Any]]
    trained: Mapping[str, Any]  # what the reader of letters has learnt; may be empty
    templates: Mapping[str, str]
    styles: Mapping[str, str]
    assets: Mapping[str, bytes]
    sheets: SheetTheme


def read_theme(root: Path) -> Theme:
    """Read site_src: what ships, with the files of the site at `root` in their places."""
    return Theme(
        words=_written(place_of(root, "site_src/words.json")),
        measured=_of_plants(root, "measured.json"),
        letters_read=_of_plants(root, "letters_read.json"),
        trained=_trained(root),
        templates=_texts(root, "templates", TEMPLATE_END),
        styles=_texts(root, "style", ".css"),
        assets={
            name: path.read_bytes() for name, path in laid_over(root, "site_src/assets")
        },
        sheets=read_sheet_theme(root),
    )


def _trained(root: Path) -> dict[str, Any]:
    # What is learnt of danger and kinds of mail serves all; each plant has its own file.
    general = _written(place_of(root, "site_src/trained.json"))
    return {**general, "plants": _of_plants(root, "trained.json")}


def _of_plants(root: Path, name: str) -> dict[str, Mapping[str, Any]]:
    """The file of this name of each plant that has one."""
    own = sorted((root / "knowledge").glob(f"*/{name}"))
    return {path.parent.name: _written(path) for path in own}


def _written(path: Path) -> Mapping[str, Any]:
    if not path.is_file():
        return {}
    found: Mapping[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    return found


def _texts(root: Path, folder: str, end: str) -> dict[str, str]:
    return {
        name: path.read_text(encoding="utf-8")
        for name, path in laid_over(root, f"site_src/{folder}")
        if name.endswith(end)
    }
