"""Letters read by the real reader in a real browser, for tests and for the report."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import yaml
from playwright.sync_api import Browser, Page

from bedside.model.records import Cause, Plant
from bedside.read.library import read_library

HERE = Path(__file__).parent / "letters"
KNOWLEDGE = Path(__file__).parents[2] / "knowledge"
TABLE = "assets/letters-canna.json"
# The module and the table are fetched once; letters go in and readings come out.
READY = """async ([root, table]) => {
  window.reader = await import(`${root}assets/letters.js`);
  window.words = await import(`${root}assets/letter_words.js`);
  window.reply = await import(`${root}assets/letters_reply.js`);
  window.table = await (await fetch(root + table)).json();
}"""
READ = "letters => letters.map(it => reader.readLetter(it, table))"
REPLY = "letters => letters.map(it => reader.readLetter(it, table).reply)"
OPEN = "not enough information"
OTHER = "not a canna problem"

Reading = dict[str, Any]


def reader_page(browser: Browser, site: str) -> Page:
    """Open a page that holds the reader and its table."""
    page = browser.new_page()
    page.goto(f"{site}about/")
    page.evaluate(READY, [site, TABLE])
    return page


def letters(name: str) -> Any:
    """Read one file of letters."""
    return yaml.safe_load((HERE / name).read_text(encoding="utf-8"))


@dataclass(frozen=True, kw_only=True, slots=True)
class Wanted:
    """What a good reading of one letter finds."""

    id: str
    text: str
    causes: tuple[str, ...]
    decided: bool  # one of `causes` must come first
    asks: bool  # naming a cause outside `causes` is wrong; asking back is right
    strict: bool  # says too little: any single cause named is wrong


def development() -> tuple[Wanted, ...]:
    """List the development letters with the causes that count as right."""
    labels = letters("labels.yml")
    return tuple(_wanted(it, labels) for it in letters("development.yml"))


def _wanted(letter: dict[str, Any], labels: dict[str, list[str]]) -> Wanted:
    named = [letter["expected"], *letter["also_acceptable"]]
    named += [letter["expected_second"]] if "expected_second" in letter else []
    more = letter["needs_more_info"] == "yes"
    other = letter["expected"] == OTHER
    return Wanted(
        id=letter["id"],
        text=letter["email"],
        causes=tuple(cause for name in named for cause in labels[name]),
        decided=not more and letter["expected"] not in (OPEN, OTHER),
        asks=more and not other,
        strict=letter["expected"] == OPEN,
    )


def invented() -> tuple[Wanted, ...]:
    """List the short letters of one trouble each."""
    return tuple(
        Wanted(
            id=f"P{number:03}",
            text=it["text"],
            causes=(it["cause"],) if "cause" in it else (),
            decided="cause" in it,
            asks="ask" in it,
            strict="ask" in it,
        )
        for number, it in enumerate(letters("plain.yaml")["letters"], 1)
    )


@cache
def known_plant() -> Plant:
    """The records of the plant, read once: hundreds of letters ask for them."""
    library, _, _ = read_library(KNOWLEDGE)
    assert library
    return library.knowledge.plants["canna"]


def known_causes() -> Mapping[str, Cause]:
    """The records of its causes."""
    return known_plant().causes


def right_steps(causes: tuple[str, ...]) -> set[str]:
    """Name the first steps that are right for any of these causes."""
    records = known_causes()
    return {
        step
        for cause in causes
        for step in (records[cause].first_step, *records[cause].also_right)
    }


def asked_back(wanted: Wanted, reading: Reading) -> bool:
    """Whether a letter that says too little is answered with a question."""
    if not reading["enough"]:
        return True
    return not wanted.strict and reading["ranking"][0]["cause"] in wanted.causes


@dataclass(frozen=True, kw_only=True, slots=True)
class Shares:
    """How many letters of each kind came out right."""

    decided: int
    first: int
    three: int
    step: int
    asks: int
    back: int
    wrong: tuple[tuple[str, str], ...]  # id, what went wrong


def measured(wanted: tuple[Wanted, ...], readings: list[Reading]) -> Shares:
    """Count over letters and their readings."""
    counts = dict.fromkeys(("decided", "first", "three", "step", "asks", "back"), 0)
    wrong: list[tuple[str, str]] = []
    for letter, reading in zip(wanted, readings, strict=True):
        for name, right in _judged(letter, reading):
            counts[name] += right
            if not right:
                wrong.append((letter.id, name))
        counts["decided"] += letter.decided
        counts["asks"] += letter.asks
    return Shares(**counts, wrong=tuple(wrong))


def _judged(letter: Wanted, reading: Reading) -> list[tuple[str, bool]]:
    if letter.asks:
        return [("back", asked_back(letter, reading))]
    if not letter.decided:
        return []
    first = [it["cause"] for it in reading["ranking"][:3]]
    return [
        ("first", first[0] in letter.causes),
        ("three", any(cause in letter.causes for cause in first)),
        ("step", reading["firstStep"] in right_steps(letter.causes)),
    ]
