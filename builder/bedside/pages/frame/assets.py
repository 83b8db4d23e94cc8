"""Files that pages refer to: scripts, fonts, data. Their links carry the content's hash.

The file keeps its name and the hash rides as a query, so that an old copy of a page still
finds its script; a new page never meets an old one in a cache.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from hashlib import sha256

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
