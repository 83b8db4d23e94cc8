"""Read the climate tables: the season's only touch of files."""

from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import Any

from bedside.cache import digest
from bedside.model.library import Document, Library
from bedside.model.season import SeasonTables
from bedside.problems import Problem
from bedside.read import plain_csv
from bedside.read.layout import at_file
from bedside.read.season_records import assemble_season
from bedside.read.season_tables import (
    NORMAL_COLUMNS,
    STATE_COLUMNS,
    STATION_COLUMNS,
    ZIP_COLUMNS,
)  # fmt: skip
from bedside.read.shipped import KNOWLEDGE, place_of

TABLES = {
    "stations": STATION_COLUMNS,
    "normals": NORMAL_COLUMNS,
    "zips": ZIP_COLUMNS,
    "states": STATE_COLUMNS,
}


def read_season(
    root: Path, library: Library
) -> tuple[SeasonTables | None, tuple[Problem, ...]]:
    """Read the tables of a knowledge folder and join them to its season records.

    Gives nothing and no problem if no plant says what to do when; nothing and every problem
    if a table is wrong.
    """
    climate, years = library.season("climate"), library.of_plants("year")
    if not years:
        return None, ()
    if not climate:
        return None, (_missing("season/climate.yaml"),)
    tables, faults = _read_tables(root)
    if faults:
        return None, tuple(faults)
    records = (climate, years, library.of_plants("insects"))
    parts = (*map(repr, records), *(repr(it.lines) for it in tables.values()))
    key = digest(part.encode() for part in parts)
    season, wrong = _assembled(_Read(key=key, records=records, tables=tables))
    return (None if wrong else season), wrong


@dataclass(frozen=True, kw_only=True, slots=True)
class _Read:
    """What a season is made from; the same key is the same season."""

    key: str
    records: tuple[Any, Any, Any] = field(compare=False)  # climate, years, insects
    tables: dict[str, Document] = field(compare=False)


# The tables change once a year, and a folder is read again on every change in it.
@lru_cache(maxsize=2)
def _assembled(read: _Read) -> tuple[SeasonTables | None, tuple[Problem, ...]]:
    return assemble_season(*read.records, read.tables)


def _missing(file: str) -> Problem:
    why = "a plant says what to do when, and this says what warmth is counted with"
    return at_file(file, "missing-file", why, "copy it from a site that has it")


def _read_tables(root: Path) -> tuple[dict[str, Document], list[Problem]]:
    tables: dict[str, Document] = {}
    problems: list[Problem] = []
    for name, columns in TABLES.items():
        file = f"season/{name}.csv"
        try:
            text = place_of(root, file, KNOWLEDGE).read_bytes().decode("utf-8-sig")
        except UnicodeDecodeError:
            problems.append(
                at_file(file, "not-utf-8", "this is not UTF-8", "save it as UTF-8")
            )
            continue
        parsed = plain_csv.parse(file, text, columns)
        problems += parsed.problems
        tables[name] = Document(
            kind="table", file=file, id=name, data=parsed.data or [],
            values=parsed.values, lines=parsed.lines,
        )  # fmt: skip
    return tables, problems
