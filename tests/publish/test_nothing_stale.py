"""After any edit a build with what was kept gives what a build from nothing gives."""

import json
import multiprocessing
import re
import shutil
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import pytest

from bedside.cache import FOLDER
from bedside.pages.frame.desk import Site
from bedside.pages.season import place_pages
from bedside.publish.site_files import read_site
from bedside.publish.whole_site import build_site, watched
from bedside.read.sheet_theme import read_sheet_theme
from bedside.read.shipped import SHIPPED, stamps
from tests.season_site import knowledge_folder, season_site

SHEETS = "site_src/handout"
# A process of its own has nothing in memory either, but for the code itself: it is split
# off from one that has imported this and made nothing.
APART = multiprocessing.get_context("forkserver")
APART.set_forkserver_preload(
    [
        "bedside.publish.whole_site",
        "mkdocs.commands.build",
        "material.plugins.search.plugin",
    ]
)


@dataclass(frozen=True, slots=True)
class Edit:
    """One file with other words in it, and a file of the site that must show it."""

    file: str
    old: str
    new: str
    shows: str


EDITS = {
    "a sentence of a cause": Edit(
        "knowledge/mossbell/causes/bell-moth.yaml", "leaves dark pellets",
        "leaves dark round pellets", "causes/bell-moth/index.html",
    ),
    "what only a sheet says": Edit(
        "knowledge/mossbell/handout.yaml", "title: ", "title: The ",
        "guide/mossbell-unsure-letter.pdf",
    ),
    "what the numbers are made from": Edit(
        "knowledge/mossbell/causes/bell-moth.yaml",
        "edge-bites: usually", "edge-bites: sometimes",
        "about/how-sure/index.html",
    ),
    "a question": Edit(
        "knowledge/mossbell/signs/trace.yaml", "Silver slime", "Shiny slime",
        "mossbell/key/mossbell-key-a4.pdf",
    ),
    "a name from another record": Edit(
        "knowledge/mossbell/causes/slime-nibbler.yaml", "name: ", "name: Grey ",
        "causes/bell-moth/index.html",
    ),
    "a drawing on sheets and pictures": Edit(
        "knowledge/mossbell/drawings/holes.svg",
        "</svg>", '<path class="o" d="M4 4h9"/></svg>',
        "assets/previews/questions.png",
    ),
    "a part that drawings share": Edit(
        "knowledge/mossbell/drawings/parts.svg", 'r="42"', 'r="41"',
        "mossbell/key/mossbell-key-a4.pdf",
    ),
    "a template": Edit(
        "site_src/templates/base.html.j2", "Ask a person", "Ask somebody", "index.html"
    ),
    "a word of the pages": Edit(
        "site_src/words.json", '"Very likely"', '"Most likely"',
        "about/index.html",
    ),
    "a style": Edit(
        "site_src/style/base.css", "margin: 0", "margin: 0 0 0 0", "index.html"
    ),
    "a script": Edit("site_src/assets/walk.js", "\n", "\n\n", "assets/walk.js"),
    "a word of the sheets": Edit(
        f"{SHEETS}/words.json", '"Take care"', '"Take great care"',
        "guide/mossbell-unsure-letter.pdf",
    ),
    "the layout of the sheets": Edit(
        f"{SHEETS}/sheet.typ", "body-size = 12pt", "body-size = 11.9pt",
        "guide/mossbell-unsure-letter.pdf",
    ),
    "the layout of the key": Edit(
        f"{SHEETS}/key.typ", "pen = 0.7pt", "pen = 0.8pt",
        "mossbell/key/mossbell-key-a4.pdf",
    ),
    "the nursery": Edit(
        "knowledge/nursery.yaml", "name: Ferncup Pots", "name: Ferncup Bowls",
        "guide/mossbell-unsure-letter.pdf",
    ),
}  # fmt: skip


@pytest.fixture(scope="module")
def project(toy_project: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A project with the invented plant, built once; edits stay in it."""
    root = tmp_path_factory.mktemp("stale") / "project"
    return Path(shutil.copytree(toy_project, root))


@pytest.mark.slow  # prints every sheet from nothing, each time
@pytest.mark.parametrize("edit", EDITS.values(), ids=EDITS)
def test_an_edit_is_seen_whatever_was_kept(project: Path, edit: Edit) -> None:
    """The edit shows, and every file is byte for byte that of a build from nothing."""
    file, before = project / edit.file, read_site(project / "site")
    text = file.read_text(encoding="utf-8")
    assert edit.old in text
    file.write_text(text.replace(edit.old, edit.new, 1), encoding="utf-8")
    try:
        assert not build_site(project, project / "site")
        kept = read_site(project / "site")
        assert kept[edit.shows] != before[edit.shows]
        assert kept == from_nothing(project)
    finally:
        file.write_text(text, encoding="utf-8")


def from_nothing(project: Path) -> dict[str, bytes]:
    """The site of a copy in which nothing is kept, made by another process."""
    fresh = project.with_name("fresh")
    shutil.rmtree(fresh, ignore_errors=True)
    shutil.copytree(project, fresh, ignore=shutil.ignore_patterns(FOLDER, "site"))
    with APART.Pool(1) as other:
        assert not other.apply(build_site, (fresh, fresh / "site"))
    return read_site(fresh / "site")


@pytest.mark.slow  # builds four sites
def test_a_file_that_comes_to_win_or_goes_is_seen(project: Path) -> None:
    """Without its own file a site is made from the one that ships, and anew with it."""
    assert not build_site(project, project / "site")
    before = read_site(project / "site")
    own = project / EDITS["a template"].file
    text = own.read_text(encoding="utf-8")
    try:
        own.unlink()
        assert not build_site(project, project / "site")
        assert read_site(project / "site") == before
        own.write_text(text.replace("Ask a person", "Ask somebody"), encoding="utf-8")
        assert not build_site(project, project / "site")
        kept = read_site(project / "site")
        assert kept["index.html"] != before["index.html"]
        assert kept == from_nothing(project)
    finally:
        own.write_text(text, encoding="utf-8")


def test_what_ships_is_watched_beside_what_is_the_sites_own(tmp_path: Path) -> None:
    """A change of either makes the preview again; a folder that comes later counts too."""
    first = stamps(watched(tmp_path))
    assert str(SHIPPED / EDITS["a style"].file) in first
    own = tmp_path / EDITS["a style"].file
    own.parent.mkdir(parents=True)
    own.write_text("p {}", encoding="utf-8")
    assert stamps(watched(tmp_path)).keys() - first.keys() == {str(own)}


def test_a_schema_is_seen_whatever_was_kept(project: Path) -> None:
    """A record that was right is looked at again under a stricter schema, and back."""
    file = project / "knowledge" / "schema" / "cause.schema.json"
    text = file.read_text(encoding="utf-8")
    schema = json.loads(text)
    schema["required"] += ["photos"]
    file.write_text(json.dumps(schema), encoding="utf-8")
    assert {it.code for it in build_site(project, project / "site")} == {"missing-key"}
    file.write_text(text, encoding="utf-8")
    assert not build_site(project, project / "site")


def test_other_type_makes_other_sheets(project: Path) -> None:
    """A sheet is printed again when the letters themselves have changed."""
    # The test before may have left the site as its own edit made it.
    assert not build_site(project, project / "site")
    fonts, before = project / SHEETS / "fonts", read_site(project / "site")
    bold, plain = (
        fonts / f"atkinson-hyperlegible-latin-{it}-normal.ttf" for it in (700, 400)
    )
    first = plain.read_bytes()
    plain.write_bytes(bold.read_bytes())
    look = read_sheet_theme(project)
    plain.write_bytes(first)
    assert read_sheet_theme(project).type != look.type
    assert not build_site(project, project / "site")
    assert read_site(project / "site") == before


@pytest.fixture(scope="module")
def season(tmp_path_factory: pytest.TempPathFactory) -> Site:
    return season_site(knowledge_folder(tmp_path_factory.mktemp("season")))[0]


def with_words(desk: Site) -> Site:
    words = {**desk.words, "still_open": "open yet"}
    return replace(desk, theme=replace(desk.theme, words=words))


def with_style(desk: Site) -> Site:
    styles = {**desk.templates.styles, "season.css": "p{}"}
    return replace(desk, templates=replace(desk.templates, styles=styles))


def with_nursery(desk: Site) -> Site:
    nursery = replace(desk.templates.nursery, name="Other Pots")
    return replace(desk, templates=replace(desk.templates, nursery=nursery))


def with_knowledge(**changes: Callable[[Any], Any]) -> Callable[[Site], Site]:
    def changed(desk: Site) -> Site:
        fields = {it: make(getattr(desk.knowledge, it)) for it, make in changes.items()}
        knowledge = replace(desk.knowledge, **fields)
        return replace(desk, library=replace(desk.library, knowledge=knowledge))

    return changed


def renamed(records: dict[str, Any]) -> dict[str, Any]:
    first = next(iter(records))
    field = "name" if hasattr(records[first], "name") else "title"
    return {**records, first: replace(records[first], **{field: "Other"})}


@pytest.mark.parametrize(
    "change",
    [with_words, with_style, with_nursery, with_knowledge(controls=renamed),
     with_knowledge(sources=renamed), with_knowledge(plants=lambda _: {})],
)  # fmt: skip
def test_what_a_place_says_is_in_its_key(
    season: Site, change: Callable[[Site], Site]
) -> None:
    """No place is taken from before when a thing that all places show has changed."""
    assert season.season
    was = place_pages.place_keys(season, season.season)
    now = place_pages.place_keys(change(season), season.season)
    assert was.keys() == now.keys()
    assert not any(was[place] == now[place] for place in was)


def test_what_a_place_loads_is_in_its_key(season: Site) -> None:
    """A new script makes every place anew; a new sheet of some cause makes none."""
    assert season.season
    was = place_pages.place_keys(season, season.season)
    page = next(place_pages.place_pages(season, season.season))
    loaded = set(re.findall(r"/assets/([^?\"]+)\?v=", page.html))
    assert loaded
    assert all(name.endswith(place_pages.LOADED) for name in loaded)
    for name, same in (("guide/causes/moth-a4.pdf", True), ("assets/season.js", False)):
        stamps = {**season.templates.stamps, name: "other"}
        changed = replace(season, templates=replace(season.templates, stamps=stamps))
        assert (place_pages.place_keys(changed, season.season) == was) is same


def test_one_place_is_made_again_alone(season: Site) -> None:
    """Another frost at one place leaves all other places as they are."""
    assert season.season
    first, *others = season.season.places
    place = season.season.places[first]
    moved = replace(place, frost=replace(place.frost, last=place.frost.last + 1))
    places = {**season.season.places, first: moved}
    was = place_pages.place_keys(season, season.season)
    now = place_pages.place_keys(season, replace(season.season, places=places))
    assert was[first] != now[first]
    assert all(was[it] == now[it] for it in others)
