"""What all sheets share: papers, codes, and printing: data in, one tagged PDF out.

The template refuses what does not fit: it measures every part against its place on the
paper, so type never shrinks and no second page appears.
"""

import io
import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field
from functools import cache, lru_cache
from typing import Any
from urllib.parse import urlsplit

import segno
import typst

from bedside.cache import Kept, digest
from bedside.model.library import Library
from bedside.model.records import Knowledge, Plant
from bedside.read.sheet_theme import SheetTheme

PAPER_WHITE = "#FFFFFF"
# Accessible (ISO 14289-1) and made to last (ISO 19005-2, level A) in one file.
STANDARDS = ("ua-1", "a-2a")
# ISO/IEC 18004: level Q recovers a quarter of a damp, creased code; quiet zone 4 modules.
CODE_LEVEL = "q"
QUIET_MODULES = 4
MODULE_MM = 0.65
_DOES_NOT_FIT = re.compile(r"does not fit: (\[.*\])", re.DOTALL)


@dataclass(frozen=True, kw_only=True, slots=True)
class Paper:
    """A paper as it lies in the tray, millimetres; a half sheet comes two on one."""

    id: str
    name: str
    width: float
    height: float
    half: bool = False


PAPERS: Mapping[str, Paper] = {
    it.id: it
    for it in (
        Paper(id="letter", name="US Letter", width=215.9, height=279.4),
        Paper(id="a4", name="A4", width=210.0, height=297.0),
        Paper(
            id="letter-half", name="US Letter, two halves", width=279.4, height=215.9,
            half=True,
        ),
        Paper(id="a4-half", name="A4, two halves", width=297.0, height=210.0, half=True),
    )
}  # fmt: skip
WHOLE = tuple(it for it in PAPERS.values() if not it.half)


@dataclass(frozen=True, kw_only=True, slots=True)
class Desk:
    """What every sheet of one plant is made from."""

    library: Library
    plant: Plant
    theme: SheetTheme
    kept: Kept = field(default_factory=Kept)

    @property
    def knowledge(self) -> Knowledge:
        return self.library.knowledge

    @property
    def words(self) -> Mapping[str, Any]:
        """The words around the facts."""
        return self.theme.words

    @property
    def palette(self) -> Mapping[str, str]:
        """The nursery's colours on white paper."""
        return {**self.knowledge.nursery.light, "paper": PAPER_WHITE}

    def address(self, path: str) -> str:
        """The full address of a page."""
        return f"{self.knowledge.nursery.site.rstrip('/')}/{path.rstrip('/')}"


@dataclass(frozen=True, kw_only=True, slots=True)
class TooTall:
    """A part of a sheet that needs more room than its place has."""

    file: str
    path: tuple[str | int, ...]
    by_mm: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Printed:
    """A PDF, or what was in its way."""

    pdf: bytes = b""
    too_tall: tuple[TooTall, ...] = ()
    refused: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Code:
    """A square code as SVG, and its side on paper with its quiet zone."""

    svg: str
    side_mm: float


def spoken_address(url: str) -> str:
    """The address as it is printed in words: without what every browser adds."""
    parts = urlsplit(url)
    return f"{parts.netloc}{parts.path}"


def code_for(url: str, kept: Kept) -> Code:
    """The code of an address, as made before."""
    made = kept.one("codes", digest((url.encode(),)), lambda: _code(url))
    return Code(**json.loads(made))


@cache
def _code(url: str) -> bytes:
    code = segno.make(url, error=CODE_LEVEL, boost_error=False, micro=False)
    out = io.BytesIO()
    code.save(out, kind="svg", border=QUIET_MODULES, xmldecl=False, svgclass=None)
    modules = code.symbol_size(border=QUIET_MODULES)[0]
    made = Code(svg=out.getvalue().decode(), side_mm=round(modules * MODULE_MM, 2))
    return json.dumps(asdict(made)).encode()


def print_sheet(data: Mapping[str, Any], theme: SheetTheme) -> Printed:
    """Print one sheet. `data` is what the template's `printed` takes."""
    return _printed(_as_text(data), theme.template, theme)


def key_of_sheet(data: Mapping[str, Any], theme: SheetTheme) -> str:
    """One name for all that goes into one sheet."""
    return digest((_as_text(data).encode(), theme.template.encode(), theme.type))


def print_key(data: Mapping[str, Any], theme: SheetTheme) -> Printed:
    """Print a whole tree. `data` is what the key's `printed` takes."""
    return _printed(_as_text(data), theme.key, theme)


def measure_key(data: Mapping[str, Any], theme: SheetTheme) -> Any:
    """How tall each row of a tree is, in millimetres. `data` is what `measured` takes."""
    text = _as_text(_as_text(data))
    found = typst.query(
        f"{theme.key}\n#measured(json(bytes({text})))\n".encode(),
        "<measured>",
        field="value",
        one=True,
        font_paths=fonts_of(theme),
    )
    return json.loads(found)


def _as_text(data: Any) -> str:
    return json.dumps(data, ensure_ascii=False, sort_keys=True)


def bind(data: Mapping[str, Any], pdfs: Sequence[bytes], theme: SheetTheme) -> Printed:
    """Bind finished sheets into one print job. `data` is what `stacked` takes.

    A print job carries no tags: those who listen open a sheet by itself.
    """
    bound = ", ".join(f"bytes(({', '.join(map(str, pdf))}))" for pdf in pdfs)
    call = f"#stacked(json(bytes({_as_text(_as_text(data))})), ({bound},))"
    return _compiled(f"{theme.stack}\n{call}\n", [], theme)


@lru_cache(maxsize=512)
def _printed(data: str, template: str, theme: SheetTheme) -> Printed:
    # A JSON text is written the way the template language writes a string.
    source = f"{template}\n#printed(json(bytes({_as_text(data)})))\n"
    return _compiled(source, STANDARDS, theme)


def _compiled(source: str, standards: Sequence[str], theme: SheetTheme) -> Printed:
    # Typed loosely: the library spells every standard out as a literal.
    compiled: Any = typst.compile_with_warnings
    try:
        pdf, warnings = compiled(
            source.encode(),
            font_paths=fonts_of(theme),
            format="pdf",
            pdf_standards=list(standards),
            timestamp=0,
        )
    except typst.TypstError as error:
        return _reason(str(error.message))
    if warnings:
        return Printed(refused="; ".join(str(it.message) for it in warnings))
    return Printed(pdf=pdf)


def fonts_of(theme: SheetTheme) -> Any:
    """The type of the project, and no other."""
    return _fonts(theme.fonts, theme.type)


@lru_cache(maxsize=1)
def _fonts(folder: str, _type: bytes) -> Any:
    # Only our own: what else a machine has must not change a sheet.
    return typst.Fonts(
        include_system_fonts=False, include_embedded_fonts=False, font_paths=[folder]
    )


def _reason(message: str) -> Printed:
    found = _DOES_NOT_FIT.search(message)
    if not found:
        return Printed(refused=message)
    return Printed(
        too_tall=tuple(
            TooTall(file=file, path=tuple(path), by_mm=by_mm)
            for file, path, by_mm in json.loads(found[1])
        )
    )
