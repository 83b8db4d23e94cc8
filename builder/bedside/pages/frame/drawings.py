"""Put drawings on a page: shared parts once, each picture small, no two ids alike.

Drawings come by name, as SVG texts; the one called `parts` holds what the others share. A
picture that is missing or spoiled becomes a plain sketch with its name.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import lru_cache
from html import escape

from bedside.read.drawing import PARTS, PENS, SHEET, Shape, read_drawing, written

# Parts' ids get this in front, so that they never meet an id of the page.
_MARK = "d-"
_SKETCH = (
    '<path class="o" d="M12 76C40 34 104 28 148 44C126 84 62 104 12 76Z"/>'
    '<path class="h" d="M12 76Q76 76 148 44"/>'
)
_FILE = (
    f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{SHEET}" width="160" height="120" '
    'fill="none" stroke-linecap="round" stroke-linejoin="round">'
)
_OWN_PART = re.compile(r"""(\b(?:id|href)\s*=\s*["']#?)""")
_LINE = 16  # letters of a sketch's words that fit on one line


def picture(drawings: Mapping[str, str], name: str, alt: str) -> str:
    """Draw one picture inline; `alt` says what it shows, empty if words beside it do.

    The page needs the `sprite` of the same names somewhere in its body.
    """
    body = _body(drawings.get(name, "")) or _sketch(alt or name.replace("-", " "))
    spoken = f'role="img" aria-label="{escape(alt)}"' if alt else 'aria-hidden="true"'
    return f'<svg viewBox="{SHEET}" {spoken}>{body}</svg>'


def sprite(drawings: Mapping[str, str], names: Iterable[str]) -> str:
    """Write the shared parts that these pictures use, once, for the end of the body."""
    parts = _parts(drawings.get(PARTS, ""))
    needed = _needed(parts, [drawings[name] for name in names if name in drawings])
    if not needed:
        return ""
    inside = "".join(written(_marked(parts[name])) for name in sorted(needed))
    return f'<svg width="0" height="0" aria-hidden="true"><defs>{inside}</defs></svg>'


def standalone(drawings: Mapping[str, str], name: str, palette: Mapping[str, str]) -> str:
    """Write one picture as a file of its own, with its parts and with colours filled in.

    `palette` gives a colour for each of ink, line, bloom, leaf and paper.
    """
    svg = drawings.get(name, "")
    parts = _parts(drawings.get(PARTS, ""))
    shared = "".join(
        written(_coloured(parts[it], palette)) for it in sorted(_needed(parts, [svg]))
    )
    plain = f"<svg>{_sketch(name.replace('-', ' '))}</svg>"
    shape = read_drawing(svg) or read_drawing(plain)
    lines = (_coloured(it, palette) for it in (shape.children if shape else ()))
    return f"{_FILE}<defs>{shared}</defs>{''.join(map(written, lines))}</svg>"


def merged(by_plant: Mapping[str, Mapping[str, str]]) -> Mapping[str, str]:
    """The drawings of all plants as one set; each keeps to the parts of its own plant."""
    if len(by_plant) == 1:
        return next(iter(by_plant.values()))
    found: dict[str, str] = {}
    parts = []
    for plant, drawings in by_plant.items():
        named = {
            name: _OWN_PART.sub(rf"\g<1>{plant}-", svg) for name, svg in drawings.items()
        }
        parts.append(named.pop(PARTS, ""))
        found |= named
    return {**found, PARTS: f"{_FILE}{''.join(map(_inside, parts))}</svg>"}


def _inside(svg: str) -> str:
    return re.sub(r"(?s)^.*?<svg[^>]*>|</svg>\s*$", "", svg)


@lru_cache(maxsize=4096)
def _body(svg: str) -> str:
    shape = read_drawing(svg) if svg else None
    return "".join(written(_marked(child)) for child in shape.children) if shape else ""


@lru_cache(maxsize=16)
def _parts(svg: str) -> Mapping[str, Shape]:
    shape = read_drawing(svg) if svg else None
    return {it.get("id"): it for it in (shape.children if shape else ()) if it.get("id")}


def _needed(parts: Mapping[str, Shape], svgs: Iterable[str]) -> set[str]:
    found: set[str] = set()
    queue = [name for svg in svgs for name in _uses(read_drawing(svg))]
    while queue:
        name = queue.pop()
        if name in parts and name not in found:
            found.add(name)
            queue += _uses(parts[name])
    return found


def _uses(shape: Shape | None) -> list[str]:
    inside = shape.walk() if shape else ()
    return [it.get("href").removeprefix("#") for it in inside if it.name == "use"]


def _marked(shape: Shape) -> Shape:
    return replace(
        shape,
        attributes=tuple(
            (key, _marked_value(key, value)) for key, value in shape.attributes
        ),
        children=tuple(_marked(child) for child in shape.children),
    )


def _marked_value(key: str, value: str) -> str:
    if key == "id":
        return _MARK + value
    return f"#{_MARK}{value[1:]}" if key == "href" else value


def _coloured(shape: Shape, palette: Mapping[str, str]) -> Shape:
    pens = [PENS[it] for it in shape.get("class").split() if it in PENS]
    drawn = {
        key: palette[value] if key in ("fill", "stroke") else value
        for pen in pens
        for key, value in pen.items()
    }
    if shape.name == "text":
        drawn |= {"fill": palette["ink"], "font-size": "9", "font-weight": "600"}
    plain = tuple(it for it in shape.attributes if it[0] != "class")
    return replace(
        shape,
        attributes=(*plain, *drawn.items()),
        children=tuple(_coloured(child, palette) for child in shape.children),
    )


def _sketch(words: str) -> str:
    lines = [""]
    for word in words.split()[:12]:
        longer = f"{lines[-1]} {word}".strip()
        lines = [*lines[:-1], longer] if len(longer) <= _LINE else [*lines, word]
    top = 66 - 5 * len(lines)
    said = "".join(
        f'<text x="80" y="{top + 11 * at}" text-anchor="middle">{escape(line)}</text>'
        for at, line in enumerate(lines)
    )
    return _SKETCH + said
