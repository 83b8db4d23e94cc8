"""Data as JSON for the browser: no byte that nobody needs, one way to write it."""

import json
from typing import Any

from bedside.pages.frame.assets import FOLDER, Asset


def compact_json(data: Any, *, sort_keys: bool = True) -> str:
    """Write data without blanks and with letters as they are."""
    return json.dumps(data, ensure_ascii=False, separators=(",", ":"), sort_keys=sort_keys)


def json_asset(name: str, data: object) -> Asset:
    """One file of data among the assets."""
    return Asset(address=FOLDER + name, content=compact_json(data).encode())


def safe_json(data: Any) -> str:
    """Compact JSON that may stand inside a page."""
    text = compact_json(data, sort_keys=False)
    return text.replace("<", "\\u003c").replace("&", "\\u0026")
