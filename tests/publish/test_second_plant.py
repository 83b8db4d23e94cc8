"""Two plants in one site: nothing but the knowledge decides; a grower can add her own."""

import json
import re
import shutil
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from bedside import checks
from bedside.checks.published import change_of, check_pages
from bedside.cli import main
from bedside.model.library import Library
from bedside.pages.frame.addresses import all_addresses
from bedside.pages.frame.desk import site
from bedside.pages.frame.drawings import merged, picture, sprite
from bedside.pages.letters.reader_table import of_plant, others_of
from bedside.problems import ERROR
from bedside.publish.dead_links import dead_links
from bedside.publish.site_files import read_site
from bedside.publish.whole_site import build_site
from bedside.read.drawing import PARTS
from bedside.read.season import read_season
from bedside.read.theme import read_theme
from tests.browser import ROOT, build_whole, made_once, served
from tests.conftest import TOY, read_clean
from tests.shipped import PLANT, PLANTS

SECOND = Path(__file__).parents[1] / "second_plant"
Printed = pytest.CaptureFixture[str]


@pytest.fixture(scope="module")
def both(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A project with the real knowledge, and an invented plant laid beside the real one."""
    root = tmp_path_factory.mktemp("both")
    shutil.copytree(ROOT / "knowledge", root / "knowledge")
    shutil.copytree(SECOND, root / "knowledge", dirs_exist_ok=True)
    # What was made from the same records before need not be made again.
    (root / ".bedside-cache").symlink_to(ROOT / ".bedside-cache")
    return root


@pytest.fixture(scope="module")
def two(both: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The site of both plants."""
    return made_once(tmp_path_factory, "both", lambda out: build_whole(both, out))


@pytest.fixture
def library(both: Path) -> Library:
    return read_clean(both / "knowledge")


def test_a_second_plant_is_nothing_but_a_folder(both: Path, library: Library) -> None:
    """With the folder beside it, the knowledge passes the whole rulebook."""
    assert len(library.knowledge.plants) == len(PLANTS) + 1
    found = [it for it in checks.run(library) if it.level == ERROR]
    assert [f"{it.file}:{it.line} {it.message}" for it in found] == []


def test_each_tree_is_printed_by_itself(both: Path, capsys: Printed) -> None:
    """`bedside tree` prints both trees, or the one that is named and no word of others."""
    assert main(["--root", str(both), "tree"]) == 0
    every = capsys.readouterr().out
    assert main(["--root", str(both), "tree", "pellcup"]) == 0
    one = capsys.readouterr().out
    assert one.startswith("Pellcup: ")
    assert one in every
    assert "anna" not in one


def test_the_first_plant_keeps_its_addresses(both: Path, library: Library) -> None:
    """No address and no id that one plant alone had is lost when another comes."""
    alone = read_clean(ROOT / "knowledge")
    season, _ = read_season(both / "knowledge", library)
    before = set(all_addresses(alone, season))
    assert before <= set(all_addresses(library, season))
    assert not change_of(library, all_addresses(library, season)).lost
    assert not [
        it
        for it in check_pages(library, all_addresses(library, season))
        if it.level == ERROR
    ]


def test_both_plants_stand_on_the_home_page(two: Path, browser: Browser) -> None:
    """Home asks which plant it is, and each answer leads to that plant's first question."""
    page = browser.new_page(service_workers="block")
    with served(two) as address:
        page.goto(address)
        assert page.inner_text("h1") == "Which plant is it?"
        page.click("text=Pellcup")
        page.wait_for_url(f"{address}pellcup/")
        for answer in ("Bites", "A small animal"):
            with page.expect_navigation():
                page.click(f"text={answer}")
        page.locator("h1", has_text=re.compile("cup biter", re.IGNORECASE)).wait_for()
    page.close()


def test_lists_and_search_say_whose_a_page_is(two: Path, library: Library) -> None:
    """A find bears its plant's name, lists go by plant; what is shared bears none."""
    docs = json.loads((two / "search" / "search_index.json").read_text("utf-8"))["docs"]
    found = {it["location"]: it.get("tags") for it in docs}
    for plant in library.knowledge.plants.values():
        for cause in plant.causes:
            assert found[f"causes/{cause}/"] == [plant.name]
    for control in library.knowledge.controls.values():
        whose = library.knowledge.plants[control.plant].name if control.plant else ""
        assert found[f"controls/{control.id}/"] == ([whose] if whose else None)
    # Where a page is from is told on it, and found on the page of all sources.
    assert not [it for it in found if it.endswith("#sources")]
    topics = (two / "topics" / "index.html").read_text("utf-8")
    for topic in library.knowledge.topics.values():
        if topic.plant:
            above = topics[: topics.index(f">{topic.title}<".replace("'", "&#39;"))]
            name = library.knowledge.plants[topic.plant].name
            assert above.rpartition("<h3>")[2].startswith(f"{name}</h3>")
    page = (two / "causes" / "pellcup-unlisted" / "index.html").read_text("utf-8")
    assert '<p class="tier">Pellcup</p>' in page


CHOSEN = "it => it.selectedOptions[0].textContent"


def test_the_desk_tells_the_plants_apart(two: Path, browser: Browser) -> None:
    """A letter is about the plant that it names; where it names none, the page says so."""
    page = browser.new_page(service_workers="block")
    with served(two) as address:
        page.goto(f"{address}letters/")
        page.locator("#ready", has_text="Ready.").wait_for()
        for letter, plant, untold in (
            ("My pellcup has bites in each cup. What is it?", "pellcup", False),
            (f"Holes in my {PLANT}s. The pellcup is fine, the {PLANT}s not.", PLANT, False),
            ("Something bites my plant.", "", True),
        ):
            page.fill("#letter", letter)
            page.locator("#found").wait_for()
            chosen = page.eval_on_selector("#plant", CHOSEN)
            assert page.is_visible("#untold") is untold
            assert untold or chosen == plant
        other = page.eval_on_selector("#plant", "it => it.options[1].textContent")
        page.select_option("#plant", index=1)
        chosen = page.eval_on_selector("#plant", CHOSEN)
        assert chosen == other
        assert not page.is_visible("#untold")
    page.close()


def test_a_letter_about_a_plant_of_few_signs_is_answered(
    two: Path, browser: Browser
) -> None:
    """What can be told of it at all is asked for, and no more."""
    page = browser.new_page(service_workers="block")
    with served(two) as address:
        page.goto(f"{address}letters/")
        page.locator("#ready", has_text="Ready.").wait_for()
        page.fill("#letter", "My pellcup has bites in each cup. What is it?")
        page.locator("#found").wait_for()
        reply = page.input_value("#reply")
    page.close()
    assert "What you describe points to" in reply
    assert "What to do:" in reply


def test_the_tally_names_the_plant_of_each_letter(two: Path, browser: Browser) -> None:
    """Whichever letter is open, a row is weighed by the records of its own plant."""
    page = browser.new_page(service_workers="block")
    with served(two) as address:
        page.goto(f"{address}letters/")
        page.locator("#ready", has_text="Ready.").wait_for()
        page.fill("#letter", "My pellcup has bites in each cup. What is it?")
        page.keyboard.press("Alt+KeyN")
        page.fill("#letter", f"My {PLANT} leaves are sewn shut with threads. What is it?")
        with page.expect_download() as saved:
            page.click("#csv")
        rows = saved.value.path().read_text("utf-8").splitlines()
    plants = [dict(zip(rows[0].split(","), it.split(","), strict=True)) for it in rows[1:]]
    assert [it["plant"] for it in plants] == ["pellcup", PLANT]
    page.close()


def test_controls_are_shared(two: Path) -> None:
    """One page of a control names the causes of both plants that use it."""
    text = (two / "controls" / "hand-pick-soapy-water" / "index.html").read_text("utf-8")
    assert "causes/pellcup-biter/" in text
    assert len(set(re.findall(r"causes/[\w-]+/", text))) > 1


def test_lists_go_by_plant(two: Path, library: Library) -> None:
    """Causes and sheets stand below the name of their plant, each below its own."""
    named = re.compile(r'href="(?:causes/)?([a-z0-9-]+?)(?:/|-a4\.pdf|-letter\.pdf)"')
    for address in ("causes", "guide"):
        text = (two / address / "index.html").read_text("utf-8")
        _, *parts = re.split(r"<h[23][^>]*>([^<]+)</h", text)
        below = dict(zip(parts[::2], parts[1::2], strict=True))
        for plant in library.knowledge.plants.values():
            assert {*named.findall(below[plant.name])} == {*plant.causes}


def test_no_link_of_two_plants_is_dead(two: Path, library: Library) -> None:
    """Every link of the site of both leads somewhere."""
    walks = tuple(f"{plant}/" for plant in library.knowledge.plants)
    assert not list(dead_links(read_site(two), "/", (*walks, "season/")))


def test_each_plant_keeps_its_own_parts() -> None:
    """Drawings of two plants in one list each use their own plant's shared parts."""
    one, other = (
        read_clean(TOY).knowledge.plants["mossbell"].drawings,
        {
            PARTS: '<svg><g id="leaf"><path class="o" d="M1 1h9"/></g></svg>',
            "cup": '<svg viewBox="0 0 160 120"><use href="#leaf"/></svg>',
        },
    )
    together = merged({"mossbell": one, "cup": other})
    for name, mark in (("holes", "mossbell"), ("cup", "cup")):
        assert f'href="#d-{mark}-leaf"' in picture(together, name, "")
    shared = sprite(together, ("holes", "cup"))
    assert "d-mossbell-leaf" in shared
    assert 'd="M1 1h9"' in shared
    assert merged({"mossbell": one}) == one


def test_a_new_plant_as_its_grower_starts_it(toy_copy: Path, capsys: Printed) -> None:
    """After `bedside new plant` the check stops nothing and names what is to do next."""
    project = toy_copy.parent
    bedside = ["--root", str(project)]
    assert main([*bedside, "new", "plant", "pellcup"]) == 0
    capsys.readouterr()
    assert main([*bedside, "check"]) == 0
    out = capsys.readouterr().out
    # What the start lacks is said of the new plant alone, and with what to do.
    faults = [it for it in out.split("\n\n") if "knowledge/" in it]
    assert faults
    assert all("knowledge/pellcup/" in it and "hint: " in it for it in faults)
    assert out.splitlines()[-1].startswith("next: ")
    # Its folder replaced by a finished one, the site of two plants is made.
    shutil.rmtree(toy_copy / "pellcup")
    shutil.copytree(SECOND, toy_copy, dirs_exist_ok=True)
    controls = ("look-weekly", "hand-pick-soapy-water", "let-soil-dry")
    for control in controls:
        text = (toy_copy / "controls" / "look-over.yaml").read_text("utf-8")
        named = re.sub(r"(?m)^name: .*", f"name: {control}", text)
        (toy_copy / "controls" / f"{control}.yaml").write_text(named, "utf-8")
    problems = build_site(ROOT, project / "site", knowledge=toy_copy)
    assert not [f"{it.file} {it.message}" for it in problems if it.level == ERROR]
    assert (project / "site" / "pellcup" / "index.html").is_file()


def test_a_plant_that_is_grown_is_no_other_plant(toy_copy: Path) -> None:
    """A nursery of hostas never tells its customers that theirs is another plant."""
    text = (toy_copy / "mossbell" / "plant.yaml").read_text("utf-8")
    renamed = text.replace("also_called: [pot bell]", "also_called: [hosta]")
    assert renamed != text
    both = {}
    for name, said in (("before", text), ("after", renamed)):
        (toy_copy / "mossbell" / "plant.yaml").write_text(said, "utf-8")
        (toy_copy / "words" / "plants.yaml").write_text(
            "others:\n  hosta:\n    called: a hosta\n    names: [hosta, hostas]\n"
            "    features: [lavender bell flowers]\n",
            "utf-8",
        )
        both[name] = others_of(site(read_clean(toy_copy), read_theme(ROOT)))
    assert list(both["before"]) == ["hosta"]
    assert not both["after"]
    plant = read_clean(toy_copy).knowledge.plants["mossbell"]
    groups = {"plants": ["rose", "host*"], "pot": ["host*"]}
    assert of_plant(groups, plant) == {"plants": ["rose"], "pot": ["host*"]}
