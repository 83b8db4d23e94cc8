"""A drawing as data: an SVG text in, clean lines or a list of its faults out.

A drawing is ink on one size of sheet. It holds shapes, pens (classes) and shared parts, and
no colour of its own: the page's colours fill the pens, so one file serves light, dark and
print. Only what is listed here gets through, so a drawing carries no script and no link.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from html import escape
from xml.etree import ElementTree as Xml

SHEET = "0 0 160 120"
MOST_BYTES = 4096
_DEEPEST = 12  # shapes inside shapes
PARTS = "parts"  # the drawing that holds what the others share
# Pen -> what it draws. A colour is a role of the nursery's palette.
PENS: dict[str, dict[str, str]] = {
    "o": {"stroke": "ink", "stroke-width": "2.5"},  # outline
    "f": {"stroke": "ink", "stroke-width": "1.5"},  # detail
    "h": {"stroke": "line", "stroke-width": "1.5"},  # quiet line, hatching
    "b": {"stroke": "bloom", "stroke-width": "3"},  # the feature
    "bf": {"fill": "bloom"},
    "of": {"fill": "ink"},
    "pf": {"fill": "paper"},
    "w": {"fill": "leaf", "fill-opacity": ".14"},  # thin wash: tells leaf from hole
    "bt": {"stroke": "bloom", "stroke-width": "1.8"},  # the feature, where it is fine
    "r": {"stroke": "bloom", "stroke-width": "1.2", "stroke-dasharray": "3 4"},  # ring
    "g": {"stroke": "leaf", "stroke-width": "2.5"},  # what to do; healthy
    "gf": {"fill": "leaf"},
    "gb": {"stroke": "leaf", "stroke-width": "3"},  # the feature, where it is healthy
}
_PLACE = frozenset({"class", "transform"})
_SHAPES: dict[str, frozenset[str]] = {
    "svg": frozenset({"viewBox", "class"}),
    "g": _PLACE,
    "symbol": frozenset({"viewBox", "overflow"}),
    "path": _PLACE | {"d"},
    "circle": _PLACE | {"cx", "cy", "r"},
    "ellipse": _PLACE | {"cx", "cy", "rx", "ry"},
    "rect": _PLACE | {"x", "y", "width", "height", "rx", "ry"},
    "line": _PLACE | {"x1", "y1", "x2", "y2"},
    "polyline": _PLACE | {"points"},
    "polygon": _PLACE | {"points"},
    "use": _PLACE | {"href", "x", "y"},
    "text": _PLACE | {"x", "y", "text-anchor"},
    "tspan": _PLACE | {"x", "y", "dx", "dy"},
}
_PLAIN = re.compile(r"[-\w#., ()]*")


@dataclass(frozen=True, kw_only=True, slots=True)
class Shape:
    """One element that got through: a name, its attributes in order, and what it holds."""

    name: str
    attributes: tuple[tuple[str, str], ...]
    text: str
    children: tuple["Shape", ...]

    def get(self, attribute: str) -> str:
        """Give an attribute's value, or nothing."""
        return dict(self.attributes).get(attribute, "")

    def walk(self) -> Iterator["Shape"]:
        """Go through this shape and everything in it."""
        yield self
        for child in self.children:
            yield from child.walk()


@lru_cache(maxsize=4096)
def read_drawing(svg: str) -> Shape | None:
    """Read a drawing, leaving out whatever is not a shape; None if it is not SVG."""
    root = _parsed(svg)
    if root is None or _name(root.tag) != "svg":
        return None
    return _clean(root)


def drawing_faults(svg: str, parts: frozenset[str] | None = None) -> tuple[str, ...]:
    """Say what is wrong with a drawing. `parts` are the shared parts it may use.

    Without `parts` the text is itself the file of shared parts: ids may stand in it, and
    neither the sheet nor the size is held to one drawing's limits.
    """
    root = _parsed(svg)
    if root is None or _name(root.tag) != "svg":
        return ("this is not an SVG drawing",)
    own = part_names(svg) if parts is None else parts
    found = [*_element_faults(root, shared=parts is None), *_use_faults(root, own)]
    if parts is not None:
        found += _sheet_faults(svg, root)
    return tuple(dict.fromkeys(found))


def part_names(svg: str) -> frozenset[str]:
    """Name the shared parts that a file of parts holds."""
    root = _parsed(svg)
    names = () if root is None else (it.get("id", "") for it in root)
    return frozenset(names) - {""}


def written(shape: Shape) -> str:
    """Write a shape as SVG text, without a needless space."""
    given = "".join(f' {key}="{escape(value)}"' for key, value in shape.attributes)
    inside = escape(shape.text) + "".join(written(child) for child in shape.children)
    start = f"<{shape.name}{given}"
    return f"{start}>{inside}</{shape.name}>" if inside else f"{start}/>"


def _parsed(svg: str) -> Xml.Element | None:
    # A document type could define entities that grow without end; no drawing needs one.
    if "<!" in re.sub(r"<!--.*?-->", "", svg, flags=re.DOTALL):
        return None
    try:
        root = Xml.fromstring(svg)
    except (Xml.ParseError, ValueError):
        return None
    return root if _is_shallow(root) else None


def _is_shallow(root: Xml.Element) -> bool:
    level = [root]
    for _ in range(_DEEPEST):
        level = [child for element in level for child in element]
    return not level


def _name(tag: str) -> str:
    return tag.rpartition("}")[2]


def _clean(element: Xml.Element) -> Shape:
    name = _name(element.tag)
    may = _SHAPES[name] | {"id"}
    return Shape(
        name=name,
        attributes=tuple(
            (key, value)
            for key, value in element.items()
            if key in may and _safe(key, value)
        ),
        text=(element.text or "").strip() if name in ("text", "tspan") else "",
        children=tuple(_clean(child) for child in element if _name(child.tag) in _SHAPES),
    )


def _safe(key: str, value: str) -> bool:
    if key == "href":
        return re.fullmatch(r"#[\w-]+", value) is not None
    return key == "d" or _PLAIN.fullmatch(value) is not None


def _element_faults(root: Xml.Element, *, shared: bool) -> Iterator[str]:
    for element in root.iter():
        name = _name(element.tag)
        if name not in _SHAPES:
            yield f"a drawing cannot hold <{name}>"
            continue
        for key, value in element.items():
            yield from _attribute_faults(name, key, value, shared=shared)


def _attribute_faults(name: str, key: str, value: str, *, shared: bool) -> Iterator[str]:
    if key == "class":
        for pen in value.split():
            if pen not in PENS:
                yield f"there is no pen called '{pen}'"
    elif key == "id":
        if not shared:
            yield "an id may stand in the file of shared parts alone"
    elif key not in _SHAPES[name]:
        yield f"<{name}> cannot have '{key}': colours and lines come from the pens"
    elif not _safe(key, value):
        yield f"'{value[:40]}' cannot stand under '{key}'"


def _use_faults(root: Xml.Element, parts: frozenset[str]) -> Iterator[str]:
    for element in root.iter():
        if _name(element.tag) == "use":
            name = element.get("href", "").removeprefix("#")
            if name not in parts:
                yield f"there is no shared part called '{name}'"


def _sheet_faults(svg: str, root: Xml.Element) -> Iterator[str]:
    if root.get("viewBox") != SHEET:
        yield f'the sheet must be viewBox="{SHEET}"'
    if (size := len(svg.encode())) > MOST_BYTES:
        yield f"{size} bytes are too many; a drawing has at most {MOST_BYTES}"
