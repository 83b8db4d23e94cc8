"""The built site as files: pages parsed, links followed, built again and compared."""

import gzip
import re
import shutil
import struct
from functools import cache
from itertools import pairwise
from pathlib import Path
from xml.etree.ElementTree import Element

import html5lib
import pytest

from bedside.publish.dead_links import dead_links
from bedside.publish.site_files import read_site
from bedside.publish.whole_site import build_site
from tests.shipped import PLANTS

ROOT = Path(__file__).parents[2]
TOY = Path(__file__).parents[1] / "toy"
HTML = "{http://www.w3.org/1999/xhtml}"
# Pages, the most bytes of a first visit, and whether scripts count. First match wins.
LIMITS = {
    r"[^/]+/result/": (16 * 1024, False),
    r"(causes|controls)/[^/]+/index": (40 * 1024, True),
    r"[^/]+/key/": (24 * 1024, True),  # every question at once
    rf"({'|'.join(PLANTS)})/|index": (14 * 1024, True),
}


@cache
def pages_of(folder: Path) -> dict[str, str]:
    files = read_site(folder)
    return {name: text.decode() for name, text in files.items() if name.endswith(".html")}


@cache
def parsed(folder: Path, name: str) -> Element:
    # Strict: any mistake that a browser would have to mend is an error.
    parser = html5lib.HTMLParser(strict=is_lean(folder, name))
    tree: Element = parser.parse(pages_of(folder)[name])
    return tree


def is_lean(folder: Path, name: str) -> bool:
    return 'data-md-component="header"' not in pages_of(folder)[name]


def elements(folder: Path, name: str, *tags: str) -> list[Element]:
    wanted = {HTML + tag for tag in tags}
    return [each for each in parsed(folder, name).iter() if each.tag in wanted]


def text_of(element: Element) -> str:
    return " ".join("".join(element.itertext()).split())


def test_every_page_is_sound_html(site_folder: Path) -> None:
    """A strict parser finds nothing to mend on any of our own pages."""
    for name in pages_of(site_folder):
        assert parsed(site_folder, name) is not None


def test_every_link_leads_somewhere(site_folder: Path) -> None:
    """Every href, src and action leads to a page, every fragment to a place on it."""
    assert not list(
        dead_links(read_site(site_folder), "/", tuple(f"{it}/" for it in PLANTS))
    )


def test_a_dead_link_is_found(toy_folder: Path) -> None:
    """A link to nowhere, a missing place and an unsafe scheme are each reported."""
    files = dict(read_site(toy_folder))
    bad = '<a href="nowhere/"></a><a href="#gone"></a><a href="javascript:x"></a>'
    files["about/index.html"] += bad.encode()
    found = {each.link: each.why for each in dead_links(files, "/", ("mossbell/",))}
    assert found == {
        "nowhere/": "there is no such page",
        "#gone": "there is no such place on that page",
        "javascript:x": "not a safe link",
    }


def test_a_dead_link_stops_the_build(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A build with a dead link reports it and leaves the last good site as it was."""
    out = tmp_path / "site"
    assert not build_site(ROOT, out, knowledge=TOY)
    before = read_site(out)
    monkeypatch.setattr("bedside.pages.frame.addresses.LOCAL_HELP", "elsewhere/")
    monkeypatch.setattr("bedside.pages.reference_pages.LOCAL_HELP", "elsewhere/")
    problems = build_site(ROOT, out, knowledge=TOY)
    assert {problem.code for problem in problems} == {"dead-link"}
    assert read_site(out) == before


def test_bad_knowledge_leaves_the_old_site(tmp_path: Path, toy_copy: Path) -> None:
    """A failed build writes nothing at all: the old site stays, byte for byte."""
    out = tmp_path / "site"
    assert not build_site(ROOT, out, knowledge=toy_copy)
    before = read_site(out)
    (toy_copy / "mossbell" / "tree.yaml").write_text("first: [", encoding="utf-8")
    problems = build_site(ROOT, out, knowledge=toy_copy)
    assert problems
    assert problems[0].file == "mossbell/tree.yaml"
    assert read_site(out) == before
    assert sorted(path.name for path in tmp_path.iterdir()) == ["knowledge", "site"]


def test_two_builds_are_the_same_bytes(toy_folder: Path, tmp_path: Path) -> None:
    """Building again gives every file byte for byte, the compressed ones too."""
    again = tmp_path / "again"
    build_site(ROOT, again, knowledge=TOY)
    assert read_site(again) == read_site(toy_folder)


def test_the_site_works_below_a_path(tmp_path: Path, toy_copy: Path) -> None:
    """Under any sub-path no link starts from the server's root, except on the lost page."""
    nursery = toy_copy / "nursery.yaml"
    text = nursery.read_text(encoding="utf-8")
    moved = re.sub(r"(?m)^site: .*$", "site: https://ferncup.example/help/", text)
    nursery.write_text(moved, encoding="utf-8")
    out = tmp_path / "site"
    assert not build_site(ROOT, out, knowledge=toy_copy)
    for name, page in pages_of(out).items():
        rooted = re.findall(r'\s(?:href|src|action)="(/[^"]*)"', page)
        assert not rooted or name == "404.html", name
    assert 'href="/help/causes/"' in pages_of(out)["404.html"]


def test_titles_languages_and_headings(site_folder: Path) -> None:
    """Each page has a title of its own, its language, and one first heading."""
    titles = []
    for name in pages_of(site_folder):
        (title,) = (each for each in elements(site_folder, name, "title") if text_of(each))
        titles.append(text_of(title))
        assert elements(site_folder, name, "html")[0].get("lang", "").startswith("en")
        assert len(elements(site_folder, name, "h1")) == 1, name
    assert len(titles) == len(set(titles))


def test_headings_skip_no_level(site_folder: Path) -> None:
    """Headings go down one level at a time, so that a page can be heard as an outline."""
    for name in pages_of(site_folder):
        levels = [
            int(each.tag[-1])
            for each in elements(site_folder, name, "h1", "h2", "h3", "h4")
        ]
        assert all(b <= a + 1 for a, b in pairwise(levels)), (name, levels)


def test_help_stands_at_the_same_place(site_folder: Path) -> None:
    """On every page the same help comes last, in the same order (WCAG 2.2, 3.2.6)."""
    blocks = set()
    for name in pages_of(site_folder):
        (block,) = (
            each
            for each in elements(site_folder, name, "aside")
            if each.get("aria-labelledby") == "help"
        )
        blocks.add(text_of(block))
    assert len(blocks) == 1


def test_nothing_is_asked_of_anyone_else(site_folder: Path) -> None:
    """No page loads a script, style, picture or font from another host."""
    for name in pages_of(site_folder):
        loading = elements(site_folder, name, "script", "img", "iframe", "source", "link")
        for element in loading:
            if element.get("rel") == "canonical":
                continue
            address = element.get("src") or element.get("href") or ""
            assert not re.match(r"(?i)(https?:)?//", address), (name, address)
    for name, text in read_site(site_folder).items():
        if name.endswith(".css") and name.startswith("assets/reference"):
            assert b"//" not in text.replace(b"https://", b""), name


def test_every_page_has_a_policy(site_folder: Path) -> None:
    """Each page forbids all but its own files; none allows inline code without a hash."""
    for name in pages_of(site_folder):
        policies = [
            each.get("content", "")
            for each in elements(site_folder, name, "meta")
            if each.get("http-equiv") == "Content-Security-Policy"
        ]
        assert len(policies) == 1, name
        assert "default-src 'none'" in policies[0]
        assert "unsafe" not in policies[0]
        assert "frame-ancestors" not in policies[0]


def test_question_pages_lead_on_with_plain_links(site_folder: Path) -> None:
    """Every question offers two to seven links; the last two are none and can't tell."""
    questions = question_pages(site_folder)
    assert len(questions) > 20
    for name in questions:
        links = [a for a in elements(site_folder, name, "a") if a.get("data-say")]
        assert 3 <= len(links) <= 7, name
        assert all(link.get("href") for link in links)


def test_question_pages_are_short(site_folder: Path) -> None:
    """Question, where to look and answers are at most 110 words together."""
    for name in question_pages(site_folder):
        counted = [
            text_of(each)
            for each in parsed(site_folder, name).iter()
            if each.get("class") in {"where", "how"}
            or each.get("data-say")
            or each.get("id") == "q"
        ]
        assert len(" ".join(counted).split()) <= 110, name


def test_pages_are_light(site_folder: Path) -> None:
    """First visits stay within their limits: all that a page loads, gzip at level 9."""
    files = read_site(site_folder)
    for name in pages_of(site_folder):
        kind = next((each for each in LIMITS if re.match(each, name)), "")
        if kind and is_lean(site_folder, name):
            limit, scripts = LIMITS[kind]
            assert first_visit(files, name, scripts) <= limit, name


def test_pictures_say_what_they_show(site_folder: Path) -> None:
    """A drawing beside no words has 5 to 25 words; all others are hidden from hearing."""
    for name in question_pages(site_folder):
        for svg in (each for each in parsed(site_folder, name).iter() if is_svg(each)):
            label = svg.get("aria-label", "")
            assert svg.get("aria-hidden") == "true" or 5 <= len(label.split()) <= 25, name


def test_a_page_that_names_a_spray_says_who_to_call(site_folder: Path) -> None:
    """Where a spray is named, the numbers to call are one link away and 911 is there."""
    for name, page in pages_of(site_folder).items():
        if 'class="narrow-spray"' in page or 'class="last-resort"' in page:
            if is_lean(site_folder, name):
                assert "call 911" in page, name
            assert "emergencies/" in page, name


def question_pages(folder: Path) -> list[str]:
    """Name the pages that ask for a sign; one asks which plant it is."""
    pages = pages_of(folder).items()
    return [it for it, page in pages if '<body class="ask' in page and "data-say" in page]


def is_svg(element: Element) -> bool:
    return element.tag == "{http://www.w3.org/2000/svg}svg"


def first_visit(files: dict[str, bytes], name: str, scripts: bool) -> int:
    """Bytes of a page and of what it loads at once, each as gzip -9; the icon apart."""
    page = files[name]
    total = len(gzip.compress(page, 9))
    if scripts:
        for link in re.findall(rb'<script[^>]* src="([^"?]+)', page):
            path = (Path("/") / Path(name).parent / link.decode()).as_posix()
            total += len(gzip.compress(files[normal(path)], 9))
    return total


def normal(path: str) -> str:
    parts: list[str] = []
    for part in path.strip("/").split("/"):
        if part == "..":
            parts.pop()
        else:
            parts.append(part)
    return "/".join(parts)


def test_a_site_can_be_moved(toy_folder: Path, tmp_path: Path) -> None:
    """A copy of the folder elsewhere has no dead link: nothing knows where it was built."""
    moved = Path(shutil.copytree(toy_folder, tmp_path / "moved"))
    assert not list(dead_links(read_site(moved), "/", ("mossbell/",)))
    assert not any(str(ROOT).encode() in text for text in read_site(moved).values())


def test_a_shared_address_has_a_fitting_picture(toy_folder: Path) -> None:
    """Each page names a picture that is there, 1200 by 630, by a whole address.

    What a picture needs is the Open Graph protocol's (ogp.me): an absolute address, and
    width, height and a text beside it.
    """
    base = "https://ferncup.example/"
    files = read_site(toy_folder)
    for name in pages_of(toy_folder):
        told = {
            each.get("property"): each.get("content") or ""
            for each in elements(toy_folder, name, "meta")
            if each.get("property")
        }
        picture = told["og:image"]
        assert picture.startswith(base), name
        content = files[picture.removeprefix(base)]
        width, height = struct.unpack(">II", content[16:24])
        assert (str(width), str(height)) == (
            told["og:image:width"],
            told["og:image:height"],
        )
        assert told["og:image:alt"]
        assert told["og:title"]
        assert told["og:url"].startswith(base)


def test_a_shared_result_tells_nothing_that_was_found(toy_folder: Path) -> None:
    """The preview of a result is the same for every end: title, words and picture."""
    shown = {
        tuple(
            each.get("content")
            for each in elements(toy_folder, name, "meta")
            if each.get("property") in ("og:title", "og:description", "og:image")
        )
        for name in pages_of(toy_folder)
        if "/result/" in name
    }
    assert len(shown) == 1
