"""The shape of the records: documents and JSON Schemas in, problems out, in an editor's words.

The validator reports the thing that holds the fault; here each report is moved to the smallest
key or value at fault and put in plain words. Codes are the same for every kind of record.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from itertools import islice
from typing import Any, cast

import jsonschema
from jsonschema.exceptions import ValidationError
from jsonschema.validators import Draft202012Validator
from referencing import Registry, Resource

from builder.documents import Document, Path
from builder.plain_yaml import MAX_PROBLEMS
from builder.problems import Problem, did_you_mean, problem_at

Schemas = Mapping[str, Any]
Found = Iterator[Problem]

# Kinds whose schema, if there is one, has the name of the file: words/taught.yaml -> taught.
NAMED_BY_FILE = ("words", "season")
WITHOUT_SCHEMA = ("drawing", "addresses")
WORDS_FOR_TYPE = {
    "object": "a mapping of 'key: value' lines", "array": "a list", "string": "text",
    "integer": "a whole number", "number": "a number", "boolean": "true or false",
}  # fmt: skip


def check_shape(documents: Iterable[Document], schemas: Schemas) -> tuple[Problem, ...]:
    """Check every document against the schema of its kind."""
    validators = _validators(schemas)
    problems: list[Problem] = []
    for document in documents:
        validator = validators.get(_schema_name(document))
        if validator is not None:
            found = _problems_of(document, validator)
            problems += islice(found, MAX_PROBLEMS)
    return tuple(problems)


def check_schemas(schemas: Schemas) -> tuple[str, ...]:
    """Name every schema that is not itself right, with the reason."""
    wrong = []
    for name, schema in schemas.items():
        try:
            Draft202012Validator.check_schema(schema)
        except jsonschema.SchemaError as error:
            wrong.append(f"{name}: {error.message}")
    return tuple(wrong)


def _validators(schemas: Schemas) -> dict[str, Draft202012Validator]:
    resources = [Resource.from_contents(schema) for schema in schemas.values()]
    registry = Registry().with_resources(
        [(schema["$id"], it) for schema, it in zip(schemas.values(), resources, strict=True)]
    )
    # `registry` and the checker of dates are newer than the published types of the library.
    make = cast("Callable[..., Draft202012Validator]", Draft202012Validator)
    checker = Draft202012Validator.FORMAT_CHECKER
    return {
        name: make(schema, registry=registry, format_checker=checker)
        for name, schema in schemas.items()
    }


def _schema_name(document: Document) -> str:
    if document.kind in WITHOUT_SCHEMA:
        return ""
    return document.id if document.kind in NAMED_BY_FILE else document.kind


def _problems_of(document: Document, validator: Draft202012Validator) -> Found:
    for error in validator.iter_errors(document.data):
        yield from _in_words(document, error, tuple(error.absolute_path))


def _in_words(document: Document, error: ValidationError, path: Path) -> Found:
    explain = EXPLAIN.get(str(error.validator), _wrong_form)
    if error.parent is None and "propertyNames" in error.absolute_schema_path:
        # The path leads to the mapping; what is wrong is one key of it.
        place = document.place(*path, str(error.instance), key=True)
        yield problem_at(
            place, "wrong-form", f"'{error.instance}' cannot stand here as a key",
            _form_hint(error),
        )  # fmt: skip
        return
    yield from explain(document, error, path)


def _unknown_key(document: Document, error: ValidationError, path: Path) -> Found:
    known = list(error.schema["properties"])
    unknown = [key for key in error.instance if key not in known]
    for key in unknown:
        rest = [name for name in known if name not in error.instance]
        hint = did_you_mean(key, known) or (f"known here: {', '.join(rest)}" if rest else "")
        yield problem_at(
            document.place(*path, key, key=True), "unknown-key", f"unknown key '{key}'", hint
        )


def _missing_key(document: Document, error: ValidationError, path: Path) -> Found:
    for key in error.validator_value:
        if key not in error.instance and repr(key) in error.message:
            owner = _owner(document, path)
            yield problem_at(
                document.place(*path, key=True), "missing-key",
                f"'{key}' is missing{owner}", f"add a line '{key}: …'",
            )  # fmt: skip


def _owner(document: Document, path: Path) -> str:
    names = [str(step) for step in path if isinstance(step, str)]
    return f" in '{names[-1]}'" if names else ""


def _wrong_type(document: Document, error: ValidationError, path: Path) -> Found:
    wanted, found = WORDS_FOR_TYPE[str(error.validator_value)], error.instance
    place = document.place(*path)
    if found == "":
        yield problem_at(place, "empty", f"nothing is written here; it must be {wanted}")
        return
    hint = ""
    if error.validator_value == "string" and isinstance(found, (int, bool)):
        hint = f"put it in quotes: '{_as_written(found)}'"
    elif error.validator_value == "array" and isinstance(found, str):
        hint = "start the line with '- ', or write [one, two]"
    yield problem_at(
        place, "wrong-type", f"this must be {wanted}, not {_type_words(found)}", hint
    )


def _type_words(value: Any) -> str:
    if isinstance(value, bool):
        return "true or false"
    named = {dict: "a mapping", list: "a list", str: "text", int: "a number"}
    return named[type(value)]


def _as_written(value: Any) -> str:
    return str(value).lower() if isinstance(value, bool) else str(value)


def _unknown_word(document: Document, error: ValidationError, path: Path) -> Found:
    words = [str(word) for word in error.validator_value]
    written = error.instance
    place = document.place(*path)
    if not isinstance(written, (str, int)):
        yield problem_at(
            place, "wrong-type", f"this must be one word, not {_type_words(written)}",
            f"one of: {', '.join(words)}",
        )  # fmt: skip
        return
    shown = _as_written(written)
    hint = did_you_mean(shown, words)
    choice = f"one of: {', '.join(words)}"
    yield problem_at(
        place, "unknown-word", f"'{shown[:60]}' is not a word for this",
        f"{hint} ({choice})" if hint else choice,
    )  # fmt: skip


def _wrong_form(document: Document, error: ValidationError, path: Path) -> Found:
    written = str(error.instance)
    if written == "":
        yield problem_at(document.place(*path), "empty", "nothing is written here")
        return
    yield problem_at(
        document.place(*path), "wrong-form", f"'{written[:60]}' does not have the right form",
        _form_hint(error),
    )  # fmt: skip


def _form_hint(error: ValidationError) -> str:
    schema = error.schema if isinstance(error.schema, dict) else {}
    if error.validator == "maxLength":
        return f"at most {error.validator_value} characters"
    said = str(schema.get("description", ""))
    return said[:1].lower() + said[1:].rstrip(".") if said else ""


def _empty(document: Document, error: ValidationError, path: Path) -> Found:
    yield problem_at(
        document.place(*path), "empty", "nothing is written here",
        "write it, or delete the key if it may be left out",
    )  # fmt: skip


def _too_long(document: Document, error: ValidationError, path: Path) -> Found:
    yield problem_at(
        document.place(*path), "too-long",
        f"this has {len(error.instance):,} characters, and at most {error.validator_value} fit",
        "shorten it, or split it in two",
    )  # fmt: skip


def _too_few(document: Document, error: ValidationError, path: Path) -> Found:
    wanted, found = error.validator_value, len(error.instance)
    yield problem_at(
        document.place(*path, key=True), "too-few",
        f"{found or 'none'} written here, and at least {wanted} must be",
    )  # fmt: skip


def _too_many(document: Document, error: ValidationError, path: Path) -> Found:
    place = document.place(*path, int(error.validator_value))
    yield problem_at(
        place, "too-many",
        f"{len(error.instance)} are written here, and at most {error.validator_value} may be",
    )  # fmt: skip


def _repeated(document: Document, error: ValidationError, path: Path) -> Found:
    seen: list[Any] = []
    for at, item in enumerate(error.instance):
        if item in seen:
            yield problem_at(
                document.place(*path, at), "repeated", f"'{item}' is written twice",
                "keep one of them",
            )  # fmt: skip
        seen.append(item)


def _out_of_range(document: Document, error: ValidationError, path: Path) -> Found:
    limit = "at least" if error.validator == "minimum" else "at most"
    yield problem_at(
        document.place(*path), "out-of-range",
        f"{error.instance} is written here; it must be {limit} {error.validator_value}",
    )  # fmt: skip


def _no_choice_fits(document: Document, error: ValidationError, path: Path) -> Found:
    branches: dict[int, list[ValidationError]] = {}
    for inner in error.context or ():
        branches.setdefault(int(inner.relative_schema_path[0]), []).append(inner)
    for inner_errors in branches.values():
        # The branch meant is the one whose outermost shape fits; its faults say the most.
        if all(inner.validator not in ("type", "const") for inner in inner_errors):
            for inner in inner_errors:
                yield from _in_words(document, inner, tuple(inner.absolute_path))
            return
    yield from _wrong_form(document, error, path)


EXPLAIN: Mapping[str, Callable[[Document, ValidationError, Path], Found]] = {
    "additionalProperties": _unknown_key,
    "required": _missing_key,
    "type": _wrong_type,
    "enum": _unknown_word,
    "minLength": _empty,
    "maxLength": _too_long,
    "minItems": _too_few,
    "minProperties": _too_few,
    "maxItems": _too_many,
    "uniqueItems": _repeated,
    "minimum": _out_of_range,
    "maximum": _out_of_range,
    "oneOf": _no_choice_fits,
}
