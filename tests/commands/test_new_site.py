"""A whole site to begin with: right from the first minute, also out of a wheel."""

import re
import shutil
import subprocess
import sys
import sysconfig
from collections.abc import Iterator
from pathlib import Path

import pytest

from bedside import checks, pipeline
from bedside.checks.material import gather
from bedside.checks.uses import NO_PUBLICATION, source_uses
from bedside.cli import main
from bedside.commands.overrides import changed_since
from bedside.problems import WARNING
from bedside.read.library import read_folder, read_library
from bedside.read.theme import read_theme
from tests.browser import made_once
from tests.conftest import ROOT, read_clean

Printed = pytest.CaptureFixture[str]
PLANT = "dimplewort"
# What a page or a sheet needs and a site does not write itself: in the wheel, all of it.
LEFT_OUT = {"readme.png"}


def make_site(root: Path) -> None:
    assert main(["new", "site", str(root)]) == 0


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A new site, for reading."""
    return made_once(tmp_path_factory, "new-site", make_site)


def test_a_new_site_is_without_fault(whole: Path) -> None:
    """No error; more controls than it needs, and a nursery that has no name yet."""
    problems = checks.run(read_clean(whole / "knowledge"))
    found = {(it.level, it.code) for it in problems}
    assert found == {(WARNING, "unused-control"), (WARNING, "pattern-text")}
    waiting = {it.file for it in problems if it.code == "pattern-text"}
    assert waiting == {"nursery.yaml"}
    assert not (whole / "knowledge" / "addresses.yaml").exists()


def test_a_new_site_tells_the_next_step(tmp_path: Path, capsys: Printed) -> None:
    """The last lines say which file to open first and how to see the site."""
    make_site(tmp_path / "mine")
    out = capsys.readouterr().out
    assert str(tmp_path / "mine" / "knowledge" / "nursery.yaml") in out
    assert out.rstrip().endswith("bedside serve --open")


@pytest.mark.parametrize("kind", ["control", "source", "step", "topic", "cause", "sign"])
def test_what_a_pattern_says_is_not_taken_for_ones_own(tmp_path: Path, kind: str) -> None:
    """Each line that still waits for the grower's words is named, in every kind of file."""
    make_site(tmp_path / "mine")
    folder = tmp_path / "mine"
    plant = [] if kind in {"control", "topic", "source"} else ["--plant", "dimplewort"]
    assert main(["--root", str(folder), "new", kind, "own-thing", *plant]) == 0
    library = read_folder(folder / "knowledge").whole()
    assert library is not None
    waiting = [it for it in checks.run(library) if it.code == "pattern-text"]
    assert [it for it in waiting if it.file != "nursery.yaml"]


def test_a_new_site_keeps_only_the_sources_it_cites(whole: Path) -> None:
    """No source is without a use, and none that is cited was taken out."""
    library = read_clean(whole / "knowledge")
    kept = {it.id for it in library.knowledge.sources.values()}
    cited = {use.name for use in source_uses(gather(library))}
    assert kept == cited | set(NO_PUBLICATION)
    # Whoever cites all of them has all of them.
    assert kept < {*read_clean(ROOT / "knowledge").knowledge.sources}


def test_a_new_site_names_no_plant_of_the_demo(whole: Path) -> None:
    """No record, guide or schema that a new site gets speaks of what the demo grows."""
    plants = {it.parent.name for it in (ROOT / "knowledge").glob("*/plant.yaml")}
    for path in (whole / "knowledge").rglob("*"):
        if path.is_file():
            text = path.read_text("utf-8").lower()
            assert not [it for it in plants if it in text], path


def test_the_page_on_the_folder_names_what_is_there(whole: Path) -> None:
    """Each file it speaks of is there, but for those it says may not be."""
    folder = whole / "knowledge"
    page = (folder / "README.md").read_text(encoding="utf-8")
    before, _, after = page.partition("so they may not be there yet:")
    maybe, _, rest = after.partition("\n## ")
    name = re.compile(r"`((?:[\w-]+/)*[\w-]+(?:/|\.(?:yaml|csv|md)))`")
    told = {it.replace("PLANT", PLANT) for it in name.findall(before + rest)}
    may_be = {it.removeprefix("PLANT/") for it in name.findall(maybe)}
    assert len(told) > 12
    assert len(may_be) > 6
    wanted = {it for it in told - may_be if "NAME" not in it}
    # A plant's own file may be spoken of without the folder it stands in.
    assert {it for it in wanted if not [*folder.rglob(it)]} == set()


def test_an_editor_finds_the_shape_of_every_file(whole: Path) -> None:
    """The schema that the first line of a record names is there, beside the records."""
    for path in sorted((whole / "knowledge").rglob("*.yaml")):
        first = path.read_text("utf-8").partition("\n")[0]
        schema = re.fullmatch(r"# yaml-language-server: \$schema=(\S+)", first)
        assert schema, path
        assert (path.parent / schema[1]).is_file(), path


def test_a_new_record_of_a_new_site_finds_its_shape(tmp_path: Path) -> None:
    """`bedside new cause` writes the path to the schemas of this site."""
    make_site(tmp_path)
    assert main(["--root", str(tmp_path), "new", "cause", "tiny-mite"]) == 0
    path = tmp_path / "knowledge" / PLANT / "causes" / "tiny-mite.yaml"
    first = path.read_text("utf-8").partition("\n")[0]
    assert (path.parent / first.partition("$schema=")[2]).is_file()


def test_new_year(tmp_path: Path, capsys: Printed) -> None:
    """What to do when: without a problem, told what comes next, and never written over."""
    make_site(tmp_path)
    year = tmp_path / "knowledge" / PLANT / "year.yaml"
    year.unlink()
    new = ["--root", str(tmp_path), "new", "year"]
    assert main([*new, "dimplewor"]) == 2
    assert f"did you mean '{PLANT}'" in capsys.readouterr().err
    assert main([*new, PLANT]) == 0
    assert "next: write your own tasks" in capsys.readouterr().out
    assert main(["--root", str(tmp_path), "check"]) == 0, capsys.readouterr().out
    assert main([*new, PLANT]) == 1


def test_a_folder_that_holds_something_is_left_alone(
    tmp_path: Path, capsys: Printed
) -> None:
    """Nothing is written among somebody's own files, or over one."""
    letter = tmp_path / "letter.txt"
    letter.write_text("Dear", encoding="utf-8")
    for place in (tmp_path, letter):
        assert main(["new", "site", str(place)]) == 2
        assert "name a new folder" in capsys.readouterr().err
    assert [*tmp_path.iterdir()] == [letter]


@pytest.mark.parametrize(
    ("found", "said"), [(7, "a later release of bedside"), (0, "what changed since")]
)
def test_a_folder_of_another_format_is_refused(
    tmp_path: Path, found: int, said: str
) -> None:
    """One problem says so and how to mend it, and no other is looked for."""
    make_site(tmp_path)
    nursery = tmp_path / "knowledge" / "nursery.yaml"
    text = nursery.read_text("utf-8")
    nursery.write_text(text.replace("format: 1", f"format: {found}"), "utf-8")
    (tmp_path / "knowledge" / PLANT / "plant.yaml").write_text("odd: 1\n", "utf-8")
    library, problems, _ = read_library(tmp_path / "knowledge")
    assert library is None
    (problem,) = problems
    assert (problem.code, problem.file) == ("other-format", "nursery.yaml")
    assert said in problem.hint


def own(root: Path, name: str, old: str, new: str) -> None:
    """Put a changed copy of a shipped file into a site."""
    text = (ROOT / name).read_text("utf-8")
    assert old in text
    path = root / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text.replace(old, new), "utf-8")


def bring_own(root: Path) -> None:
    """A template, a word, a style, a script and a layout of the site's own."""
    own(root, "site_src/templates/base.html.j2", "Ask a person", "Ask somebody")
    own(root, "site_src/words.json", '"Very likely"', '"Most likely"')
    own(root, "site_src/style/base.css", "margin: 0", "margin: 0.125px")
    own(root, "site_src/assets/walk.js", "\n", "\n// our own\n")
    own(root, "site_src/handout/key.typ", "pen = 0.7pt", "pen = 0.8pt")


def test_a_file_of_the_site_wins_over_the_one_that_ships(tmp_path: Path) -> None:
    """Each kind of file is taken from the site where it has one, and ships where not."""
    make_site(tmp_path)
    ships = read_theme(tmp_path)
    bring_own(tmp_path)
    theme = read_theme(tmp_path)
    assert "Ask somebody" in theme.templates["base.html.j2"]
    assert "0.125px" in theme.styles["base.css"]
    assert b"// our own" in theme.assets["walk.js"]
    assert "Most likely" in str(theme.words)
    assert "pen = 0.8pt" in theme.sheets.key
    assert theme.sheets.template == ships.sheets.template
    same = {"base.html.j2": theme.templates["base.html.j2"]}
    assert theme.templates == {**ships.templates, **same}
    built = pipeline.build(tmp_path)
    home = next(page for page in built.pages if page.address == "")
    assert "Ask somebody" in home.html
    assert "0.125px" in home.html


def test_an_own_file_whose_shipped_one_changed_is_named(
    tmp_path: Path, capsys: Printed, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A noted copy is silent until what ships is another; seen again, it is silent."""
    site, ships = tmp_path / "mine", tmp_path / "ships"
    make_site(site)
    shutil.copytree(ROOT / "site_src" / "style", ships / "site_src" / "style")
    monkeypatch.setattr("bedside.commands.overrides.SHIPPED", ships)
    name = "site_src/style/base.css"

    def found() -> list[tuple[str, str]]:
        return [(it.file, it.code) for it in changed_since(site)]

    assert main(["--root", str(site), "new", "override", "base.css"]) == 0
    assert (site / name).read_bytes() == (ROOT / name).read_bytes()
    (site / name).write_text("p { margin: 0 }", "utf-8")
    assert found() == []
    (ships / name).write_text("p { margin: 1px }", "utf-8")
    assert found() == [(f"../{name}", "changed-since")]
    assert main(["--root", str(site), "new", "override", name]) == 0
    assert found() == []
    assert (site / name).read_text("utf-8") == "p { margin: 0 }"
    # Put there by hand it is named once, until it is noted.
    (site / "overrides.json").write_text("{", "utf-8")
    assert found() == [(f"../{name}", "unnoted-override")]
    (ships / name).write_text("p { margin: 0 }", "utf-8")
    assert found() == []


def test_check_names_what_changed(tmp_path: Path, capsys: Printed) -> None:
    """The warning stands in the report of `check`, with the next step."""
    make_site(tmp_path)
    own(tmp_path, "site_src/style/base.css", "margin: 0", "margin: 0.125px")
    capsys.readouterr()
    assert main(["--root", str(tmp_path), "check"]) == 0
    out = capsys.readouterr().out
    assert "[unnoted-override]" in out
    assert "then: bedside new override site_src/style/base.css" in out


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("words.json", "{"), ("words.json", "[]"), ("words.json", "\xff"),
        ("templates/home.html.j2", "{% if %}"),
        ("templates/home.html.j2", "{{ view.nothing }}"),
        ("handout/words.json", "{}"), ("handout/sheet.typ", "#let ("),
    ],
)  # fmt: skip
def test_a_fault_in_an_own_file_is_a_problem(
    tmp_path: Path, capsys: Printed, name: str, text: str
) -> None:
    """What a site's own look breaks is said with the files that may have done it."""
    make_site(tmp_path)
    path = tmp_path / "site_src" / name
    path.parent.mkdir(parents=True)
    path.write_text(text, "latin-1")
    assert main(["--root", str(tmp_path), "build"]) == 1
    out = capsys.readouterr().out
    assert "the site was not built" in out
    assert pipeline.preview(tmp_path).problems
    if name != "handout/sheet.typ":  # the typesetter's own words
        assert f"../site_src/{name}:1:1: error: a page could not be made" in out
        assert f"look into your own site_src/{name}" in out


@pytest.mark.slow  # frames a site
def test_own_settings_and_frames_of_the_site_generator(tmp_path: Path) -> None:
    """An own mkdocs.yml is read, and an own frame stands around the reference pages."""
    make_site(tmp_path)
    for name in ("mkdocs.yml", "main.html"):
        assert main(["--root", str(tmp_path), "new", "override", name]) == 0
    for name, old, new in (
        ("mkdocs.yml", "- search.highlight", "- search.suggest"),
        ("site_src/overrides/main.html", 'charset="utf-8"', 'charset="UTF-8"'),
    ):
        text = (tmp_path / name).read_text("utf-8")
        assert old in text
        (tmp_path / name).write_text(text.replace(old, new), "utf-8")
    assert main(["--root", str(tmp_path), "build"]) == 0
    page = (tmp_path / "site" / "controls" / "index.html").read_text("utf-8")
    assert 'charset="UTF-8"' in page
    assert "search.suggest" in page


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("words.json", "site_src/handout/words.json or site_src/words.json"),
        ("bse.css", "did you mean 'base.css'?"),
        ("knowledge/sources.yaml", "no one shipped file"),
    ],
)
def test_a_file_that_does_not_ship(
    tmp_path: Path, capsys: Printed, name: str, said: str
) -> None:
    """What is no shipped file, or more than one, is said with what could be meant."""
    make_site(tmp_path)
    assert main(["--root", str(tmp_path), "new", "override", name]) == 2
    assert said in capsys.readouterr().err
    assert not (tmp_path / "overrides.json").exists()


def test_what_an_editor_leaves_is_not_published(tmp_path: Path) -> None:
    """Backups and hidden files of the site's own folders are passed over."""
    assets = tmp_path / "site_src" / "assets"
    assets.mkdir(parents=True)
    for name in (".DS_Store", "walk.js~"):
        (assets / name).write_bytes(b"x")
    assert read_theme(tmp_path).assets == read_theme(ROOT).assets


HALF_MADE = ("", "[]\n", "a: 1\n", "- b\n", "name:\n", None)


@pytest.mark.slow  # reads a whole site six times for each of its kinds of file
@pytest.mark.parametrize(
    "file",
    [
        "nursery.yaml", "sources.yaml", "emergencies.yaml", "extension.csv", "zones.yaml",
        "words/taught.yaml", "words/replies.yaml", "controls/let-soil-dry.yaml",
        "schema/cause.schema.json",
        *(f"{PLANT}/{it}" for it in (
            "plant.yaml", "tree.yaml", "first_steps.yaml", "signs/leaves.yaml",
            "causes/wet-feet.yaml", "causes/dimplewort-unlisted.yaml", "drawings/holes.svg",
        )),
    ],
)  # fmt: skip
def test_a_half_made_site_is_told_what_is_wrong(
    tmp_path: Path, capsys: Printed, file: str
) -> None:
    """A file that is not there, empty or of another shape never ends in a traceback."""
    make_site(tmp_path)
    path = tmp_path / "knowledge" / file
    for content in HALF_MADE:
        path.parent.mkdir(exist_ok=True)
        path.unlink(missing_ok=True)
        if content is not None:
            path.write_text(content, "utf-8")
        capsys.readouterr()
        code = main(["--root", str(tmp_path), "check"])
        out = capsys.readouterr().out
        assert (code == 0) is bool(re.search(r"^0 errors", out, re.MULTILINE))
        assert main(["--root", str(tmp_path), "build"]) == code


def test_what_is_not_even_half_a_site(tmp_path: Path, capsys: Printed) -> None:
    """An empty folder knowledge/ is told each file it lacks, and how to get one."""
    (tmp_path / "knowledge").mkdir()
    assert main(["--root", str(tmp_path), "check"]) == 1
    out = capsys.readouterr().out
    assert "bedside new plant NAME" in out
    assert out.count("copy one out of: bedside new site FOLDER") == 4
    assert main(["--root", str(tmp_path), "new", "cause", "mite"]) == 2
    assert "begin with: bedside new plant NAME" in capsys.readouterr().err


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel of this repository."""

    def make(out: Path) -> None:
        build = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(out)]
        subprocess.run(build, cwd=ROOT, check=True, capture_output=True)

    return next(made_once(tmp_path_factory, "wheel", make).glob("*.whl"))


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An environment with the wheel and what it stands on, without this repository."""

    def make(out: Path) -> None:
        python = out / "bin" / "python"
        run(sys.executable, "-m", "venv", "--without-pip", str(out))
        pip = (sys.executable, "-m", "pip", "--python", str(python), "--quiet")
        run(*pip, "install", "--no-deps", "--no-index", str(wheel))
        (own_place,) = out.glob("lib/python*/site-packages")
        # A path file within that folder is not read: our own editable install stays out.
        (own_place / "others.pth").write_text(sysconfig.get_path("purelib"), "utf-8")

    return made_once(tmp_path_factory, "installed", make) / "bin" / "python"


def run(*words: str, at: Path = ROOT) -> str:
    done = subprocess.run(words, cwd=at, capture_output=True, text=True, env={"PATH": ""})
    assert done.returncode == 0, f"{words}\n{done.stdout}\n{done.stderr}"
    return done.stdout


def shipped_names() -> Iterator[str]:
    for folder in ("site_src", "knowledge"):
        for path in sorted((ROOT / folder).rglob("*")):
            name = path.relative_to(ROOT).as_posix()
            if path.is_file():
                yield name


@pytest.mark.slow  # builds and installs a wheel
def test_the_wheel_holds_all_that_a_site_needs(installed: Path) -> None:
    """All of site_src/ is in it, and of the knowledge what is no nursery's own."""
    place = run(
        str(installed), "-c", "from bedside.read import shipped; print(shipped.SHIPPED)"
    )
    ships = Path(place.strip())
    assert not ships.is_relative_to(ROOT)
    plants = {it.parent.name for it in (ROOT / "knowledge").glob("*/plant.yaml")}
    left_out = {name for name in shipped_names() if not (ships / name).is_file()}
    tops = {Path(name).parts[1] for name in left_out}
    assert tops == {*plants, "nursery.yaml", "addresses.yaml", *LEFT_OUT}


@pytest.mark.slow  # builds a site with an installed wheel
def test_from_a_wheel_to_a_site(installed: Path, tmp_path: Path) -> None:
    """With nothing but the package: a new site, a check without error, and a built site."""
    bedside = (str(installed), "-m", "bedside")
    run(*bedside, "new", "site", "mine", at=tmp_path)
    site = tmp_path / "mine"
    bring_own(site)
    assert "0 errors, " in run(*bedside, "check", at=site)
    run(*bedside, "build", at=site)
    home = (site / "site" / "index.html").read_text("utf-8")
    assert "What do you see on the leaves?" in home
    assert "Ask somebody" in home
    place = (site / "site" / "season" / "portland-or" / "index.html").read_text("utf-8")
    assert "Plant out" in place
    assert (site / "site" / PLANT / "key" / f"{PLANT}-key-a4.pdf").is_file()
