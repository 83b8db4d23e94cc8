"""A spreadsheet as an office program saves it: a file of it as bytes, the bytes as cells.
What cannot be read is told in words; what is wrong with a cell, by its row and column.
"""

import csv
import io
import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

from bedside.problems import Location, Problem, problem_at
from bedside.read.plain_text import HIDDEN

MOST_BYTES = 5_000_000
SAVE_AS = (
    "in the office program choose 'Save as', and there 'CSV UTF-8' or, where it asks for "
    "the character set, 'Unicode (UTF-8)'"
)
_MARKS = {b"\xff\xfe": "utf-16", b"\xfe\xff": "utf-16"}
_BETWEEN = ",;\t"


def read_saved(path: Path) -> bytes | str:
    """The bytes of a saved sheet, or what is wrong in words."""
    try:
        if path.stat().st_size > MOST_BYTES:
            return f"more than {MOST_BYTES // 1_000_000} MB: is this the right file?"
        return path.read_bytes()
    except FileNotFoundError:
        return "there is no such file"
    except IsADirectoryError:
        return "this is a folder, and a file is needed"


@dataclass(kw_only=True, slots=True)
class Sheet:
    """The cells as the office program shows them, and what is wrong with them."""

    file: str
    cells: list[list[str]]
    problems: list[Problem] = field(default_factory=list)

    def at(self, row: int, column: int) -> str:
        cells = self.cells[row] if row < len(self.cells) else []
        return cells[column] if column < len(cells) else ""

    def fault(self, row: int, column: int, message: str, hint: str) -> None:
        """Note a fault of a cell, named as an office program shows it."""
        place = Location(file=self.file, line=row + 1, column=column + 1)
        named = f"row {row + 1}, column {letters(column)}: {message}"
        self.problems.append(problem_at(place, "grid-cell", named, hint))

    def refuse(self, message: str, hint: str, row: int = 0) -> None:
        """Note what is wrong with the file as a whole."""
        place = Location(file=self.file, line=row + 1)
        self.problems.append(problem_at(place, "not-a-grid", message, hint))

    @property
    def width(self) -> int:
        return max(map(len, self.cells), default=0)


def letters(column: int) -> str:
    """The name of a column, counted from 0: A to Z, then AA."""
    more, last = divmod(column, 26)
    return (letters(more - 1) if more else "") + chr(ord("A") + last)


def cells_of(file: str, content: bytes) -> Sheet:
    """The cells of a saved sheet, with spaces evened out; none where it cannot be read."""
    sheet = Sheet(file=file, cells=[])
    text = _decoded(sheet, content)
    if text is not None:
        _fill(sheet, text)
    if not sheet.problems:
        _find_hidden(sheet)
    return sheet


def _decoded(sheet: Sheet, content: bytes) -> str | None:
    if content.startswith(b"PK"):
        message = "this is the sheet of an office program itself, and a CSV is needed"
        sheet.refuse(message, SAVE_AS)
        return None
    try:
        return content.decode(_MARKS.get(content[:2], "utf-8-sig"))
    except UnicodeDecodeError as error:
        before = content[: error.start].decode("latin-1")
        row = before.count("\n")
        message = f"a letter in line {row + 1} is not stored as UTF-8"
        sheet.refuse(message, SAVE_AS, row)
        return None


def _fill(sheet: Sheet, text: str) -> None:
    lines = text.replace("\r\n", "\n").replace("\r", "\n")
    said = re.match(r'"?sep=(.)"?[^\n]*\n', lines, re.IGNORECASE)
    if said:
        lines = lines[said.end() :]
    if not lines.strip():
        return
    between = said[1] if said else _BETWEEN
    tables = [table for it in between if (table := _table(lines, it))]
    if not tables:
        hint = "a quote is opened and not closed; save the sheet again as CSV"
        sheet.refuse("this cannot be read as CSV", hint)
        return
    # An office program gives every row the same number of cells.
    sheet.cells = max(tables, key=lambda it: (_is_even(it), max(map(len, it))))


def _table(text: str, between: str) -> list[list[str]]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=between, strict=True)
    try:
        return [[" ".join(cell.split()) for cell in row] for row in reader]
    except csv.Error:
        return []


def _is_even(table: Sequence[Sequence[str]]) -> bool:
    widths = {len(row) for row in table if row}
    return len(widths) == 1 and widths != {1}


def _find_hidden(sheet: Sheet) -> None:
    for row, cells in enumerate(sheet.cells):
        for column, cell in enumerate(cells):
            found = HIDDEN.search(cell)
            if found:
                message = f"a character that does not show (U+{ord(found[0]):04X})"
                sheet.fault(row, column, message, "delete the cell and type it again")
