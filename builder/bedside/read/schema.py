"""The shape of the records: documents and JSON Schemas in, problems out.

Two validators read the same schemas. A compiled one is quick and only says whether a record
is right. What it does not take goes to a second, whose word counts: it reports the thing
that holds each fault, and `bedside.read.schema_messages` moves that to the smallest key or
value at fault and says it in an editor's words.
"""

import json
from collections.abc import Callable, Iterable, Iterator, Mapping
from datetime import date
from functools import lru_cache
from itertools import islice
from typing import TYPE_CHECKING, Any, cast

import jsonschema_rs

from bedside.model.library import Document
from bedside.problems import Problem
from bedside.read.drafts import is_draft, relaxed
from bedside.read.plain_text import MAX_PROBLEMS
from bedside.read.schema_messages import Fault, in_words

if TYPE_CHECKING:
    from jsonschema.validators import Draft202012Validator

Schemas = Mapping[str, Any]

# Kinds whose schema, if there is one, has the name of the file: words/taught.yaml: taught.
NAMED_BY_FILE = ("words", "season")
FILE_END = ".schema.json"


def check_shape(documents: Iterable[Document], schemas: Schemas) -> tuple[Problem, ...]:
    """Check every document against the schema of its kind, where there is one."""
    version = json.dumps(schemas)
    problems: list[Problem] = []
    for document in documents:
        name = _schema_of(document)
        if name in schemas and not fits(document.data, version, name):
            found = _problems_of(document, _validator(version, name))
            if is_draft(document):
                found = relaxed(document, found)
            problems += islice(found, MAX_PROBLEMS)
    return tuple(problems)


def _schema_of(document: Document) -> str:
    return document.id if document.kind in NAMED_BY_FILE else document.kind


def fits(data: Any, version: str, name: str) -> bool:
    """Whether the compiled schema takes some data. `version` is all schemas, as JSON."""
    try:
        return _compiled(version, name).is_valid(data)
    except ValueError:
        # The schema is wrong, or holds a form that only the other validator reads.
        return False


# A folder that is read again and again while it is edited has the same schemas.
@lru_cache(maxsize=256)
def _compiled(version: str, name: str) -> jsonschema_rs.Draft202012Validator:
    schemas = json.loads(version)

    def named(address: str) -> Any:
        return schemas[address.rpartition("/")[2].removesuffix(FILE_END)]

    return jsonschema_rs.Draft202012Validator(
        schemas[name],
        retriever=named,
        formats={"date": _is_day},
        validate_formats=True,
    )


def _is_day(text: str) -> bool:
    try:
        date.fromisoformat(text)
    except ValueError:
        return False
    return True


@lru_cache(maxsize=256)
def _validator(version: str, name: str) -> "Draft202012Validator":
    # Imported late: it takes longer to load than the compiled one to check every record.
    from jsonschema.validators import Draft202012Validator
    from referencing import Registry, Resource

    schemas = json.loads(version)
    registry: Any = Registry().with_resources(
        [(schema["$id"], Resource.from_contents(schema)) for schema in schemas.values()]
    )
    # The published types of the library do not know `registry` yet.
    make = cast("Callable[..., Draft202012Validator]", Draft202012Validator)
    # The standard lets a validator pass over formats; ours looks at dates.
    dates = Draft202012Validator.FORMAT_CHECKER
    return make(schemas[name], registry=registry, format_checker=dates)


def _problems_of(
    document: Document, validator: "Draft202012Validator"
) -> Iterator[Problem]:
    said = set()
    for error in validator.iter_errors(document.data):
        for problem in in_words(Fault.of(document, error)):
            # Each missing key is reported by itself, and each report leads to all.
            if problem not in said:
                said.add(problem)
                yield problem
