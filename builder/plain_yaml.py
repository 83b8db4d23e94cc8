"""Plain YAML: text in; plain values, a span for each, and problems out. Touches no file.

YAML turns `no`, `1:30`, `010`, `1e5` and dates into things a grower did not write. Here every
bare word is text, except true, false and whole numbers; what is quoted is text always. Keys are
always text. Blank ends of a text are dropped. Tags, aliases and second documents are refused:
no record needs them, and a few lines of aliases can grow without bound.
"""

import gc
import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

import yaml

from builder.documents import Path, Span, location
from builder.problems import Problem, problem_at

MAX_DEPTH = 20
MAX_PROBLEMS = 25  # of one file; a file with more has one fault that repeats
# Fifteen digits are more than any count here; longer rows of digits are names, and stay text.
WHOLE_NUMBER = re.compile(r"-?(0|[1-9][0-9]{0,14})")
# Control characters, line breaks other than a new line, invisible marks, turned writing direction.
HIDDEN = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\xad\u200b\u200e\u200f\u2028-\u202e\u2060-\u206f\ufeff\ud800-\udfff]"
)
PLAIN_TAGS = frozenset(f"tag:yaml.org,2002:{name}" for name in ("str", "seq", "map"))
# What the parser says, and what to say instead.
ADVICE = (
    ("mapping values are not allowed", "there is a ': ' inside the text; put the text in quotes"),
    ("could not find expected ':'", "each line is 'key: value'; see if a colon is missing"),
    ("cannot start any token", "put the text in quotes, it starts with a special character"),
    ("did not find expected key", "see if the line starts in the same column as its neighbours"),
    ("did not find expected '-'", "see if the item starts in the same column as its neighbours"),
    ("did not find expected ',' or", "a bracket is opened and not closed"),
    ("unexpected end of stream", "a quote is opened and not closed"),
    ("found undefined alias", "put the text in quotes, a bare * has a meaning of its own"),
    ("unknown escape", "inside double quotes a backslash is special; use single quotes"),
)  # fmt: skip


class _Loader(yaml.CSafeLoader):
    """The C parser without YAML's guesses at numbers, dates and booleans."""

    yaml_implicit_resolvers: dict[str, Any] = {}  # noqa: RUF012 - as the library declares it


@dataclass(kw_only=True, slots=True)
class Parsed:
    """What one text holds. `data` is only of use while `problems` is empty."""

    file: str
    lines: tuple[str, ...]
    data: Any = None
    keys: dict[Path, Span] = field(default_factory=dict)
    values: dict[Path, Span] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)

    def report(self, span: Span, code: str, message: str, hint: str = "") -> None:
        """Add a problem, up to the bound."""
        if len(self.problems) < MAX_PROBLEMS:
            place = location(self.file, self.lines, span)
            self.problems.append(problem_at(place, code, message, hint))


def parse(file: str, text: str) -> Parsed:
    """Parse the text of one YAML file."""
    parsed = Parsed(file=file, lines=split_lines(text))
    find_hidden(parsed)
    _find_tabs(parsed)
    if not parsed.problems:
        root = _compose(parsed, text)
        if root is not None:
            _Walk(parsed).fill(root, text)
    return parsed


def split_lines(text: str) -> tuple[str, ...]:
    """Split at new lines only, as the parser counts them once hidden characters are refused."""
    return tuple(text.split("\n"))


def find_hidden(parsed: Parsed) -> None:
    """Report characters that do not show on a screen."""
    for number, line in enumerate(parsed.lines, start=1):
        for match in HIDDEN.finditer(line):
            _report_hidden(parsed, (number, match.start() + 1, 1), match.group())


@contextmanager
def collector_paused() -> Iterator[None]:
    """Keep Python's cycle collector from scanning a growing tree of nodes again and again.

    With it on, ten times the records took twenty-one times as long.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def _report_hidden(parsed: Parsed, span: Span, character: str) -> None:
    mark = ord(character)
    if mark == 0xFEFF and span[:2] == (1, 1):
        parsed.report(
            span, "hidden-character", "the file starts with a byte order mark (U+FEFF)",
            "save the file as 'UTF-8', not as 'UTF-8 with BOM'",
        )  # fmt: skip
    else:
        parsed.report(
            span, "hidden-character", f"a character that does not show (U+{mark:04X})",
            "delete it; it often comes along when text is pasted",
        )  # fmt: skip


def _find_tabs(parsed: Parsed) -> None:
    for number, line in enumerate(parsed.lines, start=1):
        if "\t" in line:
            span = (number, line.index("\t") + 1, 1)
            parsed.report(span, "tab", "a tab stands in this line", "use spaces")


def _compose(parsed: Parsed, text: str) -> yaml.Node | None:
    loader = _Loader(text)
    try:
        root: yaml.Node | None = loader.get_single_node()
    except yaml.MarkedYAMLError as error:
        _report_syntax(parsed, error)
        return None
    finally:
        loader.dispose()  # type: ignore[no-untyped-call]
    if root is None:
        parsed.report(
            (1, 1, 1), "empty-file", "the file is empty",
            "fill it, or delete the file if nothing belongs in it",
        )  # fmt: skip
    return root


def _report_syntax(parsed: Parsed, error: yaml.MarkedYAMLError) -> None:
    mark = error.problem_mark or error.context_mark
    span = (mark.line + 1, mark.column + 1, 1) if mark else (1, 1, 1)
    said = error.problem or "no more is known"
    if "another document" in said:
        parsed.report(
            span, "second-document", "a second record starts here",
            "one file holds one record; delete the line '---' or make a second file",
        )  # fmt: skip
        return
    hint = next((advice for phrase, advice in ADVICE if phrase in said), "")
    parsed.report(span, "not-yaml", f"this cannot be read: {said}", hint)


class _Walk:
    """Goes once over the composed nodes and fills in data, spans and problems."""

    def __init__(self, parsed: Parsed) -> None:
        self.parsed = parsed
        self.seen: set[int] = set()
        self.has_alias = False

    def fill(self, root: yaml.Node, text: str) -> None:
        self.parsed.data = self.value(root, ())
        if self.has_alias:
            self._report_aliases(text)

    def value(self, node: yaml.Node, path: Path) -> Any:
        if id(node) in self.seen:
            self.has_alias = True
            return ""
        self.seen.add(id(node))
        span = self.parsed.values[path] = self._span(node)
        if node.tag not in PLAIN_TAGS:
            self.parsed.report(span, "tag", f"a tag '{node.tag}' stands here", "delete it")
        if isinstance(node, yaml.ScalarNode):
            return self._scalar(node, span)
        if len(path) >= MAX_DEPTH:
            self.parsed.report(
                span, "too-deep", f"lists and mappings go more than {MAX_DEPTH} levels deep"
            )
            return ""
        if isinstance(node, yaml.SequenceNode):
            return [self.value(item, (*path, at)) for at, item in enumerate(node.value)]
        return self._mapping(node, path)

    def _scalar(self, node: yaml.ScalarNode, span: Span) -> str | int | bool:
        text: str = node.value
        if not node.style:  # a bare word
            if text in ("true", "false"):
                return text == "true"
            if WHOLE_NUMBER.fullmatch(text):
                return int(text)
        elif node.style == '"' and (match := HIDDEN.search(text)):
            # Double quotes can spell a hidden character that the scan of the text cannot see.
            _report_hidden(self.parsed, span, match.group())
        return text.strip()

    def _mapping(self, node: yaml.Node, path: Path) -> dict[str, Any]:
        data: dict[str, Any] = {}
        for key_node, value_node in node.value:
            span = self._span(key_node)
            if not isinstance(key_node, yaml.ScalarNode):
                self.parsed.report(span, "odd-key", "a key must be a word", "write 'key: value'")
                continue
            key = key_node.value.strip()
            below = (*path, key)
            if key in data:
                first = self.parsed.keys[below][0]
                self.parsed.report(
                    span, "duplicate-key", f"'{key}' is written twice",
                    f"the first is in line {first}; keep one of them",
                )  # fmt: skip
                continue
            self.parsed.keys[below] = span
            data[key] = self.value(value_node, below)
        return data

    def _span(self, node: yaml.Node) -> Span:
        start, end = node.start_mark, node.end_mark
        if end.line == start.line:
            length = end.column - start.column
        else:
            length = len(self.parsed.lines[start.line]) - start.column
        return start.line + 1, start.column + 1, max(1, length)

    def _report_aliases(self, text: str) -> None:
        for event in yaml.parse(text, Loader=_Loader):
            if isinstance(event, yaml.AliasEvent):
                mark = event.start_mark
                self.parsed.report(
                    (mark.line + 1, mark.column + 1, len(event.anchor) + 1), "alias",
                    f"'*{event.anchor}' repeats another part of the file",
                    "write the part out in full, so that each line says what it means",
                )  # fmt: skip
