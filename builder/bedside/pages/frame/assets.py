"""Files that pages refer to: scripts, fonts, data. Their links carry the content's hash.

The file keeps its name and the hash rides as a query, so that an old copy of a page still
finds its script; a new page never meets an old one in a cache.
"""

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from hashlib import sha256
from typing import Any

FOLDER = "assets/"
PHOTOS = f"{FOLDER}photos/"
_IMPORT = re.compile(r"""(\bfrom\s*["']\./)([\w-]+\.js)(["'])""")


@dataclass(frozen=True, kw_only=True, slots=True)
class Asset:
    """One file of the site that is not a page."""

    address: str
    content: bytes


def stamp(content: bytes) -> str:
    """Eight hexadecimal digits that change when the content does."""
    return sha256(content).hexdigest()[:8]


def bundle(files: Mapping[str, bytes]) -> tuple[Asset, ...]:
    """The files of site_src/assets, with the imports between scripts stamped as well."""
    return tuple(
        Asset(address=FOLDER + name, content=_stamped(name, files))
        for name in sorted(files)
    )


def photo_files(photos: Mapping[str, bytes]) -> tuple[Asset, ...]:
    """The photographs that records name, each in the folder of its plant."""
    return tuple(
        Asset(address=f"{PHOTOS}{name}", content=photos[name]) for name in sorted(photos)
    )


def _stamped(name: str, files: Mapping[str, bytes]) -> bytes:
    content = files[name]
    if not name.endswith(".js"):
        return content

    def link(match: re.Match[str]) -> str:
        before, target, after = match.groups()
        return f"{before}{target}?v={stamp(_stamped(target, files))}{after}"

    return _IMPORT.sub(link, content.decode()).encode()


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
