"""The site while it is edited: changes show, problems stand in the page's place."""

import re
import shutil
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from bedside.cache import FOLDER
from bedside.publish import whole_site
from bedside.publish.live_reload import serving
from bedside.publish.site_files import read_site, write_files
from bedside.publish.whole_site import Preview, build_site

WAITING = re.compile(r"/-version\?\d+$")  # asks for what comes after the version it has


@pytest.fixture
def project(toy_project: Path, tmp_path: Path) -> Path:
    """A project of its own with the invented plant, never served, in which all is kept."""
    without_site = shutil.ignore_patterns("site")
    return Path(shutil.copytree(toy_project, tmp_path / "project", ignore=without_site))


@pytest.fixture
def running(project: Path) -> Iterator[tuple[str, Callable[[], None]]]:
    watched = (project / "knowledge", project / "site_src")
    preview = Preview(project, project / "site")
    with serving(project / "site", watched, preview.rebuild, 0) as (address, look):
        look(True)  # as `serve` does: the numbers that the first page did not wait for
        yield address, look


def read(address: str) -> str:
    with urllib.request.urlopen(address, timeout=60) as answer:
        return str(answer.read().decode())


def edit(file: Path, old: str, new: str) -> None:
    text = file.read_text(encoding="utf-8")
    assert old in text
    file.write_text(text.replace(old, new), encoding="utf-8")


def test_an_edit_during_the_first_build_is_not_lost(tmp_path: Path) -> None:
    """What is saved while the first site is made is seen by the first look."""
    (tmp_path / "index.html").write_text("<body></body>", encoding="utf-8")
    built: list[str] = []

    def build() -> str:
        source = tmp_path / "source.yaml"
        built.append(source.read_text(encoding="utf-8") if built else "")
        if len(built) == 1:
            source.write_text("saved meanwhile", encoding="utf-8")
        return ""

    with serving(tmp_path, (tmp_path,), build, 0) as (_, look):
        look()
        look()
    assert built == ["", "saved meanwhile"]


def test_an_impossible_name_is_a_page_that_is_not_there(tmp_path: Path) -> None:
    """No file can be called so, and nothing is printed about it."""
    with (
        serving(tmp_path, (), str, 0) as (address, _),
        pytest.raises(urllib.error.HTTPError, match="404"),
    ):
        read(f"{address}%00")


def test_an_edit_shows_in_the_browser(
    browser: Browser,
    project: Path,
    running: tuple[str, Callable[[], None]],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A saved YAML file is on the open page without a click, in one reload, and only the
    pages that say it are written: a whole build would make the writer wait."""
    address, look = running
    page = browser.new_page()
    with page.expect_request(WAITING):  # the page has begun to wait
        page.goto(address)
    loads: list[str] = []
    page.on("load", lambda it: loads.append(it.url))
    written: list[set[str]] = []

    def write(folder: Path, files: Mapping[str, bytes]) -> None:
        written.append(set(files))
        write_files(folder, files)

    monkeypatch.setattr(whole_site, "write_files", write)
    monkeypatch.setattr(whole_site, "write_site", no_whole_build)
    edit(project / "knowledge/mossbell/plant.yaml", "What is wrong", "What ever is wrong")
    look()
    page.get_by_text("What ever is wrong").wait_for()
    look()  # nothing was saved since
    page.wait_for_load_state("load")
    assert loads == [address]
    (names,) = written
    said = {
        name
        for name, content in read_site(project / "site").items()
        if name in names and b"What ever is wrong" in content
    }
    assert "index.html" in said
    page.close()


def no_whole_build(*_: object) -> None:
    """Stand where the whole build would begin."""
    pytest.fail("an edit of words began a whole build")


def test_a_template_edit_shows_too(
    project: Path, running: tuple[str, Callable[[], None]]
) -> None:
    """Templates are watched as the knowledge is."""
    address, look = running
    edit(project / "site_src/templates/base.html.j2", "Ask a person", "Ask somebody")
    look()
    assert "Ask somebody" in read(address)


def test_problems_stand_in_the_pages_place(
    project: Path, running: tuple[str, Callable[[], None]]
) -> None:
    """While something is wrong every page says what and where; the good site is kept."""
    address, look = running
    tree = project / "knowledge/mossbell/tree.yaml"
    edit(tree, "leaf-look:", "leaf-lock:")
    look()
    shown = read(f"{address}causes/bell-moth/")
    assert "mossbell/tree.yaml:2" in shown
    assert "Bell moth" in (project / "site/causes/bell-moth/index.html").read_text("utf-8")
    edit(tree, "leaf-lock:", "leaf-look:")
    look()
    assert "Bell moth" in read(f"{address}causes/bell-moth/")


@pytest.mark.slow  # builds two sites from nothing
def test_the_first_page_does_not_wait_for_the_numbers(project: Path) -> None:
    """Where nothing is kept, one page says that its numbers come, and then has them."""
    shutil.rmtree(project / FOLDER)
    out = project / "site"
    preview = Preview(project, out)
    page = out / "about" / "how-sure" / "index.html"
    assert not preview.rebuild()
    assert waits(preview)
    assert "being worked out now" in page.read_text("utf-8")
    assert not preview.rebuild()
    assert not waits(preview)
    assert not build_site(project, project / "whole")
    assert read_site(out) == read_site(project / "whole")
    # The numbers are kept now: another start has them at once.
    again = Preview(project, out)
    assert not again.rebuild()
    assert not waits(again)


def waits(preview: Preview) -> bool:
    """Whether the last build left out numbers that take long to draw."""
    assert preview.last is not None
    return bool(preview.last.waiting)


def test_problem_text_is_inert(
    project: Path, running: tuple[str, Callable[[], None]]
) -> None:
    """Markup in a faulty file shows as text on the page of problems."""
    address, look = running
    edit(
        project / "knowledge/mossbell/tree.yaml",
        "slime: slime-nibbler",
        "slime: <script>alert(1)</script>",
    )
    look()
    assert "<script>alert" not in read(address)


def test_a_lost_address_gets_the_lost_page(
    running: tuple[str, Callable[[], None]],
) -> None:
    """An unknown address answers 404 with the site's own page, never a file outside."""
    address, _ = running
    for path in ("nowhere/", "..%2f..%2fmkdocs.yml/", "%2e%2e/knowledge/"):
        with pytest.raises(urllib.error.HTTPError) as caught:
            read(address + path)
        assert caught.value.code == 404
        assert "not here" in caught.value.read().decode()
        caught.value.close()


def test_a_small_edit_gives_the_same_site_as_a_whole_build(
    project: Path, running: tuple[str, Callable[[], None]]
) -> None:
    """Writing only what changed leaves every page as a build from nothing would."""
    _, look = running
    edit(project / "knowledge/mossbell/signs/trace.yaml", "Silver slime", "Shiny slime")
    look()
    assert not build_site(project, project / "whole")
    assert "Shiny slime" in read(running[0] + "mossbell/trace/")
    shown, whole = read_site(project / "site"), read_site(project / "whole")
    assert shown.keys() == whole.keys()
    assert {name for name in shown if shown[name] != whole[name]} <= {
        "search/search_index.json", "sitemap.xml.gz", "offline.pack", "sw.js",
    }  # fmt: skip
