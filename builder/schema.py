"""The shape of the records: documents and JSON Schemas in, problems out.

The validator reports the thing that holds the fault; `builder.shape_words` moves each
report to the smallest key or value at fault and says it in an editor's words.
"""

import json
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import islice
from typing import Any, cast

import jsonschema
from jsonschema.validators import Draft202012Validator
from referencing import Registry, Resource

from builder.documents import Document
from builder.plain_text import MAX_PROBLEMS
from builder.problems import Problem
from builder.shape_words import Fault, in_words

Schemas = Mapping[str, Any]

# Kinds whose schema, if there is one, has the name of the file: words/taught.yaml: taught.
NAMED_BY_FILE = ("words", "season")


def check_shape(documents: Iterable[Document], schemas: Schemas) -> tuple[Problem, ...]:
    """Check every document against the schema of its kind, where there is one."""
    validators = _validators(schemas)
    version = json.dumps(schemas, sort_keys=True)
    problems: list[Problem] = []
    for document in documents:
        name = document.id if document.kind in NAMED_BY_FILE else document.kind
        if name in validators:
            about = (version, name, document.file, document.lines)
            problems += _problems(
                _Case(about=about, document=document, validator=validators[name])
            )
    return tuple(problems)


@dataclass(frozen=True, kw_only=True, slots=True)
class _Case:
    """A document and its validator; the same text under the same schemas is one case."""

    about: tuple[object, ...]
    document: Document = field(compare=False)
    validator: Draft202012Validator = field(compare=False)


# Where a folder is read again and again while it is edited, most files are as they were.
@lru_cache(maxsize=4096)
def _problems(case: _Case) -> tuple[Problem, ...]:
    return tuple(islice(_problems_of(case.document, case.validator), MAX_PROBLEMS))


def faults_of_schemas(schemas: Schemas) -> tuple[str, ...]:
    """Name every schema that is not itself a right schema, with the reason."""
    wrong = []
    for name, schema in schemas.items():
        try:
            Draft202012Validator.check_schema(schema)
        except jsonschema.SchemaError as error:
            wrong.append(f"{name}: {error.message}")
    return tuple(wrong)


def _validators(schemas: Schemas) -> dict[str, Draft202012Validator]:
    registry: Any = Registry().with_resources(
        [(schema["$id"], Resource.from_contents(schema)) for schema in schemas.values()]
    )
    # The published types of the library do not know `registry` yet.
    make = cast("Callable[..., Draft202012Validator]", Draft202012Validator)
    # The standard lets a validator pass over formats; ours looks at dates.
    dates = Draft202012Validator.FORMAT_CHECKER
    return {
        name: make(schema, registry=registry, format_checker=dates)
        for name, schema in schemas.items()
    }


def _problems_of(document: Document, validator: Draft202012Validator) -> Iterator[Problem]:
    said = set()
    for error in validator.iter_errors(document.data):
        for problem in in_words(Fault.of(document, error)):
            # Each missing key is reported by itself, and each report leads to all.
            if problem not in said:
                said.add(problem)
                yield problem
