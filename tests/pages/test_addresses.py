"""The promise of addresses: what was published opens again, wherever it went."""

import functools
import http.server
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import yaml
from playwright.sync_api import Browser, Page

from bedside import pipeline
from bedside.cli import main
from bedside.commands.links import promise, rewritten
from bedside.model.library import Library
from bedside.model.published_addresses import followed, promised_in, promised_of
from bedside.pages.all_pages import PAGE_KINDS, all_assets
from bedside.pages.frame.addresses import ADDRESSES, LOST, all_addresses
from bedside.pages.frame.assets import bundle
from bedside.pages.frame.desk import Site, site
from bedside.problems import ERROR
from bedside.publish.site_files import read_site
from bedside.publish.whole_site import build_site
from bedside.read.load import load
from bedside.read.theme import read_theme
from tests.browser import ROOT, served
from tests.conftest import TOY, read_clean

Printed = pytest.CaptureFixture[str]
RENAMED = "moved:\n  answers: {mossbell: {no-trace: traceless}}\n"


class WithLostPage(http.server.SimpleHTTPRequestHandler):
    """Serves a folder as a real server would: its own page where nothing is found."""

    def send_error(self, code: int, *_: object) -> None:
        """Send the lost page."""
        body = (Path(self.directory) / LOST).read_bytes()
        self.send_response(code)
        self.send_header("Content-Type", "text/html; charset=utf-8")
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, format: str, *arguments: object) -> None:  # noqa: A002
        """Say nothing."""


class served_in_full(served):  # noqa: N801 - reads as a phrase
    """Serve a folder with its lost page."""

    def __init__(self, folder: Path) -> None:
        handler = functools.partial(WithLostPage, directory=str(folder))
        self.server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler)


@pytest.fixture
def project(toy_copy: Path) -> Path:
    """A project whose toy knowledge was published as it is."""
    (toy_copy.parent / "mkdocs.yml").write_text("site_name: x\n", encoding="utf-8")
    promise(toy_copy.parent)
    return toy_copy.parent


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    opened = browser.new_page(service_workers="block")
    yield opened
    opened.close()


def bedside(project: Path, *words: str) -> int:
    return main(["--root", str(project), *words])


def change(project: Path, pattern: str, new: str) -> None:
    """Change every YAML file of the toy plant; at least one must change."""
    changed = 0
    for file in (project / "knowledge" / "mossbell").rglob("*.yaml"):
        text = file.read_text(encoding="utf-8")
        after = re.sub(pattern, new, text)
        changed += after != text
        file.write_text(after, encoding="utf-8")
    assert changed


def move_branch(project: Path) -> None:
    """Put the branch of pale leaves first: then it is the first to ask about the soil."""
    file = project / "knowledge" / "mossbell" / "tree.yaml"
    text = file.read_text(encoding="utf-8")
    before, spots, rest = text.partition("  spots:\n")
    asked, pale, last = rest.partition("  pale: ")
    branch, end, nothing = last.partition("  otherwise: unlisted")
    assert end
    file.write_text(before + pale + branch + spots + asked + end + nothing, "utf-8")


def write_down(project: Path, text: str) -> None:
    """Put lines before those that the command writes."""
    file = project / "knowledge" / "addresses.yaml"
    file.write_text(text + file.read_text(encoding="utf-8"), encoding="utf-8")


def built(project: Path) -> Path:
    out = project / "site"
    problems = build_site(ROOT, out, knowledge=project / "knowledge")
    assert not [it for it in problems if it.level == ERROR]
    return out


def errors_of(project: Path) -> list[tuple[str, str]]:
    found = pipeline.build(ROOT, project / "knowledge").problems
    return [(it.code, it.message) for it in found if it.level == ERROR]


def settled(page: Page, address: str) -> None:
    page.goto("about:blank")
    page.goto(address)
    page.wait_for_selector("html[data-shown]", state="attached")


@pytest.mark.parametrize("name", ["real", "toy"])
def test_the_list_of_pages_is_what_a_build_makes(
    name: str, site_folder: Path, toy_folder: Path
) -> None:
    """Addresses computed from records alone are those of the pages, no more and no less."""
    both = {"real": (ROOT / "knowledge", site_folder), "toy": (TOY, toy_folder)}
    root, folder = both[name]
    library = read_clean(root)
    season = load(root).season
    files = [it for it in read_site(folder) if it.endswith(".html")]
    made = {it.removesuffix("index.html") for it in files} - {LOST}
    assert set(all_addresses(library, season)) == made - moves_of(library)


@pytest.fixture(scope="module")
def toy_desk(toy: Library) -> Site:
    """The desk of the invented plant's pages; its numbers are not measured for it."""
    theme = read_theme(ROOT)
    desk = replace(site(toy, theme, bundle(theme.assets)), hasty=True)
    return replace(desk, templates=desk.templates.knowing(all_assets(desk)))


@pytest.mark.parametrize("kind", sorted({*PAGE_KINDS, *ADDRESSES}))
def test_each_kind_of_page_says_its_own_addresses(kind: str, toy_desk: Site) -> None:
    """What it lists from records is what it makes, so that no kind is ever forgotten."""
    made = {it.address for it in PAGE_KINDS[kind].pages(toy_desk)} - {LOST}
    assert set(ADDRESSES[kind](toy_desk.library, None)) == made


def moves_of(library: Library) -> set[str]:
    promised = promised_of(library)
    return {*promised.moved_pages, *promised.ended_pages}


def test_what_is_published_and_unchanged_is_no_problem(
    project: Path, capsys: Printed
) -> None:
    """Right after publishing, the check is clean and the command finds nothing new."""
    capsys.readouterr()
    assert bedside(project, "check", "--strict") == 0
    assert bedside(project, "links") == 0
    assert (
        "0 pages and 0 ids new, 0 pages moved, 0 ended, 0 lost" in capsys.readouterr().out
    )


def test_a_reply_leads_to_a_page_of_the_site(project: Path) -> None:
    """A page that a question of customers names must be there."""
    file = project / "knowledge" / "mossbell" / "asked.yaml"
    record = (
        "saved: {asks: Saved?, words: [saved], reply: Yes., from: [judgement], page: %s}"
    )
    file.write_text(record % "/causes/thirst/", encoding="utf-8")
    assert not errors_of(project)
    file.write_text(record % "/causes/thirsty/", encoding="utf-8")
    assert errors_of(project) == [("unknown-page", "there is no page /causes/thirsty/")]


@pytest.mark.parametrize(
    "record", ["mossbell/causes/thirst.yaml", "controls/look-over.yaml"]
)
def test_what_leads_on_leads_to_a_topic(project: Path, record: str) -> None:
    """What a record says to read on at must be there, and be a topic."""
    file = project / "knowledge" / record
    text = file.read_text(encoding="utf-8")
    for wrong in ("/topics/divide/", "/causes/thirst/"):
        file.write_text(text.replace("/topics/dividing/", wrong), encoding="utf-8")
        assert errors_of(project) == [("unknown-page", f"there is no topic {wrong}")]


def test_what_to_photograph_is_a_page_of_the_site(project: Path) -> None:
    """The page that results and replies lead to for photographs must be there."""
    file = project / "knowledge" / "nursery.yaml"
    text = file.read_text(encoding="utf-8")
    file.write_text(f"{text}photo_guide: /topics/dividing/\n", encoding="utf-8")
    assert not errors_of(project)
    file.write_text(f"{text}photo_guide: /topics/pictures/\n", encoding="utf-8")
    assert errors_of(project) == [("unknown-page", "there is no page /topics/pictures/")]


def test_a_lost_page_is_found_and_can_be_kept(project: Path, capsys: Printed) -> None:
    """A branch put elsewhere may rename a page: the check fails, and says what to do."""
    move_branch(project)
    capsys.readouterr()
    assert bedside(project, "check") == 1
    out = capsys.readouterr().out
    assert "the page /mossbell/soil/pale/ was published and is gone" in out
    assert "moved: pages: {/mossbell/soil/pale/: its new address}" in out
    assert bedside(project, "links") == 1
    out = capsys.readouterr().out
    assert "LOST   /mossbell/soil/pale/" in out
    assert "new    /mossbell/soil/dust/" in out
    write_down(project, "moved:\n  pages: {/mossbell/soil/pale/: /mossbell/soil/}\n")
    assert bedside(project, "check") == 0
    assert bedside(project, "links") == 0
    assert "moved  /mossbell/soil/pale/ -> /mossbell/soil/" in (capsys.readouterr().out)


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("moved:\n  pages: {/mossbell/soil/pale/: /nowhere/}\n", "there is no 'nowhere/'"),
        ("moved:\n  pages: {/mossbell/: /causes/}\n", "'mossbell/' is still there"),
        ("moved:\n  pages: {/was/: /is/, /is/: /was/}\n", "these moves go round in a ring"),
        ("moved:\n  pages: {/never/: /causes/}\n", "'never/' was never published"),
        ("ended:\n  pages: {/mossbell/: It ended.}\n", "'mossbell/' is still there"),
    ],
)
def test_a_wrong_move_of_a_page_is_found(project: Path, line: str, why: str) -> None:
    """A move must start at a gone page and lead to one that is there."""
    move_branch(project)
    write_down(project, line)
    assert ("wrong-move", why) in errors_of(project)


def test_what_is_new_is_a_warning_before_publishing(project: Path, capsys: Printed) -> None:
    """New answers and pages pass at home, and --strict asks to write them down."""
    move_branch(project)
    write_down(project, "moved:\n  pages: {/mossbell/soil/pale/: /mossbell/soil/}\n")
    capsys.readouterr()
    assert bedside(project, "check") == 0
    assert "[unlisted-address]" in capsys.readouterr().out
    assert bedside(project, "check", "--strict") == 1
    promise(project)
    assert bedside(project, "check", "--strict") == 0


def test_a_moved_page_sends_on_with_its_findings(
    project: Path, page: Page, browser: Browser
) -> None:
    """An old question's link leads to the new page, and the part after # comes along."""
    move_branch(project)
    write_down(project, "moved:\n  pages: {/mossbell/soil/pale/: /mossbell/soil/}\n")
    with served(built(project)) as address:
        page.goto(f"{address}mossbell/soil/pale/#pale")
        page.wait_for_url(f"{address}mossbell/soil/#pale")
        plain = browser.new_page(java_script_enabled=False)
        plain.goto(f"{address}mossbell/soil/pale/")
        plain.wait_for_url(f"{address}mossbell/soil/")
        plain.close()


def test_an_old_answer_in_a_link_means_its_heir(project: Path, page: Page) -> None:
    """After an answer was renamed, mailed links give the same result and the same walk."""
    change(project, r"\bno-trace\b", "traceless")
    assert ("lost-id", "'no-trace' was published and is gone") in errors_of(project)
    write_down(project, RENAMED)
    with served(built(project)) as address:
        settled(page, f"{address}mossbell/result/#holes.no-trace")
        by_old = page.text_content("#result")
        settled(page, f"{address}mossbell/result/#holes.traceless")
        assert by_old == page.text_content("#result")
        assert "None of these" in (by_old or "")
        settled(page, f"{address}mossbell/bite/#holes.no-trace")
        assert "None of these" in (page.text_content("#told") or "")
        assert "traceless" in (page.get_attribute("[data-say]", "href") or "")


def test_an_answer_that_ended_is_named_and_left_out(project: Path, page: Page) -> None:
    """An id that nothing asks about any more is said to have ended; the others count."""
    change(project, r"\bno-trace\b", "traceless")
    write_down(
        project, "ended:\n  answers: {mossbell: {no-trace: We ask in another way now.}}\n"
    )
    with served(built(project)) as address:
        settled(page, f"{address}mossbell/result/#holes.no-trace")
        assert "We no longer ask about one answer in this link." in page.inner_text("main")


def test_a_page_that_ended_says_why(project: Path, page: Page) -> None:
    """Where there is no heir, the address still answers, in the grower's own words."""
    move_branch(project)
    write_down(
        project, "ended:\n  pages: {/mossbell/soil/pale/: We ask about dust instead.}\n"
    )
    with served(built(project)) as address:
        opened = page.goto(f"{address}mossbell/soil/pale/")
        assert opened is not None
        assert opened.ok
        assert "We ask about dust instead." in page.inner_text("main")


@pytest.mark.parametrize(
    ("below", "link"),
    [
        ("causes/bel-moth/", "causes/bell-moth/"),  # a letter lost
        ("mossbell/reslt/holes.slime", "mossbell/"),
        ("old/place/#holes.slime", "mossbell/result/#holes.slime"),
        ("wiki/Bell-Moth.html", "causes/bell-moth/"),
        ("controls/pick-of", "controls/pick-off/"),
    ],
)
def test_a_lost_address_answers_with_what_it_knows(
    browser: Browser, below: str, link: str, toy_folder: Path
) -> None:
    """Answers and names in a wrong address lead on, at any depth; never a bare 404."""
    page = browser.new_page(service_workers="block")
    with served_in_full(toy_folder) as address:
        settled(page, address + below)
        found = page.eval_on_selector_all("#found a", "all => all.map((it) => it.href)")
    page.close()
    assert address + link in found


@pytest.mark.parametrize(
    "below", ["nothing/like/it/", "%E0%A4%A/#%", "constructor/#__proto__", "a/" * 300]
)
def test_a_lost_address_may_hold_anything(
    browser: Browser, below: str, toy_folder: Path
) -> None:
    """What means nothing gives the plain page, without a fault in the script."""
    page = browser.new_page(service_workers="block")
    faults: list[str] = []
    page.on("pageerror", lambda error: faults.append(str(error)))
    with served_in_full(toy_folder) as address:
        settled(page, address + below)
        assert page.is_visible("text=Look through all causes")
        assert not page.is_visible("#found")
    page.close()
    assert not faults


def test_short_addresses_lead_to_their_causes(site_folder: Path) -> None:
    """Every cause with a short address has a page at /c/<short>/ that sends on to it."""
    real = read_clean(ROOT / "knowledge")
    for plant in real.knowledge.plants.values():
        for cause in (it for it in plant.causes.values() if it.short):
            text = (site_folder / "c" / cause.short / "index.html").read_text("utf-8")
            assert f"url=../../causes/{cause.id}/" in text


def test_the_list_only_grows(project: Path, tmp_path: Path, capsys: Printed) -> None:
    """Writing keeps what is gone and what was written by hand; a shorter list is found."""
    file = project / "knowledge" / "addresses.yaml"
    older = tmp_path / "older.yaml"
    older.write_bytes(file.read_bytes())
    change(project, r"\bno-trace\b", "traceless")
    write_down(project, "# by hand\n" + RENAMED)
    promise(project)
    text = file.read_text(encoding="utf-8")
    assert text.startswith("# by hand\n" + RENAMED)
    assert "trace: [slime, pellets, no-trace, traceless]" in text
    promise(project)
    assert file.read_text(encoding="utf-8") == text
    file.write_text(text.replace("no-trace, ", "").replace("  - /about/\n", ""), "utf-8")
    capsys.readouterr()
    assert bedside(project, "links", "--grown-from", str(older)) == 1
    out = capsys.readouterr().out
    assert "taken out of the list: /about/" in out
    assert "taken out of the list: mossbell: trace: no-trace" in out


def test_a_list_without_our_mark_is_taken_over() -> None:
    """A list that somebody wrote whole keeps its moves and gets the rest in order."""
    promised = promised_in({"pages": ["/", "/a/"], "answers": {}})
    text = "moved:\n  pages: {/b/: /a/}\npages: [/a/, /]\nanswers: {}\n"
    after = rewritten(text, promised)
    assert after.startswith("moved:\n  pages: {/b/: /a/}\n")
    assert after.count("pages:") == 2


def test_links_to_other_sites_are_listed(capsys: Printed) -> None:
    """For a yearly look, every link outward is listed once, with the file it stands in."""
    assert main(["--root", str(ROOT), "links", "--external"]) == 0
    rows = [line.split("  ") for line in capsys.readouterr().out.splitlines()]
    assert len(rows) > 50
    assert len({link for link, _ in rows}) == len(rows)
    assert all(link.startswith("https://") for link, _ in rows)


def test_moves_are_followed_to_the_end() -> None:
    """A chain of moves leads to its last name; a ring leads nowhere."""
    assert followed({"a": "b", "b": "c"}, "a") == "c"
    assert followed({"a": "b", "b": "a"}, "a") is None


def parsed(text: str) -> Any:
    """The list as data."""
    return yaml.safe_load(text)


def test_only_publishing_promises(toy_copy: Path, capsys: Printed) -> None:
    """A check and a list of changes promise nothing; to publish makes the site and keeps
    every address of it, and none of a draft."""
    project, listed = toy_copy.parent, toy_copy / "addresses.yaml"
    assert bedside(project, "new", "cause", "bulb-rot") == 0
    for words in (("check",), ("links",)):
        assert bedside(project, *words) == 0
        assert not listed.exists()
    assert bedside(project, "check") == 0
    assert "no address is promised yet; bedside publish" in capsys.readouterr().out
    listed.write_text("pages: []\nanswers: {}\n", encoding="utf-8")
    assert bedside(project, "check") == 0
    assert "unlisted-address" not in capsys.readouterr().out
    assert bedside(project, "publish") == 0
    assert "promised from now on" in capsys.readouterr().out
    assert (project / "site" / "index.html").is_file()
    text = listed.read_text(encoding="utf-8")
    assert "  - /causes/bell-moth/\n" in text
    assert "bulb-rot" not in text
    assert bedside(project, "check") == 0
    assert "no address is promised" not in capsys.readouterr().out


def test_the_list_alone_is_kept_where_the_site_is_built_elsewhere(
    toy_copy: Path, capsys: Printed
) -> None:
    """No site is made; with an error there is no promise, and the old option says where."""
    project, listed = toy_copy.parent, toy_copy / "addresses.yaml"
    assert bedside(project, "links", "--write") == 2
    assert "bedside publish" in capsys.readouterr().err
    tree = toy_copy / "mossbell" / "tree.yaml"
    text = tree.read_text(encoding="utf-8")
    tree.write_text("a: b\n", encoding="utf-8")
    assert bedside(project, "publish", "--list-only") == 1
    assert not listed.exists()
    tree.write_text(text, encoding="utf-8")
    assert bedside(project, "publish", "--list-only") == 0
    assert "  - /causes/bell-moth/\n" in listed.read_text(encoding="utf-8")
    assert not (project / "site").exists()


def test_what_names_a_plant_elsewhere_is_told(toy_copy: Path, capsys: Printed) -> None:
    """What will be wrong once its folder is gone is listed before."""
    project = toy_copy.parent
    assert bedside(project, "new", "plant", "lily") == 0
    plant = toy_copy / "lily" / "plant.yaml"
    text = plant.read_text(encoding="utf-8").replace("status: draft\n", "")
    plant.write_text(text, encoding="utf-8")
    asked = (
        "saved: {asks: Saved?, words: [saved], reply: Yes., from: [judgement], page: %s}"
    )
    (toy_copy / "lily" / "asked.yaml").write_text(
        asked % "/causes/bell-moth/", encoding="utf-8"
    )
    capsys.readouterr()
    assert bedside(project, "remove", "mossbell") == 0
    said = capsys.readouterr().out
    assert "what names it elsewhere is yours to mend then" in said
    assert "knowledge/lily/asked.yaml:1" in said


def test_what_can_not_be_built_promises_nothing(toy_copy: Path) -> None:
    """Where the site fails, the list is as it was."""
    (toy_copy / "mossbell" / "tree.yaml").write_text("a: b\n", encoding="utf-8")
    assert bedside(toy_copy.parent, "publish") == 1
    assert not (toy_copy / "addresses.yaml").exists()


def test_a_plant_is_taken_out_by_one_command(project: Path, capsys: Printed) -> None:
    """It first says what would go; then old links still find a page that says so."""
    folder = project / "knowledge"
    assert bedside(project, "remove", "mossbell") == 1
    assert "the only plant" in capsys.readouterr().out
    assert bedside(project, "new", "plant", "lily") == 0
    plant = folder / "lily" / "plant.yaml"
    text = plant.read_text(encoding="utf-8")
    assert bedside(project, "remove", "mossbell") == 1
    assert "every other plant is a draft" in capsys.readouterr().out
    plant.write_text(text.replace("status: draft\n", ""), encoding="utf-8")
    promise(project)
    before = (folder / "addresses.yaml").read_text(encoding="utf-8")
    before = before.replace("pages:\n", "pages:\n  - /old/\n  - /was/\n", 1)
    fates = "moved: {pages: {/old/: /causes/bell-moth/, /was/: /lily/}}\n# Mine.\n"
    (folder / "addresses.yaml").write_text(
        before.replace("# From here on", f"{fates}# From here on"), encoding="utf-8"
    )
    before = (folder / "addresses.yaml").read_text(encoding="utf-8")
    assert bedside(project, "remove", "mossbel") == 2
    capsys.readouterr()
    assert bedside(project, "remove", "mossbell") == 0
    said = capsys.readouterr().out
    assert "7 causes" in said
    assert "    /causes/bell-moth/\n" in said
    assert "    /lily/" not in said
    assert "nothing was changed" in said
    assert (folder / "addresses.yaml").read_text(encoding="utf-8") == before
    assert bedside(project, "remove", "mossbell", "--yes") == 0
    assert not (folder / "mossbell").exists()
    (kept,) = project.glob("removed-mossbell-*")
    assert (kept / "causes" / "bell-moth.yaml").is_file()
    assert kept.name in capsys.readouterr().out
    codes = {code for code, _ in errors_of(project)}
    assert not codes & {"lost-page", "lost-id", "wrong-move", "reused-id"}
    text = (folder / "addresses.yaml").read_text(encoding="utf-8")
    assert "/causes/bell-moth/: We do not help with mossbells any more." in text
    assert "/old/: We do not help with mossbells any more." in text
    assert parsed(text)["moved"]["pages"] == {"/was/": "/lily/"}
    assert "# Mine.\n" in text  # what was written by hand stays
    assert set(parsed(before)["pages"]) <= set(parsed(text)["pages"])


def test_a_plant_that_was_never_published_leaves_no_trace(
    toy_copy: Path, capsys: Printed
) -> None:
    """Nothing was promised, so no list is begun."""
    assert bedside(toy_copy.parent, "new", "plant", "lily") == 0
    assert bedside(toy_copy.parent, "remove", "lily", "--yes") == 0
    assert "none of its addresses was promised" in capsys.readouterr().out
    # Taken out twice in a day, each copy stays.
    assert bedside(toy_copy.parent, "new", "plant", "lily") == 0
    assert bedside(toy_copy.parent, "remove", "lily", "--yes") == 0
    assert len([*toy_copy.parent.glob("removed-lily-*")]) == 2
    assert not (toy_copy / "addresses.yaml").exists()
    assert bedside(toy_copy.parent, "check", "--strict") == 0
