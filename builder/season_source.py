"""Read the climate tables, and keep what was computed from them: the season's only touch of
files.
"""

import hashlib
import json
from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from functools import cache
from pathlib import Path
from typing import Any

from builder import plain_csv
from builder.documents import Document
from builder.layout import at_file
from builder.problems import Problem
from builder.season_assemble import assemble_season
from builder.season_model import SeasonKnowledge
from builder.season_tables import (
    NORMAL_COLUMNS,
    STATE_COLUMNS,
    STATION_COLUMNS,
    ZIP_COLUMNS,
)  # fmt: skip

TABLES = {
    "stations": STATION_COLUMNS,
    "normals": NORMAL_COLUMNS,
    "zips": ZIP_COLUMNS,
    "states": STATE_COLUMNS,
}
OWN_CODE = Path(__file__).parent
KEPT = 3  # results that stay in the cache: the last few states of the knowledge


def has_season(root: Path) -> bool:
    """Tell whether a knowledge folder has tables to make season pages from."""
    return (root / "season" / "stations.csv").is_file()


def read_season(
    root: Path, insects: Any, year: Any
) -> tuple[SeasonKnowledge | None, tuple[Problem, ...]]:
    """Read the tables of a knowledge folder and join them to its two season records.

    Gives nothing and no problem if the folder has no season; nothing and every problem if a
    table is wrong or a record missing.
    """
    if not has_season(root):
        return None, ()
    missing = [name for name, data in (("insects", insects), ("year", year)) if not data]
    problems = [_missing(f"season/{name}.yaml") for name in missing]
    tables, faults = _read_tables(root)
    if problems or faults:
        return None, (*problems, *faults)
    season, wrong = assemble_season(insects, year, tables)
    return (None if wrong else season), wrong


def _missing(file: str) -> Problem:
    return at_file(file, "missing-file", "the season's tables are here and this is missing")


def _read_tables(root: Path) -> tuple[dict[str, Document], list[Problem]]:
    tables: dict[str, Document] = {}
    problems: list[Problem] = []
    for name, columns in TABLES.items():
        file = f"season/{name}.csv"
        try:
            text = (root / file).read_bytes().decode("utf-8")
        except FileNotFoundError:
            problems.append(_missing(file))
            continue
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


def digest(parts: Iterable[bytes]) -> str:
    """One name for what a result was made from."""
    total = hashlib.sha256()
    for part in parts:
        total.update(hashlib.sha256(part).digest())
    return total.hexdigest()[:32]


def kept(
    folder: Path, key: str, make: Callable[[], Mapping[str, str]]
) -> Mapping[str, str]:
    """Texts made earlier from the same things by the same code, or made now and kept.

    `key` ends in the digest of what they are made from. A file that can't be read back
    counts as not there; a folder that can't be written to costs time and nothing else.
    """
    path = folder / f"{key}-{_code()}.json"
    found = _kept_texts(path)
    if found is not None:
        return found
    texts = make()
    # Without a cache the build is slower and the same.
    with suppress(OSError):
        _keep(folder, path, texts)
    return texts


@cache
def _code() -> str:
    """One name for the builder's own code."""
    return digest(file.read_bytes() for file in sorted(OWN_CODE.rglob("*.py")))


def _kept_texts(path: Path) -> Mapping[str, str] | None:
    try:
        texts = json.loads(path.read_bytes())
    except (OSError, ValueError):
        return None
    if isinstance(texts, dict) and all(isinstance(text, str) for text in texts.values()):
        return texts
    return None


def _keep(folder: Path, path: Path, texts: Mapping[str, str]) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    beside = path.with_suffix(".part")
    beside.write_text(json.dumps(texts, ensure_ascii=False), encoding="utf-8")
    beside.replace(path)
    kind = path.name.partition("-")[0]
    by_age = sorted(folder.glob(f"{kind}-*.json"), key=lambda file: file.stat().st_mtime)
    for old in by_age[:-KEPT]:
        old.unlink(missing_ok=True)
