"""Read the knowledge folder: the only module that touches the grower's files.

A file becomes a `Document` or problems; one bad file never hides the others. Which file
holds which kind of record is said in `bedside.read.layout`.
"""

import json
import os
import re
import stat
from collections.abc import Iterable, Iterator, Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any

from bedside.model.library import Document
from bedside.problems import Location, Problem, problem_at
from bedside.read import plain_csv, plain_text, plain_yaml
from bedside.read.layout import (
    PLANT_MARKS,
    SHARED_FOLDERS,
    SHIPPED_RECORDS,
    Rule,
    at_file,
    folder_is_known,
    missing,
    passed_over,
    rule_for,
    unknown_file,
    unknown_folder,
)
from bedside.read.shipped import KNOWLEDGE, is_stray, laid_over

MAX_BYTES = 1_000_000
RECORD_ID = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")
MAX_ID = 40
SERVICE_COLUMNS = ("state", "name", "service", "url", "basis")
SCHEMA_SUFFIX = ".schema.json"

Found = tuple[tuple[Document, ...], tuple[Problem, ...]]


def read_knowledge(root: Path) -> Found:
    """Read every record below `root` in the order of names, and every problem in reading.

    A document comes back for each file that could be read, also when others could not.
    """
    if not root.is_dir():
        return (), (at_file("", "missing-folder", f"there is no folder {root.name}/"),)
    with plain_text.collector_paused():
        return _read_all(root)


def read_schemas(root: Path) -> tuple[Mapping[str, Any], tuple[Problem, ...]]:
    """Read the schemas of a knowledge folder by name: `cause`, `common` and so on."""
    schemas, problems = {}, []
    for name, path in laid_over(root, "schema", KNOWLEDGE):
        if not name.endswith(SCHEMA_SUFFIX):
            continue
        try:
            schema = json.loads(path.read_bytes())
            wrong = "" if _is_schema(schema, name) else f"this has no '$id': '{name}'"
        except (OSError, ValueError) as error:
            wrong = f"this is not JSON: {error}"
        if wrong:
            hint = "delete it, and the one that ships takes its place"
            problems.append(at_file(f"schema/{name}", "broken-schema", wrong, hint))
        else:
            schemas[name.removesuffix(SCHEMA_SUFFIX)] = schema
    return schemas, tuple(problems)


def _is_schema(found: Any, name: str) -> bool:
    return isinstance(found, dict) and found.get("$id") == name


def _read_all(root: Path) -> Found:
    plants = tuple(sorted(folder.name for folder in root.iterdir() if _is_plant(folder)))
    documents: list[Document] = []
    problems: list[Problem] = []
    files: set[str] = set()
    strays: list[str] = []
    for entry in _entries(root, root, plants):
        if isinstance(entry, Problem):
            problems.append(entry)
            continue
        file = entry.relative_to(root).as_posix()
        files.add(file)
        if is_stray(entry.name):
            strays.append(file)
            continue
        document, faults = _read_file(root, file, plants)
        problems += faults
        documents += [document] if document else []
    for file in sorted(_shipped_records() - files):
        document, _ = _read_file(KNOWLEDGE, file, plants)
        documents += [document] if document else []
    problems += [*missing(files, plants), *passed_over(strays)]
    return tuple(sorted(documents, key=lambda it: it.file.split("/"))), tuple(problems)


def _shipped_records() -> set[str]:
    found = (KNOWLEDGE.glob(pattern) for pattern in SHIPPED_RECORDS)
    return {path.relative_to(KNOWLEDGE).as_posix() for paths in found for path in paths}


def _is_plant(folder: Path) -> bool:
    return (
        folder.name not in SHARED_FOLDERS
        and not folder.name.startswith(".")
        and folder.is_dir()
        and any((folder / mark).exists() for mark in PLANT_MARKS)
    )


def _entries(root: Path, folder: Path, plants: tuple[str, ...]) -> Iterator[Path | Problem]:
    """Walk in the order of names; what begins with a dot is for other programs."""
    for entry in sorted(folder.iterdir()):
        file = entry.relative_to(root).as_posix()
        if is_stray(entry.name):
            yield entry
            continue
        if entry.name.startswith("."):
            continue
        if entry.is_symlink() and not _stays_inside(root, entry):
            yield at_file(
                file,
                "outside-folder",
                "this is a link that leads out of the folder",
                "put the file itself here",
            )
        elif not entry.is_dir():
            yield entry
        elif entry.suffix in (".yaml", ".csv", ".svg"):
            yield at_file(
                file,
                "not-a-file",
                "this is a folder, and a file is needed",
                "rename or delete the folder",
            )
        elif folder_is_known(file, plants) and not entry.is_symlink():
            yield from _entries(root, entry, plants)
        else:
            yield unknown_folder(file, plants)


def _stays_inside(root: Path, link: Path) -> bool:
    # `realpath` also follows a ring of links to an end; `resolve` would raise.
    return Path(os.path.realpath(link)).is_relative_to(os.path.realpath(root))


def _read_file(
    root: Path, file: str, plants: tuple[str, ...]
) -> tuple[Document | None, Iterable[Problem]]:
    rule = rule_for(file, plants)
    if rule is None:
        return None, [unknown_file(file, plants)]
    if not rule.kind:
        return None, ()
    stem = file.rpartition("/")[2].rpartition(".")[0]
    text = _bad_name(rule, file, stem) or _text_of(root / file, file)
    if isinstance(text, Problem):
        return None, [text]
    parsed = _parse(file, text, rule.kind)
    if parsed.problems:
        return None, parsed.problems
    top = file.partition("/")[0]
    return Document(
        kind=rule.kind,
        file=file,
        id=stem,
        plant=top if top in plants else "",
        data=parsed.data,
        keys=parsed.keys,
        values=parsed.values,
        lines=parsed.lines,
    ), ()


def _bad_name(rule: Rule, file: str, stem: str) -> Problem | None:
    if "*" not in rule.pattern or (RECORD_ID.fullmatch(stem) and len(stem) <= MAX_ID):
        return None
    message = f"'{stem}' cannot be the id of a record"
    return at_file(file, "file-name", message, f"name the file with {id_form(stem)}")


def id_form(written: str) -> str:
    """What an id may hold, with one made of what was written, where that can be."""
    if plain_text.CURLY.search(written):
        return plain_text.STRAIGHTEN
    spelled = "-".join(plain_text.plain_words(written)).strip("-0123456789")
    near = spelled[:MAX_ID].strip("-")
    like = f"; for instance '{near}'" if RECORD_ID.fullmatch(near) else ""
    return f"{plain_text.ID_FORM}, at most {MAX_ID} of them{like}"


# Where a folder is read again and again while it is edited, most files are as they were.
@lru_cache(maxsize=2048)
def _parse(file: str, text: str, kind: str) -> plain_text.Parsed:
    if kind == "services":
        return plain_csv.parse(file, text, SERVICE_COLUMNS)
    if kind == "drawing":
        parsed = plain_text.Parsed(file=file, lines=plain_text.split_lines(text), data=text)
        plain_text.find_hidden(parsed)
        return parsed
    return plain_yaml.parse(file, text)


def _text_of(path: Path, file: str) -> str | Problem:
    try:
        found = path.stat()
        if not stat.S_ISREG(found.st_mode):
            return at_file(file, "not-a-file", "this is not a file of text", "delete it")
        if found.st_size > MAX_BYTES:
            return at_file(
                file,
                "too-large",
                f"the file has {found.st_size:,} bytes",
                f"a record is a page of text; at most {MAX_BYTES:,} bytes are read",
            )
        data = path.read_bytes()
    except OSError as error:
        message = f"the file cannot be opened: {error.strerror}"
        hint = "see who may read it, and if another program holds it open"
        return at_file(file, "unreadable", message, hint)
    try:
        # Some editors begin a file with a mark that says it is UTF-8; it is no text.
        return data.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        return _not_utf8(file, data, error.start)


def _not_utf8(file: str, data: bytes, start: int) -> Problem:
    before = data[:start]
    line_start = before.rfind(b"\n") + 1
    line = data[line_start:].partition(b"\n")[0].decode("utf-8", "replace")
    place = Location(
        file=file,
        line=before.count(b"\n") + 1,
        source_line=line,
        column=len(before[line_start:].decode()) + 1,
    )
    return problem_at(
        place,
        "not-utf8",
        "a letter here is not stored as UTF-8",
        "save the file as UTF-8; most editors offer it under 'Save as'",
    )
