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

import fastjsonschema

from bedside.cache import Kept, digest
from bedside.model.documents import Document
from bedside.problems import Problem
from bedside.read.plain_text import MAX_PROBLEMS
from bedside.read.schema_messages import Fault, in_words

if TYPE_CHECKING:
    from jsonschema.validators import Draft202012Validator

Schemas = Mapping[str, Any]

# Kinds whose schema, if there is one, has the name of the file: words/taught.yaml: taught.
NAMED_BY_FILE = ("words", "season")
FILE_END = ".schema.json"


def check_shape(
    documents: Iterable[Document], schemas: Schemas, kept: Kept | None = None
) -> tuple[Problem, ...]:
    """Check every document against the schema of its kind, where there is one.

    That a record is right is kept: it is looked at again when its text or a schema changes.
    """
    version = json.dumps(schemas)
    asked = {it.file: it for it in documents if _schema_of(it) in schemas}

    def right(files: tuple[str, ...]) -> dict[str, bytes]:
        return {
            file: b"" for file in files
            if fits(asked[file].data, version, _schema_of(asked[file]))
        }  # fmt: skip

    keys = {file: _key(version, document) for file, document in asked.items()}
    taken = (kept or Kept()).all("shapes", keys, right)
    problems: list[Problem] = []
    for file, document in asked.items():
        if file not in taken:
            found = _problems_of(document, _validator(version, _schema_of(document)))
            problems += islice(found, MAX_PROBLEMS)
    return tuple(problems)


def _schema_of(document: Document) -> str:
    return document.id if document.kind in NAMED_BY_FILE else document.kind


def _key(version: str, document: Document) -> str:
    text = "\n".join(document.lines)
    return digest(it.encode() for it in (version, document.kind, document.id, text))


def fits(data: Any, version: str, name: str) -> bool:
    """Whether the compiled schema takes some data. `version` is all schemas, as JSON."""
    try:
        _compiled(version, name)(data)
    except fastjsonschema.JsonSchemaException:
        # The data is wrong, or the schema is: the other validator says which.
        return False
    return True


# A folder that is read again and again while it is edited has the same schemas.
@lru_cache(maxsize=256)
def _compiled(version: str, name: str) -> Callable[[Any], object]:
    schemas = json.loads(version)
    compiled: Callable[[Any], object] = fastjsonschema.compile(
        schemas[name],
        handlers={"": lambda file: schemas[file.removesuffix(FILE_END)]},
        formats={"date": _is_day},
        use_default=False,
    )
    return compiled


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
