"""Plain YAML: text in; plain values, a span for each, and problems out. Touches no file.

YAML turns `no`, `1:30`, `010`, `1e5` and dates into things a grower did not write. Here a
bare word is text, except true, false and whole numbers; what is quoted is text always. Keys
are always text. Blank ends of a text are dropped. Tags, aliases and second documents are
refused: no record needs them, and a few lines of aliases can grow without bound.
"""

import re
from collections.abc import Sequence
from typing import Any

import yaml

from bedside.model.library import Path, Span
from bedside.read.plain_text import (
    CURLY,
    HIDDEN,
    STRAIGHTEN,
    Parsed,
    find_hidden,
    report_hidden,
    split_lines,
)

MAX_DEPTH = 20
# Fifteen digits are more than any count here; longer rows of digits are names: text.
WHOLE_NUMBER = re.compile(r"-?(0|[1-9][0-9]{0,14})")
PLAIN_TAGS = frozenset(f"tag:yaml.org,2002:{name}" for name in ("str", "seq", "map"))
# What the parser says, and what to say instead.
ADVICE = (
    (
        "mapping values are not allowed",
        "a ': ' stands inside the text; put the text in quotes",
    ),
    ("could not find expected ':'", "each line is 'key: value'; see if a colon is missing"),
    ("cannot start any token", "it starts with a special character; put it in quotes"),
    ("did not find expected key", "start the line in the same column as its neighbours"),
    ("did not find expected '-'", "start the item in the same column as its neighbours"),
    ("did not find expected ',' or", "a bracket is opened and not closed"),
    ("unexpected end of stream", "a quote is opened and not closed"),
    ("found undefined alias", "put the text in quotes, a bare * has a meaning of its own"),
    ("unknown escape", "inside double quotes a backslash is special; use single quotes"),
)


class _Loader(yaml.CSafeLoader):
    """The C parser without YAML's guesses at numbers, dates and booleans."""

    yaml_implicit_resolvers: dict[str, Any] = {}  # noqa: RUF012 - as the library declares it


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
        loader.dispose()
    if root is None:
        parsed.report(
            (1, 1, 1),
            "empty-file",
            "the file is empty",
            "fill it, or delete the file if nothing belongs in it",
        )
    return root


def _report_syntax(parsed: Parsed, error: yaml.MarkedYAMLError) -> None:
    mark = error.problem_mark or error.context_mark
    span = (mark.line + 1, mark.column + 1, 1) if mark else (1, 1, 1)
    said = error.problem or "no more is known"
    if "another document" in said:
        parsed.report(
            span,
            "second-document",
            "a second record starts here",
            "one file holds one record; delete the line '---' or make a second file",
        )
        return
    hint = next((advice for phrase, advice in ADVICE if phrase in said), "")
    if said.startswith(ADVICE[0][0]):
        hint = _above(parsed.lines, span[0]) or hint
    parsed.report(span, "not-yaml", f"this cannot be read: {said}", hint)


ONE_KEY = re.compile(r"\s*(?:- )?[\w-]+:(?: [^:]*)?$")
NO_SPACE = re.compile(r"\s*(?:- )?[\w-]+:\S")


def _above(lines: Sequence[str], line: int) -> str:
    """Say what is wrong above a line that is right by itself; nothing if it is not."""
    here = lines[line - 1] if line <= len(lines) else ""
    before = [
        it for it in lines[: line - 1] if it.strip() and not it.lstrip().startswith("#")
    ]
    if not before or not ONE_KEY.match(here):
        return ""
    if NO_SPACE.match(before[-1]):
        return "a space is missing after the colon in the line above"
    if _indent(here) > _indent(before[-1]):
        return "start this line in the same column as the one above"
    return ""


def _is_wrapped(text: str) -> bool:
    """Whether a text stands in quotes that are none: what is within would be said so."""
    if len(text) < 2 or not CURLY.match(text):
        return False
    # A quotation within a longer text is the grower's own.
    return bool(CURLY.match(text[-1])) and not CURLY.search(text[1:-1])


def _indent(line: str) -> int:
    return len(line) - len(line.lstrip())


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
            message = f"lists and mappings go more than {MAX_DEPTH} levels deep"
            hint = "no record goes so deep: see if lines are moved too far to the right"
            self.parsed.report(span, "too-deep", message, hint)
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
            if _is_wrapped(text):
                self.parsed.report(
                    span, "curly-quote", "curly quotes stand around this", STRAIGHTEN
                )
        elif node.style == '"' and (match := HIDDEN.search(text)):
            # Double quotes can spell a hidden character that the text itself does not hold.
            report_hidden(self.parsed, span, match.group())
        return text.strip()

    def _mapping(self, node: yaml.Node, path: Path) -> dict[str, Any]:
        data: dict[str, Any] = {}
        for key_node, value_node in node.value:
            span = self._span(key_node)
            if not isinstance(key_node, yaml.ScalarNode):
                advice = "write 'key: value'"
                self.parsed.report(span, "odd-key", "a key must be a word", advice)
                continue
            key = key_node.value.strip()
            if CURLY.search(key):
                self.parsed.report(span, "curly-quote", f"the key is {key}", STRAIGHTEN)
                continue
            below = (*path, key)
            if key in data:
                first = self.parsed.keys[below][0]
                self.parsed.report(
                    span,
                    "duplicate-key",
                    f"'{key}' is written twice",
                    f"the first is in line {first}; keep one of them",
                )
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
                mark: Any = event.start_mark
                name = f"*{event.anchor}"
                self.parsed.report(
                    (mark.line + 1, mark.column + 1, len(name)),
                    "alias",
                    f"'{name}' repeats another part of the file",
                    "write the part out in full, so that each line says what it means",
                )
