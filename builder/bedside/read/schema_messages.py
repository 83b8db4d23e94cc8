"""A validator's report in, the same in an editor's words and at the smallest place out."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from bedside.model.library import Document, Path
from bedside.problems import Problem, did_you_mean, problem_at
from bedside.read.plain_text import CURLY, ID_FORM, STRAIGHTEN

if TYPE_CHECKING:
    from jsonschema.exceptions import ValidationError

TYPE_WORDS = {
    "object": "a mapping of 'key: value' lines",
    "array": "a list",
    "string": "text",
    "integer": "a whole number",
    "number": "a number",
    "boolean": "true or false",
}
FOUND_WORDS = {
    bool: "true or false",
    int: "a number",
    str: "text",
    list: "a list",
    dict: "a mapping",
}
# What to write where something else stands, or nothing.
WRITE = {
    "object": "below the key, start each line two blanks further in: 'key: value'",
    "array": "write [one, two], or start each line below with '- '",
    "string": "write one text after the colon, and nothing below it",
    "integer": "write a whole number, such as 7, without quotes or words",
    "number": "write a number, such as 7, without quotes or words",
    "boolean": "write true or false, without quotes",
}
ID_START = "^[a-z][a-z0-9]*"  # how the form of every kind of id begins
SHOWN = 60  # characters of a wrong value that a message repeats

Said = Iterator[Problem]


@dataclass(frozen=True, kw_only=True, slots=True)
class Fault:
    """One report: the keyword that failed, what it wanted, what it found, and where."""

    document: Document
    path: Path
    keyword: str
    wanted: Any
    found: Any
    schema: Mapping[str, Any]
    about_key: bool  # `found` is a key of the mapping that `path` leads to
    choices: tuple["Fault", ...]  # what is wrong with each way to fit
    choice: int = 0  # which way to fit this fault belongs to

    @classmethod
    def of(cls, document: Document, error: "ValidationError") -> "Fault":
        """Take what matters from the validator's error."""
        return cls(
            document=document,
            path=tuple(error.absolute_path),
            keyword=str(error.validator),
            wanted=error.validator_value,
            found=error.instance,
            schema=error.schema if isinstance(error.schema, dict) else {},
            about_key="propertyNames" in error.absolute_schema_path,
            choices=tuple(cls.of(document, inner) for inner in error.context or ()),
            choice=_choice(error),
        )

    def problem(
        self,
        code: str,
        message: str,
        hint: str = "",
        *,
        below: Path = (),
        key: bool = False,
    ) -> Problem:
        """Make a problem at the place of this fault, or below it."""
        place = self.document.place(*self.path, *below, key=key)
        return problem_at(place, code, message, hint)


def in_words(fault: Fault) -> Said:
    """Say what is wrong."""
    if fault.about_key:
        message = f"'{_shown(fault.found)}' cannot stand here as a key"
        below = (fault.found,)
        yield fault.problem("wrong-form", message, _form(fault), below=below, key=True)
    else:
        yield from EXPLAIN.get(fault.keyword, _wrong_form)(fault)


def _choice(error: "ValidationError") -> int:
    first = next(iter(error.relative_schema_path), 0)
    return first if isinstance(first, int) else 0


def _unknown_key(fault: Fault) -> Said:
    known = list(fault.schema.get("properties", ()))
    free = ", ".join(name for name in known if name not in fault.found)
    for key in fault.found:
        if key not in known:
            hint = did_you_mean(key, known) or (f"known here: {free}" if free else "")
            message = f"unknown key '{_shown(key)}'"
            yield fault.problem("unknown-key", message, hint, below=(key,), key=True)


def _missing_key(fault: Fault) -> Said:
    names = [step for step in fault.path if isinstance(step, str)]
    owner = f" in '{names[-1]}'" if names else ""
    for key in fault.wanted:
        if key not in fault.found:
            yield fault.problem(
                "missing-key",
                f"'{key}' is missing{owner}",
                f"add a line '{key}: …'",
                key=True,
            )


def _wrong_type(fault: Fault) -> Said:
    if fault.found == "":
        needed = f"nothing is written here; it must be {TYPE_WORDS[fault.wanted]}"
        yield fault.problem("empty", needed, WRITE[fault.wanted])
        return
    hint = WRITE[fault.wanted]
    if fault.wanted == "string" and isinstance(fault.found, int):
        hint = f"put it in quotes: '{_written(fault.found)}'"
    message = f"this must be {TYPE_WORDS[fault.wanted]}, not {_kind(fault.found)}"
    yield fault.problem("wrong-type", message, hint)


def _unknown_word(fault: Fault) -> Said:
    words = [_written(word) for word in fault.wanted]
    choice = f"one of: {', '.join(words)}"
    if isinstance(fault.found, (dict, list)):
        message = f"this must be one word, not {_kind(fault.found)}"
        yield fault.problem("wrong-type", message, choice)
    elif fault.found == "":
        yield fault.problem("empty", "nothing is written here", choice)
    else:
        written = _written(fault.found)
        close = STRAIGHTEN if CURLY.search(written) else did_you_mean(written, words)
        yield fault.problem(
            "unknown-word",
            f"'{_shown(fault.found)}' is not a word for this",
            f"{close} ({choice})" if close else choice,
        )


def _wrong_form(fault: Fault) -> Said:
    # An empty text fails its pattern too; it is reported once, as empty.
    if fault.found == "":
        yield from _empty(fault)
    else:
        message = f"'{_shown(fault.found)}' does not have the right form"
        yield fault.problem("wrong-form", message, _form(fault))


def _wrong_date(fault: Fault) -> Said:
    if fault.found != "" and "-" in str(fault.found):
        message = f"there is no day '{_shown(fault.found)}'"
        yield fault.problem("wrong-date", message, _form(fault))


def _empty(fault: Fault) -> Said:
    hint = "write it, or delete the key if it may be left out"
    yield fault.problem("empty", "nothing is written here", hint)


def _too_long(fault: Fault) -> Said:
    message = f"this has {len(fault.found):,} characters, and at most {fault.wanted:,} fit"
    yield fault.problem("too-long", message, "shorten it, or split it in two")


def _too_few(fault: Fault) -> Said:
    found = len(fault.found) or "none"
    message = f"{found} written here, and at least {fault.wanted} must be"
    yield fault.problem("too-few", message, "write what is missing", key=True)


def _too_many(fault: Fault) -> Said:
    message = f"{len(fault.found)} written here, and at most {fault.wanted} may be"
    hint = "take out what is least needed"
    yield fault.problem("too-many", message, hint, below=(fault.wanted,))


def _too_many_keys(fault: Fault) -> Said:
    extra = list(fault.found)[fault.wanted]
    message = (
        f"{len(fault.found)} written here, and at most {fault.wanted} may be: "
        f"'{_shown(extra)}' is one too many"
    )
    hint = "write it deeper in, below what it belongs to, or take it out"
    yield fault.problem("too-many", message, hint, below=(extra,), key=True)


def _repeated(fault: Fault) -> Said:
    for at, item in enumerate(fault.found):
        if item in fault.found[:at]:
            message = f"'{_shown(item)}' is written twice"
            yield fault.problem("repeated", message, "keep one of them", below=(at,))


def _out_of_range(fault: Fault) -> Said:
    limit = "at least" if fault.keyword == "minimum" else "at most"
    message = f"{fault.found} is written here; it must be {limit} {fault.wanted}"
    low, high = fault.schema.get("minimum"), fault.schema.get("maximum")
    ends = (
        f"from {low}" if low is not None else "",
        f"to {high}" if high is not None else "",
    )
    hint = f"write a number {' '.join(filter(None, ends))}"
    yield fault.problem("out-of-range", message, hint)


def _no_choice_fits(fault: Fault) -> Said:
    by_choice: dict[int, list[Fault]] = {}
    for inner in fault.choices:
        by_choice.setdefault(inner.choice, []).append(inner)
    for faults in by_choice.values():
        # The way that was meant is the one whose outermost shape fits.
        if all(
            it.path != fault.path or it.keyword not in ("type", "const") for it in faults
        ):
            for it in faults:
                yield from in_words(it)
            return
    yield from _wrong_form(fault)


def _form(fault: Fault) -> str:
    if isinstance(fault.found, str) and CURLY.search(fault.found):
        return STRAIGHTEN
    if fault.keyword == "maxLength":
        return f"at most {fault.wanted} characters"
    said = str(fault.schema.get("description", "")).rstrip(".")
    form = said[:1].lower() + said[1:]
    if str(fault.schema.get("pattern", "")).startswith(ID_START):
        return "; ".join(filter(None, (form, f"an id has {ID_FORM}")))
    return form or "look how another record of this kind writes it"


def _kind(value: Any) -> str:
    return FOUND_WORDS[type(value)]


def _written(value: Any) -> str:
    return str(value).lower() if isinstance(value, bool) else str(value)


def _shown(value: Any) -> str:
    text = _written(value)
    return text if len(text) <= SHOWN else f"{text[:SHOWN]}…"


EXPLAIN: Mapping[str, Callable[[Fault], Said]] = {
    "additionalProperties": _unknown_key,
    "required": _missing_key,
    "type": _wrong_type,
    "enum": _unknown_word,
    "format": _wrong_date,
    "minLength": _empty,
    "maxLength": _too_long,
    "minItems": _too_few,
    "minProperties": _too_few,
    "maxItems": _too_many,
    "maxProperties": _too_many_keys,
    "uniqueItems": _repeated,
    "minimum": _out_of_range,
    "maximum": _out_of_range,
    "oneOf": _no_choice_fits,
}
