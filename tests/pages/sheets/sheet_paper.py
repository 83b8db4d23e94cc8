"""Looking at a printed sheet the way paper is looked at: rendered, and with a rule."""

import io
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import pypdfium2
from numpy.typing import NDArray
from PIL import Image
from scipy import ndimage

MM_PER_INCH = 25.4
Mask = NDArray[np.bool_]


@dataclass(frozen=True, kw_only=True, slots=True)
class Box:
    """A patch of ink, millimetres from the upper left corner of the paper."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        return self.right - self.left

    @property
    def height(self) -> float:
        return self.bottom - self.top


@dataclass(frozen=True, kw_only=True)
class Paper:
    """A page as pixels."""

    pixels: NDArray[np.uint8]  # rows, columns, red green blue
    dpi: float

    def px(self, mm: float) -> int:
        return round(mm * self.dpi / MM_PER_INCH)

    def mm(self, px: float) -> float:
        return px * MM_PER_INCH / self.dpi

    @cached_property
    def ink(self) -> Mask:
        """Anything that is more ink than paper."""
        return self.darker(128)

    def darker(self, than: int) -> Mask:
        """Where any of the three colours is below a value."""
        red, green, blue = (self.pixels[..., it] < than for it in range(3))
        return np.asarray(red | green | blue)

    @cached_property
    def bloom(self) -> Mask:
        """Ink of the one colour that marks a feature: much more red than green."""
        red = self.pixels[..., 0].astype(np.int16)
        green = self.pixels[..., 1].astype(np.int16)
        return np.asarray((red - green > 60) & (green < 148))

    def patches(self, mask: Mask) -> list[Box]:
        """Every patch of touching pixels."""
        labels, _ = ndimage.label(mask, structure=np.ones((3, 3)))
        return [self._box(rows, columns) for rows, columns in ndimage.find_objects(labels)]

    def runs(self, row: int) -> list[tuple[float, float]]:
        """Where ink begins and ends along one row of pixels, mm."""
        line = np.concatenate(([False], self.ink[row], [False])).astype(int)
        edges = np.flatnonzero(np.diff(line))
        return [
            (self.mm(a), self.mm(b)) for a, b in zip(edges[::2], edges[1::2], strict=True)
        ]

    def _box(self, rows: slice, columns: slice) -> Box:
        return Box(
            left=self.mm(columns.start),
            top=self.mm(rows.start),
            right=self.mm(columns.stop),
            bottom=self.mm(rows.stop),
        )


def rendered(pdf: bytes, dpi: float, page: int = 0) -> Paper:
    """Render one page."""
    document = pypdfium2.PdfDocument(pdf)
    image = document[page].render(scale=dpi / 72).to_pil().convert("RGB")
    document.close()
    return Paper(pixels=np.asarray(image), dpi=dpi)


def pictured(paper: Paper) -> Image.Image:
    """The page as a picture, for a reader of codes."""
    return Image.fromarray(paper.pixels)


def text_of(pdf: bytes, page: int = 0) -> str:
    """What stands on a page, as a reader of the file gets it."""
    document = pypdfium2.PdfDocument(io.BytesIO(pdf))
    text: str = document[page].get_textpage().get_text_range()
    document.close()
    return text


def type_sizes(pdf: bytes) -> dict[float, int]:
    """Letters by size in points, as the file says."""
    document = pypdfium2.PdfDocument(pdf)
    text: Any = document[0].get_textpage()
    raw = pypdfium2.raw
    sizes: dict[float, int] = {}
    for at in range(text.count_chars()):
        if chr(raw.FPDFText_GetUnicode(text.raw, at)).strip():
            size = round(raw.FPDFText_GetFontSize(text.raw, at), 1)
            sizes[size] = sizes.get(size, 0) + 1
    document.close()
    return sizes
