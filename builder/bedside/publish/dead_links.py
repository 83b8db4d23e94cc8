"""Check the links of a built site: each leads to a page, its fragment to a place there."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from html import unescape
from posixpath import join, normpath
from urllib.parse import unquote, urlsplit

# Our templates and the theme write these attributes plainly; a full parser over hundreds
# of pages would cost more than the rest of the build.
_LINK = re.compile(r"""\s(?:href|src|action)=("[^"]*"|'[^']*'|[^\s>"']+)""")
_ID = re.compile(r"""\s(?:id|name)=("[^"]*"|'[^']*'|[^\s>"']+)""")
_FINDINGS = re.compile(r"[a-z0-9-]+(\.[a-z0-9-]+)*")
_OUTSIDE = frozenset({"https", "mailto", "tel", "data"})


@dataclass(frozen=True, kw_only=True, slots=True)
class DeadLink:
    """A link of a page that leads nowhere, and why."""

    page: str
    link: str
    why: str


@dataclass(frozen=True, kw_only=True, slots=True)
class _Built:
    files: Mapping[str, bytes]
    places: Mapping[str, frozenset[str]]
    base: str
    walks: tuple[str, ...]


def dead_links(
    files: Mapping[str, bytes], base: str = "/", walks: tuple[str, ...] = ()
) -> Iterator[DeadLink]:
    """Yield each link that leads nowhere.

    `base` is the path below which the site is served. To a page whose address starts with
    one of `walks`, answer ids may ride after the #.
    """
    pages = {name: text.decode() for name, text in files.items() if name.endswith(".html")}
    places = {name: _places(text) for name, text in pages.items()}
    built = _Built(files=files, places=places, base=base, walks=walks)
    for page, text in sorted(pages.items()):
        for link in _links(text):
            why = _fault(page, link, built)
            if why:
                yield DeadLink(page=page, link=link, why=why)


# A site that is made again while it is edited has mostly the same pages.
@lru_cache(maxsize=4096)
def _places(text: str) -> frozenset[str]:
    return frozenset(map(_bare, _ID.findall(text)))


@lru_cache(maxsize=4096)
def _links(text: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys(map(_bare, _LINK.findall(text))))


def _bare(raw: str) -> str:
    return unescape(raw.strip("\"'"))


def _fault(page: str, link: str, built: _Built) -> str:
    target, fragment, why = _meant(page, link, built.base)
    if why or not target:
        return why
    if target not in built.files:
        return "there is no such page"
    carried = target.startswith(built.walks) and _FINDINGS.fullmatch(fragment)
    if not fragment or carried or fragment in built.places.get(target, ()):
        return ""
    return "there is no such place on that page"


@lru_cache(maxsize=65536)
def _meant(page: str, link: str, base: str) -> tuple[str, str, str]:
    """The file and the place that a link means, nothing if it leads out; or the fault."""
    parts = urlsplit(link)
    if parts.scheme or parts.netloc or not link:
        return "", "", "" if parts.scheme in _OUTSIDE else "not a safe link"
    return _target(page, unquote(parts.path), base), unquote(parts.fragment), ""


def _target(page: str, path: str, base: str) -> str:
    if not path:
        return page
    full = path.removeprefix(base) if path.startswith("/") else _joined(page, path)
    return f"{full}index.html" if not full or full.endswith("/") else full


def _joined(page: str, path: str) -> str:
    full = normpath(join(page.rpartition("/")[0], path))
    if full == ".":
        return ""
    return full + ("/" if path.endswith(("/", ".")) else "")
