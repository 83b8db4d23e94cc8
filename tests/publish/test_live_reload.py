"""The site while it is edited: changes show, problems stand on top of their pages."""

import re
import shutil
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from bedside import pipeline
from bedside.cache import FOLDER
from bedside.cli import main
from bedside.publish import whole_site
from bedside.publish.live_reload import Told, serving
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

    def build() -> Told:
        source = tmp_path / "source.yaml"
        built.append(source.read_text(encoding="utf-8") if built else "")
        if len(built) == 1:
            source.write_text("saved meanwhile", encoding="utf-8")
        return Told()

    with serving(tmp_path, (tmp_path,), build, 0) as (_, look):
        look()
        look()
    assert built == ["", "saved meanwhile"]


def test_an_impossible_name_is_a_page_that_is_not_there(tmp_path: Path) -> None:
    """No file can be called so, and nothing is printed about it."""
    with (
        serving(tmp_path, (), Told, 0) as (address, _),
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


def test_problems_stand_on_top_of_their_page(
    project: Path, running: tuple[str, Callable[[], None]]
) -> None:
    """What is wrong with a record stands on its page and on the first; others stay."""
    address, look = running
    cause = project / "knowledge/mossbell/causes/bell-moth.yaml"
    before = read(f"{address}causes/dust-spot/")
    edit(cause, "in_short:", "in_shorts:")
    look()
    assert "in_short&#x27; is missing" in read(f"{address}causes/bell-moth/")
    assert "mossbell/causes/bell-moth.yaml:" in read(address)
    assert "problems-here" not in read(f"{address}causes/dust-spot/")
    assert "problems-here" not in (project / "site/index.html").read_text("utf-8")
    edit(cause, "in_shorts:", "in_short:")
    look()
    assert read(f"{address}causes/dust-spot/") == before
    assert "problems-here" not in read(address)


def test_what_is_mended_is_said(project: Path) -> None:
    """Once the last error is gone, the one at the keyboard is told so, and only then."""
    said: list[str] = []
    preview = Preview(project, project / "site", said.append)
    preview.rebuild()
    cause = project / "knowledge/mossbell/causes/bell-moth.yaml"
    edit(cause, "in_short:", "in_shorts:")
    preview.rebuild()
    assert not any("Mended" in it for it in said)
    edit(cause, "in_shorts:", "in_short:")
    preview.rebuild()
    preview.rebuild()
    assert [it for it in said if "Mended" in it] == ["Mended: nothing is wrong any more"]


def test_a_wrong_id_costs_no_page(
    project: Path, running: tuple[str, Callable[[], None]]
) -> None:
    """With a slip in the tree the site still stands, and says where to mend it."""
    address, look = running
    edit(project / "knowledge/mossbell/tree.yaml", "leaf-look:", "leaf-lock:")
    look()
    assert "mossbell/tree.yaml:2" in read(address)
    assert "Bell moth" in read(f"{address}causes/bell-moth/")


@pytest.mark.parametrize("text", ["name: [", ""])
def test_without_anything_to_show_every_page_lists_the_problems(
    project: Path, running: tuple[str, Callable[[], None]], text: str
) -> None:
    """What no page can do without is missing: each says so, and none is an old one."""
    address, look = running
    (project / "knowledge/nursery.yaml").write_text(text, encoding="utf-8")
    look()
    shown = read(f"{address}causes/bell-moth/")
    assert "No page can be shown yet" in shown
    assert "nursery.yaml:" in shown
    assert "What to do now" not in shown


def test_a_fault_of_our_own_is_told(project: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever happens while pages are made, the server goes on and says it."""

    def fails(*_: object) -> None:
        raise KeyError("a slip")

    monkeypatch.setattr(pipeline, "all_pages", fails)
    told = Preview(project, project / "site").rebuild()
    assert not told.shows
    assert "a page could not be made: KeyError" in told.box("")


def test_drafts_are_shown_to_their_grower_alone(
    project: Path, running: tuple[str, Callable[[], None]]
) -> None:
    """Fresh records have pages under `serve`, with what is missing; a build has none."""
    address, look = running
    for words in ("cause bulb-rot", "sign bulb-feel", "plant lily"):
        assert main(["--root", str(project), "new", *words.split()]) == 0
    look()
    assert "A draft:" in read(f"{address}causes/bulb-rot/")
    assert "has fewer than two look-alikes" in read(f"{address}causes/bulb-rot/")
    assert "A draft:" in read(f"{address}mossbell/bulb-feel/")
    assert "lily/plant.yaml" in read(f"{address}lily/")
    assert 'href="/causes/bulb-rot/"' in read(address)
    built = pipeline.build(project)
    assert not built.failed
    pages = {page.address for page in built.pages}
    assert not {it for it in pages if "bulb" in it or "lily" in it}
    assert "bulb" not in "".join(page.html for page in built.pages).lower()


@pytest.mark.slow  # builds two sites from nothing
def test_the_first_page_does_not_wait_for_the_numbers(project: Path) -> None:
    """Where nothing is kept, one page says that its numbers come, and then has them."""
    shutil.rmtree(project / FOLDER)
    out = project / "site"
    preview = Preview(project, out)
    page = out / "about" / "how-sure" / "index.html"
    assert not preview.rebuild().problems
    assert waits(preview)
    assert "being worked out now" in page.read_text("utf-8")
    assert not preview.rebuild().problems
    assert not waits(preview)
    assert not build_site(project, project / "whole")
    assert read_site(out) == read_site(project / "whole")
    # The numbers are kept now: another start has them at once.
    again = Preview(project, out)
    assert not again.rebuild().problems
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
