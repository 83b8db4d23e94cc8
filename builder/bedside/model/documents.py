"""A file as read: its plain values, and the place of every key and value in it."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from bedside.problems import Location

# Keys of mappings and numbers of list items, from the top of the file down to one value.
Path = tuple[str | int, ...]
Span = tuple[int, int, int]  # line, column (both from 1), length


@dataclass(frozen=True, kw_only=True, slots=True)
class Document:
    """One file below the knowledge folder.

    `data` holds text, whole numbers, true and false, lists and mappings, and nothing else;
    for a drawing it is the text of the file, for a table a list of rows. `plant` is empty
    outside a plant's folder. `keys` and `values` give the span of what a path leads to.
    """

    kind: str
    file: str
    id: str
    data: Any
    plant: str = ""
    keys: Mapping[Path, Span] = field(default_factory=dict)
    values: Mapping[Path, Span] = field(default_factory=dict)
    lines: tuple[str, ...] = ()

    def place(self, *path: str | int, key: bool = False) -> Location:
        """Find where a path leads, or the nearest thing above it that is written down.

        With `key` the place is the key rather than its value.
        """
        first, second = (self.keys, self.values) if key else (self.values, self.keys)
        for end in range(len(path), -1, -1):
            span = first.get(path[:end]) or second.get(path[:end])
            if span is not None:
                return location(self.file, self.lines, span)
        return location(self.file, self.lines, (1, 1, 1))


def location(file: str, lines: tuple[str, ...], span: Span) -> Location:
    """Turn a span into a location that carries the line it is on."""
    line, column, length = span
    source_line = lines[line - 1] if line <= len(lines) else ""
    return Location(
        file=file, line=line, column=column, length=length, source_line=source_line
    )
