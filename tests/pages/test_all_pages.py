"""What pages take from words.json is there, or is a problem that says what to write."""

import ast
import inspect
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

import pytest

from bedside import pipeline
from bedside.model.library import Library
from bedside.pages.all_pages import PAGE_KINDS, unsaid
from bedside.pages.frame.desk import Site, site
from bedside.problems import render
from bedside.read.theme import read_theme
from tests.browser import ROOT


@pytest.fixture(scope="module")
def toy_site(toy: Library) -> Site:
    return site(toy, read_theme(ROOT))


def without(words: Mapping[str, Any], key: str, name: str) -> dict[str, Any]:
    return {**words, key: {it: text for it, text in words[key].items() if it != name}}


def said_in(kind: object) -> Iterator[str]:
    """The names that a module of pages asks words.json for, where it says them plainly."""
    for node in ast.walk(ast.parse(inspect.getsource(kind))):  # type: ignore[arg-type]
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            first = node.args[0] if node.args else None
            if isinstance(first, ast.Constant) and node.func.attr == "said":
                yield repr(first.value)[1:-1]
            elif isinstance(first, ast.Constant) and node.func.attr == "reference":
                yield from (f"titles.{first.value!s}", f"descriptions.{first.value!s}")


def test_the_shipped_words_say_all(toy_site: Site) -> None:
    """No kind of page asks for a title that is not there."""
    assert not list(unsaid(toy_site.words))


@pytest.mark.parametrize("kind", PAGE_KINDS.values(), ids=PAGE_KINDS)
def test_a_kind_names_all_that_it_takes(kind: object) -> None:
    """What a module asks for stands in its list, so that no missing text is overlooked."""
    assert set(said_in(kind)) <= set(getattr(kind, "SAYS", {}))


@pytest.mark.parametrize(("key", "name"), [("titles", "causes"), ("descriptions", "short")])
def test_a_missing_text_is_a_problem(toy_site: Site, key: str, name: str) -> None:
    """The build says which file lacks what, and what to write, and makes no page."""
    words = without(toy_site.words, key, name)
    lacking = replace(toy_site, theme=replace(toy_site.theme, words=words))
    built = pipeline.compiled(lacking, (), pipeline.Built(problems=()))
    assert not built.pages
    told = render(built.problems, folder="knowledge/")
    assert (
        f"knowledge/../site_src/words.json:1:1: error: there is no text '{key}.{name}'"
        in told
    )
    assert f'hint: write a text for "{name}" below "{key}"' in told
    assert (ROOT / "knowledge/../site_src/words.json").is_file()


def test_a_slot_that_nothing_fills_is_a_problem(toy_site: Site) -> None:
    """A misspelt slot is named beside those that there are."""
    titles = {**toy_site.words["titles"], "short": "{nmae}", "lost": "{where}"}
    lost, short = sorted(
        unsaid({**toy_site.words, "titles": titles}), key=lambda it: it.hint
    )
    assert short.message == "nothing fills {nmae} in 'titles.short'"
    assert short.hint == "it may hold {name}"
    assert (lost.message, lost.hint) == (
        "nothing fills {where} in 'titles.lost'",
        "it may hold no braces",
    )
