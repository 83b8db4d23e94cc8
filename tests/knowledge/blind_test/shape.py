"""Say in twelve digits what a drawing looks like, so that a reading knows what it read."""

import hashlib
import re
from collections.abc import Mapping

from bedside.read.drawing import PARTS, read_drawing, written

_USED = re.compile(r'href="#([-\w]+)"')


def digest(drawings: Mapping[str, str], name: str) -> str:
    """Digest a drawing's shapes and the shared parts in it, whatever the spacing."""
    parts = read_drawing(drawings[PARTS])
    held = {it.get("id"): written(it) for it in (parts.children if parts else ())}
    shape = read_drawing(drawings[name])
    seen: dict[str, str] = {"": written(shape) if shape else ""}
    queue = _USED.findall(seen[""])
    while queue:
        part = queue.pop()
        if part not in seen:
            seen[part] = held[part]
            queue += _USED.findall(held[part])
    text = "".join(f"{part}={seen[part]}\n" for part in sorted(seen))
    return hashlib.sha256(text.encode()).hexdigest()[:12]
