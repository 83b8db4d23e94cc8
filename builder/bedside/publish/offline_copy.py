"""The copy of the site that a browser keeps for a garden without signal.

One pack holds every page of the walk, the causes and the controls, and what they need.
Pages have most of their text in common, so it is cut before each tag and each part is kept
once: a third of the size, also after compression. The worker knows the hash of its pack and
takes nothing else: there is a whole copy or none.
"""

import gzip
import re
from collections.abc import Iterable, Mapping
from hashlib import sha256

from bedside.pages.frame.addresses import SEASON
from bedside.pages.frame.assets import FOLDER, compact_json, stamp
from bedside.pages.service_worker import PACK, VERSION_MARK, WORKER

MOST_BYTES = 1_000_000  # what a phone may be asked to fetch and keep without being asked
PARTS = re.compile(r"(?=<)")
# What is not worth a phone's room: years of places never visited, print, the grower's page.
LEFT_OUT = (
    SEASON,
    "guide/",
    "letters/",
    "search/",
    "assets/javascripts/",
    "assets/letters",
)
KEPT_OF_SEASON = f"{SEASON}index.html"
TEXTS = (".html", ".js", ".json", ".css", ".svg")


def offline_files(files: Mapping[str, bytes]) -> dict[str, bytes]:
    """The pack of a built site, and its worker, which now knows the pack's hash.

    Without a worker among the files there is no copy.
    """
    if WORKER not in files:
        return {}
    packed = pack(dict(_kept(files)))
    version = sha256(packed).hexdigest()
    worker = files[WORKER].decode().replace(VERSION_MARK, version)
    return {PACK: packed, WORKER: worker.encode()}


def pack(texts: Mapping[str, str]) -> bytes:
    """Texts by address as one compressed file; the same texts give the same bytes."""
    parts: dict[str, int] = {}
    cut = {
        address: [parts.setdefault(part, len(parts)) for part in PARTS.split(text)]
        for address, text in sorted(texts.items())
    }
    data = {"parts": list(parts), "texts": cut}
    return gzip.compress(compact_json(data).encode(), 9, mtime=0)


def _kept(files: Mapping[str, bytes]) -> Iterable[tuple[str, str]]:
    for name, content in files.items():
        if name.endswith(TEXTS) and _wanted(name):
            yield _address(name, content), content.decode()


def _wanted(name: str) -> bool:
    if name in (KEPT_OF_SEASON, WORKER):
        return name != WORKER
    return not name.startswith(LEFT_OUT)


def _address(name: str, content: bytes) -> str:
    # What pages ask for: a folder, or a file with its stamp.
    if name.endswith(".html"):
        return name.removesuffix("index.html")
    is_ours = name.startswith(FOLDER) and name.count("/") == 1
    return f"{name}?v={stamp(content)}" if is_ours else name
