"""The copy for a garden without signal: whole or none, and all of one version."""

import gzip
import json
import random
import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page

from bedside.pages.service_worker import PACK, VERSION_MARK, WORKER
from bedside.publish.offline_copy import MOST_BYTES, offline_files, pack
from bedside.publish.site_files import read_site
from bedside.publish.whole_site import build_site
from tests.browser import ROOT, served
from tests.conftest import TOY
from tests.shipped import PLANT
from tests.sweep import SWEEP

SOME = 12
IS_KEPT = re.compile(
    r'<p class="copy">A copy of [A-Z][a-z]+ \d+, 20\d\d, kept on this device'
)
READY = "navigator.serviceWorker.ready.then((it) => it.active.state)"


def unpacked(packed: bytes) -> dict[str, str]:
    """The texts of a pack, as the worker reads them."""
    data = json.loads(gzip.decompress(packed))
    parts = data["parts"]
    return {
        address: "".join(parts[part] for part in cut)
        for address, cut in data["texts"].items()
    }


@pytest.fixture
def context(browser: Browser) -> Iterator[BrowserContext]:
    """A browser that may keep a copy, with nothing kept yet."""
    opened = browser.new_context(service_workers="allow")
    yield opened
    opened.close()


def visit(context: BrowserContext, address: str) -> Page:
    """Open a page and wait until the copy is there."""
    page = context.new_page()
    page.goto(address)
    page.evaluate(READY)
    until(
        page, "navigator.serviceWorker.ready.then((it) => it.active.state === 'activated')"
    )
    return page


def until(page: Page, holds: str) -> None:
    """Ask the page again and again; its own policy forbids a watch written as text. Who
    waits in vain gets to know what for."""
    for _ in range(1_200):
        if page.evaluate(holds):
            return
        page.wait_for_timeout(100)
    pytest.fail(f"never: {holds}")


def leave_and_return(page: Page, address: str) -> None:
    """Go away for as long as the old worker needs to make room for the new one."""
    for _ in range(100):
        page.goto("about:blank")
        page.goto(address)
        if len(caches(page)) == 1:
            return
    pytest.fail("never: the old copy went")


def caches(page: Page) -> list[str]:
    names: list[str] = page.evaluate("caches.keys()")
    return [name.rpartition(" ")[2] for name in names if not name.endswith("visited")]


def changed_site(folder: Path, under: Path, words: str) -> Path:
    """Another version of a site: one line more on every cause."""
    out = Path(shutil.copytree(folder, under))
    for file in out.glob("causes/*/index.html"):
        file.write_text(
            file.read_text("utf-8").replace("</h1>", f"</h1><p>{words}</p>", 1), "utf-8"
        )
    worker = (ROOT / "site_src" / "templates" / "sw.js.j2").read_text("utf-8")
    assert VERSION_MARK not in worker
    text = (out / WORKER).read_text("utf-8")
    version = re.search(r'const version = "([0-9a-f]{64})"', text)
    assert version
    (out / WORKER).write_text(text.replace(version[1], VERSION_MARK), "utf-8")
    for name, content in offline_files(read_site(out)).items():
        (out / name).write_bytes(content)
    return out


def test_the_pack_gives_back_every_text() -> None:
    """What is cut before each tag and kept once comes back letter for letter."""
    texts = {"": "<p>one</p>\n<p>two", "a/": "<p>one</p> <é>", "b.js?v=1": "if (a<b) x()"}
    assert unpacked(pack(texts)) == texts
    assert pack(texts) == pack(dict(reversed(texts.items())))


def test_the_copy_is_small_and_holds_the_walk(site_folder: Path) -> None:
    """At most 1 MB compressed, with every question, end, cause and control as written."""
    packed = (site_folder / PACK).read_bytes()
    assert len(packed) <= MOST_BYTES
    kept = unpacked(packed)
    for name, text in read_site(site_folder).items():
        if re.match(rf"({PLANT}|causes|controls|c)/.*\.html|index\.html|404\.html", name):
            assert kept[name.removesuffix("index.html")] == text.decode(), name


def test_the_copy_holds_all_that_its_pages_ask_for(site_folder: Path) -> None:
    """Each stamped script and data file of a kept page is kept under that very stamp."""
    kept = unpacked((site_folder / PACK).read_bytes())
    asked = {
        f"assets/{found}"
        for address, text in kept.items()
        if address.endswith("/") or not address
        for found in re.findall(r"assets/([\w.-]+\?v=[0-9a-f]{8})", text)
    }
    assert asked
    assert {it for it in asked if not it.startswith("assets/letters")} <= set(kept)


def test_the_worker_names_the_pack_it_belongs_to(toy_folder: Path) -> None:
    """The worker's version is the hash of the pack, so that one never serves another."""
    worker = (toy_folder / WORKER).read_text(encoding="utf-8")
    assert VERSION_MARK not in worker
    again = offline_files({**read_site(toy_folder), WORKER: VERSION_MARK.encode()})
    assert again[WORKER].decode() in worker
    data = json.loads(gzip.decompress(again[PACK]))
    assert sorted(data) == ["parts", "texts"]


def test_all_of_the_walk_opens_without_signal(
    context: BrowserContext, site_folder: Path
) -> None:
    """After one visit to one page, questions, ends, causes and controls open offline."""
    with served(site_folder) as address:
        page = visit(context, address)
    kept = [it for it in unpacked((site_folder / PACK).read_bytes()) if it.endswith("/")]
    walk = [it for it in kept if re.match(rf"({PLANT}|causes|controls)/", it)]
    assert len(walk) > 200
    for below in walk if SWEEP else random.Random(7).sample(walk, SOME):
        opened = page.goto(address + below)
        assert opened is not None
        assert opened.ok, below
        assert IS_KEPT.search(page.content()), below


def test_findings_are_weighed_without_signal(
    context: BrowserContext, toy_folder: Path
) -> None:
    """A mailed link with findings shows its result from the copy, scripts and data too."""
    with served(toy_folder) as address:
        page = visit(context, address)
    page.goto(f"{address}mossbell/result/#holes.slime")
    page.wait_for_selector("html[data-shown]", state="attached")
    assert "nibbler" in page.inner_text("h1").lower()


def test_a_page_that_is_not_kept_says_so(context: BrowserContext, toy_folder: Path) -> None:
    """Without signal an address that the copy lacks gives a page of words and ways on."""
    with served(toy_folder) as address:
        page = visit(context, address)
    opened = page.goto(f"{address}nowhere/at/all/")
    assert opened is not None
    assert opened.status == 503
    assert "No signal" in page.inner_text(".copy")
    page.click("text=Look through all causes")
    page.wait_for_url(f"{address}causes/")


def test_with_signal_the_page_is_the_newest(
    context: BrowserContext, toy_folder: Path, tmp_path: Path
) -> None:
    """Online the copy stays out of the way; a new version takes the old one's place."""
    folder = Path(shutil.copytree(toy_folder, tmp_path / "live"))
    with served(folder) as address:
        page = visit(context, address)
        (first,) = caches(page)
        page.goto(f"{address}causes/thirst/")
        assert not IS_KEPT.search(page.content())
        changed = changed_site(toy_folder, tmp_path / "changed", "Second edition.")
        shutil.copytree(changed, folder, dirs_exist_ok=True)
        page.reload()
        assert "Second edition." in page.content()
        page.evaluate("navigator.serviceWorker.ready.then((it) => it.update())")
        until(page, "navigator.serviceWorker.ready.then((it) => it.waiting !== null)")
        leave_and_return(page, f"{address}causes/thirst/")
        (second,) = caches(page)
        assert first != second
    page.goto(f"{address}causes/bell-moth/")
    assert IS_KEPT.search(page.content())
    assert "Second edition." in page.content()


@pytest.mark.parametrize("fault", ["cut short", "of another version", "gone"])
def test_a_broken_update_leaves_the_old_copy_whole(
    fault: str, context: BrowserContext, toy_folder: Path, tmp_path: Path
) -> None:
    """A pack that is cut short, of another version or gone leaves the copy as it was."""
    folder = Path(shutil.copytree(toy_folder, tmp_path / "live"))
    with served(folder) as address:
        page = visit(context, address)
        before = caches(page)
        changed = changed_site(toy_folder, tmp_path / "changed", "Second edition.")
        shutil.copytree(changed, folder, dirs_exist_ok=True)
        packed = folder / PACK
        if fault == "gone":
            packed.unlink()
        elif fault == "cut short":
            packed.write_bytes(packed.read_bytes()[:-100])
        else:
            shutil.copy(toy_folder / PACK, packed)
        refused = page.evaluate(
            """async () => {
              const it = await navigator.serviceWorker.ready;
              await it.update().catch(() => {});
              const fresh = it.installing;
              if (!fresh) return it.waiting === null;
              return new Promise((done) => fresh.addEventListener("statechange",
                () => fresh.state !== "installing" && done(fresh.state === "redundant")));
            }"""
        )
        assert refused
        assert caches(page) == before
    for below in ("causes/thirst/", "causes/bell-moth/", "mossbell/trace/"):
        page.goto(address + below)
        assert IS_KEPT.search(page.content())
        assert "Second edition." not in page.content()


def test_a_file_of_another_version_is_refused(
    context: BrowserContext, toy_folder: Path, tmp_path: Path
) -> None:
    """Half-way through an upload a page never runs a script that is not its own."""
    folder = Path(shutil.copytree(toy_folder, tmp_path / "live"))
    with served(folder) as address:
        page = visit(context, address)
        got = page.goto(address)
        assert got is not None
        wrong = page.evaluate(
            "fetch('assets/walk.js?v=00000000').then(() => 'given', () => 'refused')"
        )
        right = page.evaluate("fetch('assets/icon.svg').then((it) => it.status)")
    assert (wrong, right) == ("refused", 200)


def test_the_copy_of_one_site_leaves_another_alone(
    context: BrowserContext, toy_folder: Path, tmp_path: Path
) -> None:
    """Two sites below one server keep their copies apart, under any sub-path."""
    for name in ("north", "south"):
        shutil.copytree(toy_folder, tmp_path / name)
    with served(tmp_path) as address:
        visit(context, f"{address}north/")
        page = visit(context, f"{address}south/")
        assert len(page.evaluate("caches.keys()")) == 2
    for name in ("north", "south"):
        page.goto(f"{address}{name}/mossbell/trace/")
        assert IS_KEPT.search(page.content())


def test_a_visited_year_is_kept_and_others_are_not(
    context: BrowserContext, site_folder: Path
) -> None:
    """The season page that was looked at opens offline; a place never seen is not there."""
    places = sorted(it.parent.name for it in site_folder.glob("season/*/index.html"))
    # A file that is new now is not worth a browser's own keeping either.
    (site_folder / "season" / places[0] / "index.html").touch()
    with served(site_folder) as address:
        page = visit(context, address)
        page.goto(f"{address}season/{places[0]}/#seen")
        until(page, "caches.keys().then((names) => names.length === 2)")
        names = page.evaluate(
            """caches.keys()
              .then((all) => caches.open(all.find((it) => it.endsWith("visited"))))
              .then((it) => it.keys()).then((all) => all.map(({ url }) => url))"""
        )
    assert names == [f"{address}season/{places[0]}/"]
    page.goto(f"{address}season/{places[0]}/")
    assert IS_KEPT.search(page.content())
    opened = page.goto(f"{address}season/{places[1]}/")
    assert opened is not None
    assert opened.status == 503


def test_a_copy_that_is_too_heavy_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A pack beyond what a phone should be asked to fetch is built, with a warning."""
    monkeypatch.setattr("bedside.publish.whole_site.MOST_BYTES", 1_000)
    (found,) = build_site(ROOT, tmp_path / "site", knowledge=TOY)
    assert (found.code, found.level) == ("heavy-copy", "warning")
    assert (tmp_path / "site" / PACK).is_file()
