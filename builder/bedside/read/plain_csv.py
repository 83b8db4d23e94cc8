"""Plain CSV: text in; rows by column name, a span for each cell, and problems out."""

import csv
from collections.abc import Iterator, Sequence

from bedside.read.plain_text import Parsed, find_hidden, split_lines

Numbered = tuple[int, list[str]]  # the line a row ends in, its cells


def parse(file: str, text: str, columns: Sequence[str]) -> Parsed:
    """Parse the text of a CSV file whose first line names `columns`, in any order."""
    parsed = Parsed(file=file, lines=split_lines(text))
    find_hidden(parsed)
    if parsed.problems:
        return parsed
    rows = _rows(parsed)
    if rows is None:
        return parsed
    if not rows:
        parsed.report(
            (1, 1, 1),
            "empty-file",
            "the file is empty",
            f"the first line names the columns: {','.join(columns)}",
        )
        return parsed
    (_, header), *body = rows
    if _header_is_right(parsed, header, columns):
        parsed.data = [
            _row(parsed, at, numbered, header)
            for at, numbered in enumerate(_full_rows(parsed, body, header))
        ]
    return parsed


def _rows(parsed: Parsed) -> list[Numbered] | None:
    reader = csv.reader((f"{line}\n" for line in parsed.lines), strict=True)
    try:
        return [(reader.line_num, row) for row in reader if any(map(str.strip, row))]
    except csv.Error as error:
        parsed.report(
            (max(1, min(reader.line_num, len(parsed.lines))), 1, 1),
            "not-csv",
            f"this cannot be read: {error}",
            "a cell that holds a comma or a quote stands in double quotes",
        )
        return None


def _header_is_right(parsed: Parsed, header: list[str], columns: Sequence[str]) -> bool:
    if sorted(header) == sorted(columns):
        return True
    parsed.report(
        (1, 1, len(parsed.lines[0]) or 1),
        "wrong-columns",
        "the first line must name the columns of this file",
        f"write {','.join(columns)}",
    )
    return False


def _full_rows(
    parsed: Parsed, body: list[Numbered], header: list[str]
) -> Iterator[Numbered]:
    for line, row in body:
        if len(row) == len(header):
            yield line, row
        else:
            parsed.report(
                (line, 1, len(parsed.lines[line - 1]) or 1),
                "wrong-columns",
                f"{len(row)} cells stand here; the first line names {len(header)} columns",
                "put a cell that holds a comma in double quotes",
            )


def _row(parsed: Parsed, at: int, numbered: Numbered, header: list[str]) -> dict[str, str]:
    line, row = numbered
    shown = parsed.lines[line - 1]
    parsed.values[at,] = (line, 1, len(shown) or 1)
    column = 0
    for name, cell in zip(header, row, strict=True):
        # A cell with doubled quotes is not found as it stands: its row is marked instead.
        found = shown.find(cell, column)
        if cell and found >= 0:
            parsed.values[at, name] = (line, found + 1, len(cell))
            column = found + len(cell)
    return {name: cell.strip() for name, cell in zip(header, row, strict=True)}
