"""Safe to publish: nothing foreign is asked for, nothing runs that is not ours."""

import random
import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import html5lib
import pytest
from playwright.sync_api import Browser, Error, Page

from bedside import checks, pipeline
from bedside.model.library import Library
from bedside.pages.frame.assets import bundle
from bedside.pages.frame.desk import site
from bedside.problems import ERROR
from bedside.publish.headers import RECIPES, Site, policy_of
from bedside.publish.site_files import read_site
from bedside.publish.sitemap import SECURITY
from bedside.publish.whole_site import build_site
from bedside.read import plain_yaml
from bedside.read.assemble import assemble
from bedside.read.knowledge_files import read_knowledge, read_schemas
from bedside.read.schema import check_shape
from bedside.read.theme import read_theme
from tests.browser import ROOT, served, still
from tests.conftest import TOY
from tests.publish.hostile_values import HOSTILE, MARK, fragment, letter, spoiled
from tests.shipped import PLANT
from tests.sweep import SWEEP

HTML = "{http://www.w3.org/1999/xhtml}"
VALUES = 100_000 if SWEEP else 600  # spoiled values
AT_ONCE = 10  # of one record
LETTERS = 10_000 if SWEEP else 150
FRAGMENTS = 2_000 if SWEEP else 60
CRAWLED = 10_000 if SWEEP else 24
COMPILED_EVERY = 25


@pytest.fixture
def watched(browser: Browser) -> Iterator[Callable[[], tuple[Page, list[str]]]]:
    """Gives a page and the list of what went wrong on it, requests elsewhere too."""
    opened = []

    def open_one() -> tuple[Page, list[str]]:
        page = browser.new_page(service_workers="block")
        opened.append(page)
        faults: list[str] = []
        page.on("pageerror", lambda error: faults.append(f"error {error}"))
        page.on(
            "console", lambda it: faults.append(it.text) if it.type == "error" else None
        )
        page.on("request", lambda it: _foreign(it.url, faults))
        page.on("dialog", lambda it: faults.append(f"dialog {it.message}"))
        return page, faults

    yield open_one
    for page in opened:
        page.close()


def _foreign(url: str, faults: list[str]) -> None:
    parts = urlsplit(url)
    if parts.scheme not in ("data", "blob", "about") and parts.hostname != "127.0.0.1":
        faults.append(f"asked {url}")


def test_a_crawl_meets_no_error_and_no_stranger(
    site_folder: Path, watched: Callable[[], tuple[Page, list[str]]]
) -> None:
    """No page asks anyone else for anything, logs an error, or keeps a cookie."""
    page, faults = watched()
    names = [it for it in read_site(site_folder) if it.endswith(".html")]
    first = {re.sub(r"[^/]+/index", "*/index", it): it for it in names}  # one of each kind
    rest = random.Random(3).sample(names, min(CRAWLED, len(names)))
    with served(site_folder) as address:
        for name in dict.fromkeys((*first.values(), *rest)):
            here = address + name.removesuffix("index.html")
            page.goto(here)
            if b'http-equiv="refresh"' in (site_folder / name).read_bytes():
                page.wait_for_url(re.compile(f"^(?!{re.escape(here)}$)"))
            page.wait_for_load_state("networkidle" if SWEEP else "load")
            assert not faults, name
        page.goto(f"{address}about/")
    assert page.context.cookies() == []
    assert page.evaluate("localStorage.length + sessionStorage.length") == 0


def test_nothing_on_a_page_names_another_host_to_load_from(site_folder: Path) -> None:
    """No src, no style and no form of any page leads to another host."""
    loaded = re.compile(
        r"""\s(?:src|action|poster|data)=["']?(?:https?:)?//|url\(["']?(?:https?:)?//|@import"""
    )
    for name, text in pages(site_folder):
        assert not loaded.search(text), name
        for tag in re.findall(r"<link\b[^>]*>", text):
            assert "//" not in tag or 'rel="canonical"' in tag, (name, tag)


def test_links_to_others_are_https_and_say_so(site_folder: Path) -> None:
    """A link to another site is https, tells it nothing of ours, and opens no window."""
    seen = 0
    for name, text in pages(site_folder):
        for tag in re.findall(r"""<a\b[^>]*href=["']?https?:[^>]*>""", text):
            seen += 1
            assert "https://" in tag, (name, tag)
            assert re.search(r'rel="[^"]*\bnoreferrer\b', tag), (name, tag)
            assert "target=" not in tag, (name, tag)
    assert seen > 100
    look = "".join(it.read_text("utf-8") for it in (ROOT / "site_src/style").glob("*.css"))
    assert 'a[rel~="noreferrer"]::after' in look


def test_every_page_has_a_strict_policy(site_folder: Path) -> None:
    """Inline parts run only by their hash; nothing is allowed to be unsafe or foreign."""
    for name, text in pages(site_folder):
        policy = re.search(r'Content-Security-Policy" content="([^"]*)"', text)
        assert policy, name
        rules = dict(it.split(" ", 1) for it in policy[1].split("; "))
        assert rules["default-src"] == "'none'"
        assert rules["base-uri"] == "'none'"
        assert "unsafe" not in policy[1]
        assert "http" not in policy[1]
        # What browsers ignore in a meta element (CSP 3, 3.3) must not stand there.
        assert not {"frame-ancestors", "report-uri", "sandbox"} & set(rules)
        assert not re.search(r"<[a-z][^>]*\s(?:on[a-z]+|style)=", text), name


def test_the_policy_of_the_server_lets_every_page_work(
    toy_folder: Path, browser: Browser
) -> None:
    """The one policy of the header recipes holds what the pages' own policies hold."""
    files = read_site(toy_folder)
    policy = policy_of(files)
    assert policy.endswith("; frame-ancestors 'none'")
    rules = dict(it.split(" ", 1) for it in policy.split("; "))
    for name, text in pages(toy_folder):
        own = re.search(r'Content-Security-Policy" content="([^"]*)"', text)
        assert own
        for rule in own[1].split("; "):
            key, *values = rule.split(" ")
            assert set(values) <= set(rules[key].split(" ")), name
    for recipe in RECIPES.values():
        assert policy in recipe(Site(policy=policy, base="/"))


def test_files_for_other_programs(site_folder: Path) -> None:
    """security.txt (RFC 9116), robots.txt (RFC 9309), a sitemap of pages worth finding."""
    files = read_site(site_folder)
    security = files[SECURITY].decode()
    assert re.search(r"(?m)^Contact: mailto:\S+@\S+$", security)
    assert re.search(r"(?m)^Expires: \d{4}-\d\d-\d\dT00:00:00Z$", security)
    site = re.search(r"(?m)^Canonical: (https://\S+/)\.well-known/security\.txt$", security)
    assert site
    assert f"Sitemap: {site[1]}sitemap.xml" in files["robots.txt"].decode()
    found = re.findall(r"<loc>([^<]*)</loc>", files["sitemap.xml"].decode())
    assert len(found) == len(set(found))
    names = {it.removeprefix(site[1]) + "index.html" for it in found}
    assert names <= set(files)
    assert "index.html" in names
    assert not [it for it in names if re.match(rf"c/|letters/|{PLANT}/result/", it)]
    for name in names:
        assert 'name="robots" content="noindex"' not in files[name].decode(), name


def test_hostile_records_stay_text(tmp_path: Path, toy_copy: Path, watched: Any) -> None:
    """Markup in every name and sentence of the knowledge is shown, never obeyed."""
    hostile = f'"><{MARK} onclick=ran()>'
    # The printed sheet is no page, and refuses what is too long for its place.
    (toy_copy / "mossbell" / "handout.yaml").unlink()
    for file in toy_copy.rglob("*.yaml"):
        text = file.read_text(encoding="utf-8")
        keys = "say|says|do|name|question|where|in_short|split|works_when|write_if|title"
        changed = re.sub(
            rf"(?m)^(\s*(?:- )?(?:{keys}): )(.+)$", rf"\1'{hostile} \2'", text
        ) if "words" not in file.parts else text  # fmt: skip
        file.write_text(re.sub(r"'(\">[^\n]*) '(.*)''", r"'\1 \2'", changed), "utf-8")
    out = tmp_path / "site"
    problems = build_site(ROOT, out, knowledge=toy_copy)
    assert not [f"{it.file}:{it.line} {it.message}" for it in problems if it.level == ERROR]
    shown = 0
    for name, text in pages(out):
        assert not marked_elements(text), name
        shown += text.count(f"&lt;{MARK}")
    assert shown > 100
    page, faults = watched()
    with served(out) as address:
        for below in ("", "mossbell/result/#holes.slime", "causes/bell-moth/", "causes/"):
            page.goto(address + below)
            page.wait_for_load_state("networkidle")
            assert page.query_selector(MARK) is None
        # The theme's search puts parts of pages together by itself.
        # It listens once its own script has come, and then answers what stands there.
        page.wait_for_load_state("networkidle")
        page.type("input[name=query]", "moth")
        page.locator(".md-search-result__item a").first.wait_for(state="attached")
        assert page.query_selector(MARK) is None
    assert not faults


@pytest.mark.slow
def test_spoiled_records_never_raise(toy: Library) -> None:
    """Mutated values of one record at a time give problems or pages, and no traceback."""
    draw = random.Random(11)
    documents, _ = read_knowledge(TOY)
    schemas, _ = read_schemas(TOY)
    records = [it for it in documents if isinstance(it.data, (dict, list)) and
               it.file.endswith(".yaml")]  # fmt: skip
    passed = refused = values = 0
    while values < VALUES:
        target, meaning = draw.choice(records), draw.random() < 0.5
        count = 2 if meaning else AT_ONCE
        values += count
        text = spoiled(target.data, draw, count, keep_kind=meaning)
        parsed = plain_yaml.parse(target.file, text)
        changed = replace(
            target, data=parsed.data, keys=parsed.keys, values=parsed.values,
            lines=parsed.lines,
        )  # fmt: skip
        if parsed.problems or check_shape([changed], schemas):
            refused += 1
            continue
        library = assemble([changed if it is target else it for it in documents])
        if any(it.level == ERROR for it in checks.run(library)):
            continue
        passed += 1
        if passed % COMPILED_EVERY == 1:
            assert not _obeyed(library), target.file
    assert passed
    assert refused


def _obeyed(library: Library) -> list[str]:
    """Addresses of pages on which a text of the knowledge became markup."""
    theme = read_theme(ROOT)
    files = bundle(theme.assets)
    built = pipeline.Built(problems=(), nursery=library.knowledge.nursery)
    made = pipeline.compiled(site(library, theme, files), files, built)
    return [page.address for page in made.pages if marked_elements(page.html)]


def test_hostile_fragments_stay_text(
    toy: Library, toy_folder: Path, watched: Callable[[], tuple[Page, list[str]]]
) -> None:
    """Whatever stands after the # of an address, no page throws or takes it as markup."""
    draw = random.Random(5)
    plant = toy.knowledge.plants["mossbell"]
    ids = [it.id for sign in plant.signs.values() for it in sign.all_answers]
    page, faults = watched()
    with served(toy_folder) as address:
        for below in ("mossbell/result/", "mossbell/trace/", "mossbell/result/bell-moth/"):
            page.goto(address + below)
            for _ in range(FRAGMENTS // 3):
                say(page, fragment(draw, ids))
            still(page)
            assert page.query_selector(MARK) is None
            assert not faults, below


def say(page: Page, text: str) -> None:
    """Put a text behind the # of an address; a question may then go on to another."""
    try:
        page.evaluate("(text) => { location.hash = text }", text)
    except Error as left:
        if "navigation" not in str(left):
            raise
        page.wait_for_load_state()


def test_hostile_letters_stay_text(
    real: Library, site_folder: Path, watched: Callable[[], tuple[Page, list[str]]]
) -> None:
    """Letters of markup and noise are read without an error, and put in as text."""
    draw = random.Random(17)
    plant = real.knowledge.plants[PLANT]
    said = [
        word for sign in plant.signs.values() for it in sign.all_answers
        for word in (it.says, *it.words)
    ]  # fmt: skip
    page, faults = watched()
    with served(site_folder) as address:
        page.goto(f"{address}letters/")
        page.wait_for_selector("#ready:has-text('Ready.')", state="attached")
        for _ in range(0, LETTERS, 50):
            page.evaluate(
                """(letters) => {
                  const box = document.getElementById("letter");
                  for (const text of letters) {
                    box.value = text;
                    box.dispatchEvent(new Event("input"));
                  }
                }""",
                [letter(draw, said) for _ in range(50)],
            )
            assert page.query_selector(MARK) is None
            assert not faults
        assert page.evaluate("localStorage.length + sessionStorage.length") == 0
        assert page.url == f"{address}letters/"


def pages(folder: Path) -> Iterator[tuple[str, str]]:
    for name, text in read_site(folder).items():
        if name.endswith(".html"):
            yield name, text.decode()


def marked_elements(html: str) -> list[str]:
    """Tags and attributes that came out of a hostile text."""
    if f"<{MARK}" not in html and "ran()" not in html:
        return []
    tree = html5lib.parse(html)
    return [
        it.tag for it in tree.iter()
        if it.tag == HTML + MARK or any("ran()" in str(value) for key, value in
                                        it.attrib.items() if str(key).startswith("on"))
        or (it.tag == HTML + "script" and "ran()" in (it.text or ""))
    ]  # fmt: skip


def test_the_hostile_texts_would_be_seen() -> None:
    """The look for obeyed markup finds it where it is obeyed."""
    for text in (HOSTILE[0], HOSTILE[4]):
        assert marked_elements(f"<!doctype html><title>x</title><p>{text}")
    assert not marked_elements(f"<!doctype html><title>x</title><p>&lt;{MARK} ran()")
