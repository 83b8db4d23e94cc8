"""Drawings: what gets through, what is refused, and every real one."""

import re
from pathlib import Path

import pytest

from bedside.pages.frame.drawings import picture, sprite, standalone
from bedside.read.drawing import (
    MOST_BYTES,
    PARTS,
    PENS,
    drawing_faults,
    part_names,
    read_drawing,
)

ROOT = Path(__file__).parents[2]
# Plant -> its drawings; and those of the first plant alone.
DRAWN: dict[str, dict[str, str]] = {}
for _path in sorted((ROOT / "knowledge").glob("*/drawings/*.svg")):
    _own = DRAWN.setdefault(_path.parts[-3], {})
    _own[_path.stem] = _path.read_text(encoding="utf-8")
REAL = next(iter(DRAWN.values()))
PALETTE = {
    "ink": "#111111", "line": "#222222", "bloom": "#333333", "leaf": "#444444",
    "paper": "#555555",
}  # fmt: skip
SHARED = '<svg><g id="dot"><use href="#ring"/></g><g id="ring"/><g id="spare"/></svg>'


def drawn(inside: str) -> str:
    return f'<svg viewBox="0 0 160 120">{inside}</svg>'


@pytest.mark.parametrize(
    "hostile",
    [
        "<script>alert(1)</script>",
        '<path d="M0 0" onclick="alert(1)"/>',
        '<use href="https://elsewhere.example/a.svg#x"/>',
        '<use href="javascript:alert(1)"/>',
        "<style>*{display:none}</style>",
        '<foreignObject><b xmlns="http://www.w3.org/1999/xhtml">x</b></foreignObject>',
        '<image href="data:image/png;base64,AAAA"/>',
        '<path style="fill:red" d="M0 0"/>',
        '<g transform="url(#x)"><animate attributeName="href"/></g>',
        '<a href="https://elsewhere.example/"><path d="M0 0"/></a>',
    ],
)
def test_only_shapes_get_through(hostile: str) -> None:
    """Whatever a file holds, a page gets lines and never code, links or styles."""
    html = picture({"x": drawn(hostile)}, "x", "a leaf")
    spoken = (
        "script",
        "onclick",
        "elsewhere",
        "style",
        "foreign",
        "data:",
        "animate",
        "<a",
        "<b",
    )
    assert not [word for word in spoken if word in html]
    assert drawing_faults(drawn(hostile), frozenset())


@pytest.mark.parametrize(
    "broken",
    [
        "",
        "not a drawing",
        "<html/>",
        '<!DOCTYPE svg [<!ENTITY a "aaaa">]><svg>&a;</svg>',
        "<svg><g>",
        "<svg>" + "<g>" * 5000 + "</g>" * 5000 + "</svg>",
    ],
)
def test_a_spoiled_drawing_becomes_a_sketch_with_words(broken: str) -> None:
    """A page stands whatever is in the file: a plain leaf with what should be seen."""
    assert read_drawing(broken) is None
    html = picture({"x": broken}, "x", "Round holes")
    assert "Round holes</text>" in html


def test_a_missing_drawing_is_a_sketch_with_its_name() -> None:
    """A name without a file says at least what it would show."""
    assert "round holes</text>" in picture({}, "round-holes", "")


def test_words_for_those_who_cannot_see_it_are_escaped() -> None:
    """A text with markup in it stays a text."""
    html = picture({"x": drawn('<path class="o" d="M0 0"/>')}, "x", '"><b>&')
    assert 'role="img" aria-label="&quot;&gt;&lt;b&gt;&amp;"' in html
    assert 'aria-hidden="true"' in picture({}, "x", "")


def test_a_page_gets_the_parts_it_needs_and_no_other() -> None:
    """Shared parts come once, with the parts that they are made of, and under a mark."""
    drawings = {PARTS: SHARED, "x": drawn('<use href="#dot"/>'), "y": drawn("<g/>")}
    assert sprite(drawings, ["x", "x"]).count("<g id=") == 2
    assert 'id="d-dot"><use href="#d-ring"' in sprite(drawings, ["x"])
    assert 'href="#d-dot"' in picture(drawings, "x", "")
    assert sprite(drawings, ["y"]) == ""


def test_a_part_that_uses_itself_does_not_hang() -> None:
    """Parts in a ring end the search for parts."""
    ring = '<svg><g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g></svg>'
    drawings = {PARTS: ring, "x": drawn('<use href="#a"/>')}
    assert sprite(drawings, ["x"]).count("<g id=") == 2


def test_a_file_of_its_own_has_its_colours_filled_in() -> None:
    """For print and previews the pens become colours of the palette."""
    drawings = {
        PARTS: SHARED,
        "x": drawn('<path class="b pf" d="M0 0h9"/><use href="#dot"/>'),
    }
    svg = standalone(drawings, "x", PALETTE)
    assert 'stroke="#333333"' in svg
    assert 'fill="#555555"' in svg
    assert "class=" not in svg
    assert '<g id="ring"' in svg


@pytest.mark.parametrize(
    ("inside", "fault"),
    [
        ('<path class="zz" d="M0 0"/>', "there is no pen called 'zz'"),
        ('<path stroke="#000" d="M0 0"/>', "<path> cannot have 'stroke'"),
        ('<use href="#moon"/>', "there is no shared part called 'moon'"),
        ('<g id="a"/>', "an id may stand in the file of shared parts alone"),
        ("<filter/>", "a drawing cannot hold <filter>"),
        (f'<path d="{"M0 0" * 1200}"/>', f"a drawing has at most {MOST_BYTES}"),
    ],
)
def test_a_fault_is_said_in_words(inside: str, fault: str) -> None:
    """Each fault of a drawing has its own sentence."""
    assert any(fault in said for said in drawing_faults(drawn(inside), frozenset({"dot"})))


def test_another_sheet_is_refused() -> None:
    """All pictures have one size of sheet, so that sets compare."""
    assert any("viewBox" in it for it in drawing_faults("<svg><g/></svg>", frozenset()))


@pytest.mark.parametrize(
    ("plant", "name"), [(it, name) for it in DRAWN for name in DRAWN[it] if name != PARTS]
)
def test_real_drawing(plant: str, name: str) -> None:
    """Every real drawing keeps to the sheet, the pens, the parts and the size."""
    drawings = DRAWN[plant]
    assert not drawing_faults(drawings[name], part_names(drawings[PARTS]))
    # Something must stand out: the feature in bloom, or what to do in leaf.
    shown = standalone(drawings, name, PALETTE)
    assert (
        name in ("plant", f"{plant}-plant")
        or "#333333" in shown
        or 'stroke="#444444"' in shown
    )


@pytest.mark.parametrize("plant", DRAWN)
def test_real_parts(plant: str) -> None:
    """The shared parts keep to the pens, and each of them is used."""
    drawings = DRAWN[plant]
    assert not drawing_faults(drawings[PARTS])
    used = set(re.findall(r'href="#([-\w]+)"', " ".join(drawings.values())))
    assert part_names(drawings[PARTS]) == used


def test_the_coin_and_the_caterpillars_are_to_scale() -> None:
    """A quarter is 24.26 mm across (United States Mint); 1.6 units stand for 1 mm."""
    coin = re.search(r'id="coin"><circle [^>]*r="([\d.]+)"', REAL[PARTS])
    assert coin
    assert float(coin[1]) * 2 / 1.6 == pytest.approx(24.26, abs=0.1)


def test_the_pens_of_the_page_are_the_pens_of_the_files() -> None:
    """The style sheet draws each pen as the table in builder/bedside/read/drawing.py
    says.
    """
    css = (ROOT / "site_src/style/pens.css").read_text(encoding="utf-8")
    for pen, strokes in PENS.items():
        rule = re.search(rf"^\.{pen} {{([^}}]*)}}", css, re.MULTILINE)
        assert rule, pen
        said = dict(it.split(": ") for it in map(str.strip, rule[1].split(";")) if it)
        wanted = {
            key: f"var(--{value})" if key in ("fill", "stroke") else value
            for key, value in strokes.items()
        }
        assert said == wanted, pen
