"""A machine that has another font: one made from ours, larger and with letters all alike.

A page is set in whatever font a reader's machine has. The font made here is as hard to
fit as any: every letter takes as much room as the widest do, and all of it is a quarter
larger than its size says. A configuration that knows no other font stands for the machine.
"""

import os
import struct
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import Browser

from tests.browser import Environment, launched

OURS = Path(__file__).parents[1] / "site_src" / "handout" / "fonts"
REGULAR = "atkinson-hyperlegible-latin-400-normal.ttf"
LARGER = 1.25
ADVANCE = 0.62  # of the size: what typewriter faces give each letter
CONFIGURATION = """<?xml version="1.0"?>
<!DOCTYPE fontconfig SYSTEM "fonts.dtd">
<fontconfig><dir>{folder}</dir><cachedir>{folder}/cache</cachedir></fontconfig>
"""


def odd_font(font: bytes) -> bytes:
    """The same outlines, each as wide as all others, on a smaller square."""
    made = bytearray(font)
    tables = _tables(font)
    at_square = tables["head"] + 18
    (square,) = struct.unpack_from(">H", font, at_square)
    (count,) = struct.unpack_from(">H", font, tables["hhea"] + 34)
    for place in range(count):
        struct.pack_into(">H", made, tables["hmtx"] + 4 * place, round(ADVANCE * square))
    struct.pack_into(">H", made, at_square, round(square / LARGER))
    return bytes(made)


def _tables(font: bytes) -> dict[str, int]:
    # The directory of a TrueType file: a name, a sum, where it begins, how long it is.
    (count,) = struct.unpack_from(">H", font, 4)
    rows = (struct.unpack_from(">4sLLL", font, 12 + 16 * at) for at in range(count))
    return {name.decode("ascii"): start for name, _, start, _ in rows}


@contextmanager
def browser_with_odd_font(browser: Browser, folder: Path) -> Iterator[Browser]:
    """A second browser, on a machine where the odd font is the only one."""
    (folder / "odd.ttf").write_bytes(odd_font((OURS / REGULAR).read_bytes()))
    configuration = folder / "fonts.conf"
    configuration.write_text(CONFIGURATION.format(folder=folder), encoding="utf-8")
    environment: Environment = {**os.environ, "FONTCONFIG_FILE": str(configuration)}
    other = launched(browser.browser_type, environment)
    yield other
    other.close()
