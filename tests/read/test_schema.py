"""The shape of records: right schemas, and plain words at the smallest place."""

import copy
import json
import re
from collections.abc import Iterator, Mapping
from typing import Any

import pytest

from bedside.model.library import Document
from bedside.problems import Problem
from bedside.read import plain_yaml
from bedside.read.knowledge_files import read_knowledge, read_schemas
from bedside.read.plain_text import ID_FORM, STRAIGHTEN
from bedside.read.schema import Schemas, _validator, check_shape, fits
from tests.conftest import ROOT

SCHEMAS, _ = read_schemas(ROOT / "knowledge")
TRY: Mapping[str, Any] = {
    "try": {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": "try.schema.json",
        "type": "object",
        "additionalProperties": False,
        "required": ["name", "count"],
        "properties": {
            "name": {"type": "string", "minLength": 1, "maxLength": 12},
            "count": {"type": "integer", "minimum": 1, "maximum": 9},
            "open": {"type": "boolean"},
            "colour": {"enum": ["red", "green"]},
            "id": {
                "type": "string", "pattern": "^[a-z][a-z0-9]*(-[a-z0-9]+)*$",
                "description": "Stands in links.",
            },
            "day": {"type": "string", "pattern": "^[0-9-]+$", "format": "date"},
            "many": {
                "type": "array", "items": {"type": "string"}, "minItems": 1, "maxItems": 2,
                "uniqueItems": True,
            },
            "by_id": {
                "type": "object",
                "propertyNames": {"pattern": "^[a-z]+$", "description": "Small letters."},
                "additionalProperties": {"type": "string"},
                "minProperties": 1, "maxProperties": 2,
            },
            "shows": {
                "oneOf": [
                    {"const": "open"}, {"type": "array", "items": {"type": "string"}},
                ],
                "description": "The word open, or a list.",
            },
        },
    }
}  # fmt: skip


def problems_of(text: str, schemas: Mapping[str, Any] = TRY) -> tuple[Problem, ...]:
    parsed = plain_yaml.parse("try.yaml", text)
    assert not parsed.problems
    document = Document(
        kind="try", file="try.yaml", id="try", data=parsed.data, keys=parsed.keys,
        values=parsed.values, lines=parsed.lines,
    )  # fmt: skip
    return check_shape([document], schemas)


RIGHT = "name: a\ncount: 1\n"


@pytest.mark.parametrize(
    ("line", "at", "code", "message", "hint"),
    [
        ("colr: red", (3, 1, 4), "unknown-key", "unknown key 'colr'",
         "did you mean 'colour'?"),
        ("size: 3", (3, 1, 4), "unknown-key", "unknown key 'size'",
         "known here: open, colour, id, day, many, by_id, shows"),
        ("colour: gren", (3, 9, 4), "unknown-word", "'gren' is not a word for this",
         "did you mean 'green'? (one of: red, green)"),
        ("colour: 7", (3, 9, 1), "unknown-word", "'7' is not a word for this",
         "one of: red, green"),
        ("open: yes", (3, 7, 3), "wrong-type", "this must be true or false, not text",
         "write true or false, without quotes"),
        ("many: a", (3, 7, 1), "wrong-type", "this must be a list, not text",
         "write [one, two], or start each line below with '- '"),
        ("many: [a, 2]", (3, 11, 1), "wrong-type", "this must be text, not a number",
         "put it in quotes: '2'"),
        ("many: [a, true]", (3, 11, 4), "wrong-type",
         "this must be text, not true or false",
         "put it in quotes: 'true'"),
        ("many: []", (3, 1, 4), "too-few", "none written here, and at least 1 must be",
         "write what is missing"),
        ("many: [a, b, c]", (3, 14, 1), "too-many",
         "3 written here, and at most 2 may be", "take out what is least needed"),
        ("many: [a, a]", (3, 11, 1), "repeated", "'a' is written twice",
         "keep one of them"),
        ("many:", (3, 6, 1), "empty", "nothing is written here; it must be a list",
         "write [one, two], or start each line below with '- '"),
        ("by_id: {A: x}", (3, 9, 1), "wrong-form", "'A' cannot stand here as a key",
         "small letters"),
        ("by_id: {a: [x]}", (3, 12, 3), "wrong-type", "this must be text, not a list",
         "write one text after the colon, and nothing below it"),
        ("by_id: {}", (3, 1, 5), "too-few",
         "none written here, and at least 1 must be", "write what is missing"),
        ("by_id: {a: x, b: x, c: x}", (3, 21, 1), "too-many",
         "3 written here, and at most 2 may be: 'c' is one too many",
         "write it deeper in, below what it belongs to, or take it out"),
        ("shows: shut", (3, 8, 4), "wrong-form", "'shut' does not have the right form",
         "the word open, or a list"),
        ("shows: [1]", (3, 9, 1), "wrong-type", "this must be text, not a number",
         "put it in quotes: '1'"),
        ("day: 2025-02-29", (3, 6, 10), "wrong-date", "there is no day '2025-02-29'",
         "look how another record of this kind writes it"),
        ("count: x", (2, 8, 1), "wrong-type", "this must be a whole number, not text",
         "write a whole number, such as 7, without quotes or words"),
        ("count: 12", (2, 8, 2), "out-of-range",
         "12 is written here; it must be at most 9", "write a number from 1 to 9"),
        ("colour: a red one", (3, 9, 9), "unknown-word",
         "'a red one' is not a word for this", "did you mean 'red'? (one of: red, green)"),
        ("colour: red\u201d", (3, 9, 4), "unknown-word",
         "'red\u201d' is not a word for this", STRAIGHTEN + " (one of: red, green)"),
        ("id: Leaf Spot", (3, 5, 9), "wrong-form",
         "'Leaf Spot' does not have the right form",
         f"stands in links; an id has {ID_FORM}"),
        ("id: leaf\u2019s", (3, 5, 6), "wrong-form",
         "'leaf\u2019s' does not have the right form", STRAIGHTEN),
    ],
)  # fmt: skip
def test_the_words_of_a_fault(
    line: str, at: tuple[int, int, int], code: str, message: str, hint: str
) -> None:
    """A fault of shape is said once, in plain words, at the smallest key or value."""
    key = line.partition(":")[0]
    (problem,) = problems_of(re.sub(rf"^{key}: .*\n", "", RIGHT, flags=re.MULTILINE) + line)
    assert (problem.line, problem.column, problem.length) == at
    assert (problem.code, problem.message, problem.hint) == (code, message, hint)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("colour: red", {
            ("missing-key", "'name' is missing"), ("missing-key", "'count' is missing")}),
        ("name: abcdefghijklm\ncount: 0", {
            ("too-long", "this has 13 characters, and at most 12 fit"),
            ("out-of-range", "0 is written here; it must be at least 1")}),
        ("name: ''\ncount: 10", {
            ("empty", "nothing is written here"),
            ("out-of-range", "10 is written here; it must be at most 9")}),
        ("- a", {
            ("wrong-type", "this must be a mapping of 'key: value' lines, not a list")}),
        ("name: a\ncount: 1.0", {("wrong-type", "this must be a whole number, not text")}),
        ("name: a\ncount: 1\ncolour: red\nday: 2024-02-29\nshows: open", set()),
    ],
)  # fmt: skip
def test_several_faults(text: str, found: set[tuple[str, str]]) -> None:
    """Each fault of a record is reported, each once."""
    problems = problems_of(text)
    assert {(it.code, it.message) for it in problems} == found
    assert len(problems) == len(found)


def test_where_every_key_is_taken_no_key_is_offered() -> None:
    """A key too many, in a record that has all it may have, gets no empty list of keys."""
    small = {"name": {"type": "string"}, "count": {"type": "integer"}}
    schemas = {"try": {**TRY["try"], "properties": small}}
    (problem,) = problems_of(RIGHT + "size: 3", schemas)
    assert (problem.message, problem.hint) == ("unknown key 'size'", "")


def test_the_quick_validator_is_never_more_lenient() -> None:
    """Whatever is left out of a record or made odd: it takes nothing that is wrong."""
    documents, _ = read_knowledge(ROOT / "tests" / "toy")
    version = json.dumps(SCHEMAS, sort_keys=True)
    refused = 0
    for document in documents:
        if document.kind in SCHEMAS:
            validator = _validator(version, document.kind)
            for spoiled in variants(document.data):
                if not fits(spoiled, version, document.kind):
                    refused += 1
                else:
                    assert validator.is_valid(spoiled), (document.file, spoiled)
    assert refused > 1000


ODD: tuple[Any, ...] = (
    None, True, 0, 1, -1, 10**6, "", "x", "A b", "2025-02-29", "2025-02-28\n", "x" * 900,
    [], ["x", "x"], {}, {"A": "x"}, {"x": ["x"]},
)  # fmt: skip


def variants(data: Any) -> Iterator[Any]:
    """The same data with one part left out, added or odd, for every part."""
    if isinstance(data, dict):
        yield {**data, "odd": "x"}
    if isinstance(data, (dict, list)):
        for at in data if isinstance(data, dict) else range(len(data)):
            left = copy.copy(data)
            del left[at]
            yield left
            for below in (*ODD, *variants(data[at])):
                changed = copy.copy(data)
                changed[at] = below
                yield changed


def test_a_missing_key_names_its_owner() -> None:
    """A key missing deep in a record says where it belongs."""
    schemas = {"try": {**TRY["try"], "properties": {"deep": TRY["try"]}, "required": []}}
    parsed = plain_yaml.parse("try.yaml", "deep: {name: a}")
    document = Document(
        kind="try", file="try.yaml", id="try", data=parsed.data, keys=parsed.keys,
        values=parsed.values, lines=parsed.lines,
    )  # fmt: skip
    (problem,) = check_shape([document], schemas)
    assert (problem.message, problem.column) == ("'count' is missing in 'deep'", 1)


def test_the_schemas_are_schemas() -> None:
    """Every schema is right by the standard it names (JSON Schema 2020-12)."""
    assert not faults_of_schemas(SCHEMAS)
    assert faults_of_schemas({"odd": {"type": "lizt"}})
    for name, schema in SCHEMAS.items():
        assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
        assert schema["$id"] == f"{name}.schema.json"


def test_every_pattern_says_what_it_wants() -> None:
    """A form that can be wrong has a description, because the message repeats it."""
    silent = [
        f"{name}: {part['pattern']}"
        for name, schema in SCHEMAS.items()
        for part in parts_of(schema)
        if "pattern" in part and "description" not in part
    ]
    assert not silent


def test_records_are_closed() -> None:
    """No record takes keys that are not named, so a misspelt key never passes."""
    for name, schema in SCHEMAS.items():
        for part in parts_of(schema):
            if part.get("type") == "object":
                assert "additionalProperties" in part, name
                assert part["additionalProperties"] is not True, name


def test_an_editor_says_what_every_key_is_for() -> None:
    """Each key has a line that shows beside it, its own or that of what it refers to."""
    schemas, _ = read_schemas(ROOT / "knowledge")
    bare = [
        f"{name}: {key}"
        for name, schema in schemas.items()
        for part in parts_of(schema)
        if isinstance(part.get("properties"), dict)
        for key, meant in part["properties"].items()
        if not said_of(schemas, name, meant)
    ]
    assert bare == []


def said_of(schemas: Schemas, name: str, part: Any) -> str:
    """The description of a part of a schema, or of what it refers to."""
    while "description" not in part and "$ref" in part:
        file, _, steps = part["$ref"].partition("#/")
        name = file.removesuffix(".schema.json") or name
        part = schemas[name]
        for step in steps.split("/"):
            part = part[step]
    return str(part.get("description", "")).strip()


def test_the_first_line_of_every_record_names_its_schema() -> None:
    """Editors complete and check a record by the schema its first line names."""
    for folder in (ROOT / "knowledge", ROOT / "tests" / "toy"):
        for path in sorted(folder.rglob("*.yaml")):
            first = path.read_text(encoding="utf-8").partition("\n")[0]
            if path.parent.name in ("words", "season") and "$schema" not in first:
                continue  # data that only the program reads
            mark, _, named = first.partition("$schema=")
            assert mark == "# yaml-language-server: ", path.name
            assert (path.parent / named).is_file(), path.name


def parts_of(schema: Any) -> list[dict[str, Any]]:
    """List every part of a schema that is itself a schema-like mapping."""
    if isinstance(schema, list):
        return [part for item in schema for part in parts_of(item)]
    if not isinstance(schema, dict):
        return []
    below = [part for item in schema.values() for part in parts_of(item)]
    return [schema, *below]


def faults_of_schemas(schemas: Schemas) -> tuple[str, ...]:
    """Name every schema that is not itself a right schema, with the reason."""
    import jsonschema
    from jsonschema.validators import Draft202012Validator

    wrong = []
    for name, schema in schemas.items():
        try:
            Draft202012Validator.check_schema(schema)
        except jsonschema.SchemaError as error:
            wrong.append(f"{name}: {error.message}")
    return tuple(wrong)
