"""The command line: what it prints, what it returns, and never a traceback."""

import errno
import json
import os
import re
import socket
import subprocess
import sys
import threading
from importlib.metadata import version
from pathlib import Path
from typing import Any

import pytest
import yaml

from bedside.cli import COMMANDS, main
from bedside.commands import terminal
from bedside.commands.new import plural_of
from bedside.problems import WARNING, Location, Problem, problem_at
from bedside.read.library import read_folder, read_library
from tests.conftest import ROOT, read_clean

Printed = pytest.CaptureFixture[str]


@pytest.fixture
def project(toy_copy: Path) -> Path:
    """Give a project that holds a copy of the invented knowledge."""
    return toy_copy.parent


def bedside(project: Path, *words: str) -> int:
    return main(["--root", str(project), *words])


def spoil(project: Path, file: str, old: str, new: str) -> None:
    path = project / "knowledge" / file
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


def test_check_of_a_clean_folder(project: Path, capsys: Printed) -> None:
    """A clean folder prints a line of counts and what to do next, and gives 0."""
    assert bedside(project, "check", "--strict") == 0
    assert re.fullmatch(
        r"0 errors, 0 warnings in 0 of \d+ files\nno address is promised yet.*\n"
        r"next: all is well; bedside serve .*\n",
        capsys.readouterr().out,
    )
    assert bedside(project, "check", "-q") == 0
    assert capsys.readouterr().out == ""


def test_a_check_loads_nothing_that_prints_or_draws(project: Path) -> None:
    """Who waits for a check does not wait for templates, type or the site generator."""
    program = (
        "import sys; from bedside.cli import main; code = main(sys.argv[1:]);"
        "heavy = {'jinja2', 'mkdocs', 'segno', 'typst', 'jsonschema'} & {*sys.modules};"
        "sys.exit(code or ', '.join(sorted(heavy)) or 0)"
    )
    words = ["--root", str(project), "check"]
    done = subprocess.run(
        [sys.executable, "-c", program, *words], cwd=ROOT, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stderr


def test_check_of_a_spoiled_folder(project: Path, capsys: Printed) -> None:
    """A fault prints with its place and gives 1."""
    spoil(project, "mossbell/signs/bite.yaml", "ease: hard", "ease: hrd")
    assert bedside(project, "check") == 1
    out = capsys.readouterr().out
    assert out.startswith("knowledge/mossbell/signs/bite.yaml:4:7: error: ")
    *_, counted, following = out.splitlines()
    assert counted.endswith(" files")
    assert following.startswith("next: mend knowledge/mossbell/signs/bite.yaml:4, ")


def test_warnings_fail_only_when_strict(project: Path, capsys: Printed) -> None:
    """A warning passes at home and fails with --strict, in the same words."""
    (project / "knowledge" / "mossbell" / "drawings" / "plant.svg").unlink()
    assert bedside(project, "check") == 0
    at_home, _, following = capsys.readouterr().out.partition("next: ")
    assert ": warning: " in at_home
    assert following.startswith("nothing stops a build")
    assert bedside(project, "check", "--strict") == 1
    strict, _, following = capsys.readouterr().out.partition("next: ")
    assert strict == at_home
    assert following.startswith("mend knowledge/mossbell/plant.yaml:")
    assert bedside(project, "check", "-q") == 0
    assert capsys.readouterr().out == ""


def test_many_warnings_of_a_kind_are_counted(project: Path, capsys: Printed) -> None:
    """A kind is told in one line with the first places; --all prints each by itself."""
    for drawing in (project / "knowledge" / "mossbell" / "drawings").glob("*.svg"):
        if drawing.stem != "parts":
            drawing.unlink()
    assert bedside(project, "check") == 0
    brief = capsys.readouterr().out
    counted = re.search(
        r"^warning: (\d+) drawings are named .* \[missing-drawing\]$", brief, re.MULTILINE
    )
    assert counted
    assert "bedside check --all" in brief
    assert ": warning: " not in brief
    assert bedside(project, "check", "--all") == 0
    full = capsys.readouterr().out
    assert full.count("[missing-drawing]") == int(counted[1]) > 3
    assert full.count(": warning: ") == int(counted[1])


def test_check_for_other_programs(
    project: Path, capsys: Printed, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As data, and as annotations; files are named from where the command runs."""
    monkeypatch.chdir(project.parent)
    spoil(project, "mossbell/signs/bite.yaml", "ease: hard", "ease: hrd")
    assert bedside(project, "check", "--json") == 1
    found = json.loads(capsys.readouterr().out)
    (problem,) = found["problems"]
    file = f"{project.name}/knowledge/mossbell/signs/bite.yaml"
    assert (found["errors"], problem["file"], problem["line"]) == (1, file, 4)
    assert problem["code"] == "unknown-word"
    assert bedside(project, "check", "--format", "github") == 1
    (line,) = capsys.readouterr().out.splitlines()
    assert line.startswith(
        f"::error file={file},line=4,col=7,endColumn=10,title=unknown-word::"
    )


@pytest.mark.parametrize(
    ("names", "painted"),
    [({"TERM": "xterm"}, True), ({"TERM": "dumb"}, False), ({"NO_COLOR": "1"}, False)],
)
def test_colour_only_where_it_is_wanted(
    monkeypatch: pytest.MonkeyPatch, names: dict[str, str], painted: bool
) -> None:
    """On a terminal, unless its reader says no."""
    monkeypatch.delenv("NO_COLOR", raising=False)
    for name, value in names.items():
        monkeypatch.setenv(name, value)
    monkeypatch.setattr("sys.stdout.isatty", lambda: True)
    assert terminal.wants_colour() is painted
    monkeypatch.setattr("sys.stdout.isatty", lambda: False)
    assert not terminal.wants_colour()


def test_the_version(capsys: Printed) -> None:
    """As the package says."""
    assert main(["--version"]) == 0
    assert capsys.readouterr().out == f"bedside {version('bedside')}\n"


def test_a_misspelt_command_is_guessed(capsys: Printed) -> None:
    """Near a command its name is offered; far from all, each is."""
    assert main(["biuld"]) == 2
    assert "no command called 'biuld'; did you mean 'build'?" in capsys.readouterr().err
    assert main(["xyz"]) == 2
    assert "there are check, build, " in capsys.readouterr().err


def test_a_shell_may_ask_what_comes_next(
    capsys: Printed, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Click's own completion answers under the name that the manual of the tool gives."""
    monkeypatch.setenv("COMP_WORDS", "bedside che")
    monkeypatch.setenv("COMP_CWORD", "1")
    monkeypatch.setenv("_BEDSIDE_COMPLETE", "bash_complete")
    assert main([]) == 0
    assert capsys.readouterr().out == "plain,check\n"


def test_the_hook_before_a_commit_runs_a_check(project: Path) -> None:
    """What the hook definition names is a command, and it looks at what it should."""
    (hook,) = yaml.safe_load((ROOT / ".pre-commit-hooks.yaml").read_text("utf-8"))
    program, *words = hook["entry"].split()
    assert program == "bedside"
    assert bedside(project, *words) == 0
    assert re.search(hook["files"], "knowledge/mossbell/plant.yaml")
    assert re.search(hook["files"], "my-nursery/knowledge/nursery.yaml")
    assert not re.search(hook["files"], "notes/knowledge.txt")
    assert not hook["pass_filenames"]


def test_old_reviews_are_named_only_when_asked(project: Path, capsys: Printed) -> None:
    """No check reads the clock: with --today, records older than 24 months are named."""
    assert bedside(project, "check") == 0
    assert "review" not in capsys.readouterr().out
    assert bedside(project, "check", "--strict", "--today", "2028-01-14") == 0
    capsys.readouterr()
    assert bedside(project, "check", "--strict", "--today", "2028-02-01") == 1
    assert "[stale-review]" in capsys.readouterr().out


def test_try_ranks_and_advises(project: Path, capsys: Printed) -> None:
    """The answers of one trouble put it first, with its first step and what is asked."""
    assert bedside(project, "try", "mossbell", "holes", "slime", "--json") == 0
    found = json.loads(capsys.readouterr().out)
    assert found["causes"][0]["id"] == "slime-nibbler"
    assert sum(it["share"] for it in found["causes"]) == pytest.approx(1)
    assert found["first_step"]["id"] == "pick-at-night"
    assert found["findings"] == {"leaf-look": "holes", "trace": "slime"}
    assert (found["named"], found["unsure"]) == ("slime-nibbler", False)
    assert found["asked_next"] in ("bite", "soil")  # the tree has ended; `dust` needs spots
    assert found["look"] is None  # nothing could change what is named or done


def test_try_tells_what_a_look_would_change(project: Path, capsys: Printed) -> None:
    """The tree's question comes next; what each of its answers would name stands below."""
    assert bedside(project, "try", "mossbell", "holes", "--json") == 0
    found = json.loads(capsys.readouterr().out)
    assert found["asked_next"] == found["look"]["sign"] == "trace"
    answers = {it["answer"]: it for it in found["look"]["answers"]}
    assert sum(it["chance"] for it in answers.values()) == pytest.approx(1)
    assert answers["pellets"]["named"] == "bell-moth"
    assert bedside(project, "try", "mossbell", "holes", "pellets", "--json") == 0
    then = json.loads(capsys.readouterr().out)
    assert then["named"] == answers["pellets"]["named"]
    assert then["causes"][0]["share"] == pytest.approx(answers["pellets"]["share"])
    assert then["first_step"]["id"] == answers["pellets"]["first_step"]


def test_try_as_text(project: Path, capsys: Printed) -> None:
    """The text names what was told, the causes in order, the step and the look."""
    words = ("mossbell", "holes", "soil", "--zone", "dry-inland", "--season", "summer")
    assert bedside(project, "try", *words) == 0
    out = capsys.readouterr().out
    assert "leaf-look = holes, soil = not sure" in out
    shares = [
        float(it) for it in re.findall(r"^ *([01]\.\d{3})  (?!together)", out, re.MULTILINE)
    ]
    assert shares == sorted(shares, reverse=True)
    assert "first step:  Look after dark" in out
    assert "asked next:  trace\n" in out
    assert "one more look: What lies on or under the leaves? [trace]" in out


def test_try_says_what_was_assumed(project: Path, capsys: Printed) -> None:
    """A cause that does not mention a sign counts as normal there, and that is shown."""
    spoil(project, "mossbell/signs/soil.yaml", "reviewed:", "normal: soil-moist\nreviewed:")
    assert bedside(project, "try", "mossbell", "soil-wet", "--json") == 0
    found = json.loads(capsys.readouterr().out)["assumed"]
    assert [(it["sign"], it["answer"]) for it in found] == [("soil", "soil-moist")]
    assert "bell-moth" in found[0]["causes"]
    assert "wet-roots" not in found[0]["causes"]
    assert bedside(project, "try", "mossbell", "soil-wet") == 0
    assert "assumed:     soil-moist is usually seen (soil)" in capsys.readouterr().out


def test_where_and_when_change_the_ranking(project: Path, capsys: Printed) -> None:
    """A cause not recorded at a place and time falls; equal commonness ignores both."""

    def share(*words: str) -> Any:
        assert bedside(project, "try", "mossbell", "holes", *words, "--json") == 0
        causes = json.loads(capsys.readouterr().out)["causes"]
        return next(it["share"] for it in causes if it["id"] == "slime-nibbler")

    here = ("--zone", "dry-inland", "--season", "summer")
    assert share(*here) < share() < share("--zone", "wet-coast", "--season", "spring")
    assert share(*here, "--equal") == share("--equal")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("try", "mosbell"), "no plant called 'mosbell'; did you mean 'mossbell'?"),
        (("try", "mossbell", "holez"),
         "no answer or sign called 'holez'; did you mean 'holes'?"),
        (("try", "mossbell", "--zone", "x"),
         "no zone called 'x'; known: wet-coast, dry-inland"),
        (("try", "mossbell", "--season", "winter"), "no season called 'winter'; known: "),
        (("report", "--plant", "lily"), "no plant called 'lily'; "),
        (("new", "cause", "No Id"), "'No Id' is no id"),
        (("new", "cause", "rust", "--plant", "lily"), "no plant called 'lily'; "),
    ],
)  # fmt: skip
def test_wrong_words(
    project: Path, capsys: Printed, words: tuple[str, ...], said: str
) -> None:
    """A word that is not known gives 2 and says what could have been meant."""
    assert bedside(project, *words) == 2
    assert said in capsys.readouterr().err


@pytest.mark.parametrize(
    "words", [(), ("chek",), ("check", "--today", "soon"), ("new", "thing", "x"), ("try",)]
)
def test_wrong_usage(project: Path, capsys: Printed, words: tuple[str, ...]) -> None:
    """Usage that cannot be read gives 2 and the usage line."""
    assert bedside(project, *words) == 2
    assert "Usage: bedside" in capsys.readouterr().err


def test_other_commands_stop_at_problems(project: Path, capsys: Printed) -> None:
    """Neither a trial nor a report is made of knowledge with errors; they are printed."""
    spoil(project, "mossbell/tree.yaml", "slime: slime-nibbler", "slime: slime-nibler")
    for words in (("try", "mossbell"), ("report",), ("tree", "mossbell")):
        assert bedside(project, *words) == 1
        assert "[unknown-cause]" in capsys.readouterr().out


def test_report(project: Path, capsys: Printed) -> None:
    """The report prints as text, and as data by plant."""
    assert bedside(project, "report") == 0
    assert capsys.readouterr().out.startswith("mossbell: 7 causes, 5 signs")
    assert bedside(project, "report", "--plant", "mossbell", "--json") == 0
    assert json.loads(capsys.readouterr().out)["mossbell"]["causes"] == 7


@pytest.mark.parametrize("kind", ["control", "topic", "cause", "sign", "cases"])
def test_new_writes_a_record_of_the_right_shape(
    project: Path, capsys: Printed, kind: str
) -> None:
    """A new record has the right shape, explains itself, and is not overwritten."""
    assert bedside(project, "new", kind, "very-new") == 0
    wrote, then = capsys.readouterr().out.splitlines()
    assert then.startswith("next: ")
    written = project / wrote.removeprefix("wrote ")
    assert written.stem == "very-new"
    library, problems, _ = read_library(project / "knowledge")
    assert library is not None, problems
    text = written.read_text(encoding="utf-8")
    assert text.count("\n# ") >= 1
    assert bedside(project, "new", kind, "very-new") == 1
    assert "there already" in capsys.readouterr().out
    assert written.read_text(encoding="utf-8") == text


@pytest.mark.parametrize(
    ("kind", "name", "file"),
    [
        ("source", "uni-2024", "sources.yaml"),
        ("step", "water-more", "mossbell/first_steps.yaml"),
        ("photo", "thirst", "mossbell/causes/thirst.yaml"),
    ],
)
def test_new_lines_are_added_to_what_is_there(
    project: Path, capsys: Printed, kind: str, name: str, file: str
) -> None:
    """At the end of its file, in the right shape, once; what stood there stays."""
    path = project / "knowledge" / file
    before = path.read_text(encoding="utf-8")
    assert bedside(project, "new", kind, name) == 0
    said = capsys.readouterr().out
    assert f"added to the end of knowledge/{file}" in said
    assert "next: " in said
    after = path.read_text(encoding="utf-8")
    assert after.startswith(before)
    assert name in after.removeprefix(before)
    library, problems, _ = read_library(project / "knowledge")
    assert library is not None, problems
    assert bedside(project, "new", kind, name) == 1
    assert "nothing was written" in capsys.readouterr().out
    assert path.read_text(encoding="utf-8") == after


def test_a_photo_belongs_to_a_cause(project: Path, capsys: Printed) -> None:
    """Its lines stand in the record of the cause; without one, nothing is written."""
    assert bedside(project, "new", "photo", "no-cause") == 2
    assert "no knowledge/mossbell/causes/no-cause.yaml" in capsys.readouterr().err


def test_new_handout(project: Path, capsys: Printed) -> None:
    """The sheet shows six causes by what is usual, and agrees with their records."""
    file = project / "knowledge" / "mossbell" / "handout.yaml"
    file.unlink()
    assert bedside(project, "new", "handout", "mossbell") == 0
    assert bedside(project, "check", "--strict") == 0, capsys.readouterr().out
    assert bedside(project, "new", "handout", "mossbell") == 1
    file.unlink()
    for cause in ("thirst", "bell-moth"):
        path = project / "knowledge" / "mossbell" / "causes" / f"{cause}.yaml"
        words = re.compile(r"always|usually")
        path.write_text(words.sub("sometimes", path.read_text("utf-8")), encoding="utf-8")
    assert bedside(project, "new", "handout", "mossbell") == 2
    assert "a sheet shows 6 troubles, and mossbell has 4" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("name", "said"),
    [("Leaf Spot", "for instance 'leaf-spot'"), ("\u201crust\u201d", "a curly quote"),
     ("3rd", "with a letter first"), ("x" * 41, "at most 40")],
)  # fmt: skip
def test_what_is_no_id(project: Path, capsys: Printed, name: str, said: str) -> None:
    """A name that cannot be an id is told what one may hold, and one to take."""
    assert bedside(project, "new", "cause", name) == 2
    assert said in capsys.readouterr().err


@pytest.mark.parametrize(
    ("one", "more"),
    [("lily", "lilies"), ("dahlia", "dahlias"), ("hibiscus", "hibiscuses"), ("bay", "bays"),
     ("finch", "finches")],
)  # fmt: skip
def test_more_than_one(one: str, more: str) -> None:
    """The plural of a new plant is guessed as English makes it."""
    assert plural_of(one) == more


def test_new_plant(project: Path, capsys: Printed) -> None:
    """A new plant is a whole folder of the right shape; then records name their plant."""
    assert bedside(project, "new", "plant", "lily") == 0
    library = read_folder(project / "knowledge").whole()
    assert library is not None
    assert list(library.knowledge.plants) == ["lily", "mossbell"]
    assert list(read_clean(project / "knowledge").knowledge.plants) == ["mossbell"]
    assert bedside(project, "new", "sign", "petal") == 2
    assert "--plant lily|mossbell" in capsys.readouterr().err
    assert bedside(project, "new", "sign", "petal", "--plant", "lily") == 0
    assert (project / "knowledge" / "lily" / "signs" / "petal.yaml").is_file()


def test_new_records_name_their_schema(project: Path) -> None:
    """The first line of a new record leads to the schema of its kind."""
    (project / "knowledge" / "schema").symlink_to(ROOT / "knowledge" / "schema")
    assert bedside(project, "new", "cause", "rust") == 0
    path = project / "knowledge" / "mossbell" / "causes" / "rust.yaml"
    named = path.read_text(encoding="utf-8").partition("\n")[0].partition("$schema=")[2]
    assert (path.parent / named).resolve() == (
        ROOT / "knowledge" / "schema" / "cause.schema.json"
    )


def test_build_keeps_the_last_site_when_there_are_problems(
    project: Path, capsys: Printed
) -> None:
    """Errors are printed and give 1, and not a byte of the last site is touched."""
    last = project / "site"
    last.mkdir()
    (last / "index.html").write_text("the last good one", encoding="utf-8")
    spoil(project, "mossbell/signs/bite.yaml", "ease: hard", "ease: hrd")
    assert bedside(project, "build") == 1
    out = capsys.readouterr().out
    assert "knowledge/mossbell/signs/bite.yaml:4:7: error: " in out
    assert "the last one is as it was" in out
    assert [it.name for it in last.iterdir()] == ["index.html"]
    assert (last / "index.html").read_text(encoding="utf-8") == "the last good one"


def test_build_tells_warnings_and_where(
    project: Path, capsys: Printed, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A site with warnings is built; with --strict the exit code tells of them."""
    warning = problem_at(Location(file="x.yaml"), "odd", "this is odd", level=WARNING)
    asked = []

    def build_site(root: Path, out: Path, **_: object) -> tuple[Problem, ...]:
        asked.append((root, out))
        return (warning,)

    monkeypatch.setattr("bedside.publish.whole_site.build_site", build_site)
    assert bedside(project, "build", "--out", str(project / "here")) == 0
    assert "0 errors, 1 warning in 1 file\n" in capsys.readouterr().out
    assert bedside(project, "build", "--strict") == 1
    assert asked == [(project, project / "here"), (project, project / "site")]
    capsys.readouterr()
    assert bedside(project, "build", "-q") == 0
    assert capsys.readouterr() == ("", "")


def test_serve_on_a_port_in_use(
    project: Path, capsys: Printed, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A port that is taken gives 2 and says what to do."""

    def serve_site(root: Path, out: Path, **_: object) -> None:
        raise OSError(errno.EADDRINUSE, "Address already in use")

    monkeypatch.setattr("bedside.publish.whole_site.serve_site", serve_site)
    assert bedside(project, "serve", "--port", "8123") == 2
    assert "port 8123 is taken" in capsys.readouterr().err


def test_a_port_that_is_taken_is_said_before_the_first_build(project: Path) -> None:
    """Nobody waits for a build to learn that another port must be named."""
    with socket.create_server(("127.0.0.1", 0)) as other:
        port = str(other.getsockname()[1])
        assert bedside(project, "serve", "--port", port) == 2
    assert not (project / ".site").exists()


@pytest.mark.parametrize("port", ["-1", "65536", "http"])
def test_a_port_that_no_machine_has(project: Path, capsys: Printed, port: str) -> None:
    """A number out of range is refused in a line."""
    assert bedside(project, "serve", "--port", port) == 2
    assert "Invalid value for '--port'" in capsys.readouterr().err


@pytest.mark.parametrize("letters", ["ascii", "latin-1", "utf-8"])
def test_a_terminal_that_lacks_a_letter(project: Path, letters: str) -> None:
    """What can't be shown there becomes a question mark, and nothing else changes."""
    spoil(project, "mossbell/plant.yaml", "latin: Campanula", "latin: \u017bywiec")
    spoil(project, "mossbell/plant.yaml", "drawing: plant", "drawing: \u017bywiec")
    done = subprocess.run(
        [sys.executable, "-m", "bedside", "--root", str(project), "check"],
        cwd=ROOT, capture_output=True, env={**os.environ, "PYTHONIOENCODING": letters},
    )  # fmt: skip
    assert done.returncode == 1
    assert b"Traceback" not in done.stderr  # a slow machine says that it is at work
    shown = "\u017bywiec".encode(letters, "replace").decode(letters)
    assert f"'{shown}'" in done.stdout.decode(letters)


def test_a_folder_that_is_not_there(tmp_path: Path, capsys: Printed) -> None:
    """A wrong --root says what is wrong with it, and how to have a site."""
    (tmp_path / "file").write_text("", encoding="utf-8")
    wrong = {"": "no folder knowledge/", "x": "not there", "file": "no folder"}
    for place, said in wrong.items():
        assert bedside(tmp_path / place, "check") == 2
        told = capsys.readouterr().err
        assert said in told
        assert "bedside new site FOLDER" in told


def test_a_fault_of_the_disk_is_one_line(
    project: Path, capsys: Printed, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A full disk is said without a traceback."""

    def full(*_: object, **__: object) -> int:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(Path, "write_text", full)
    assert bedside(project, "new", "control", "soap") == 1
    assert capsys.readouterr().err == "bedside: No space left on device\n"


def test_a_folder_that_may_not_be_written(
    project: Path, capsys: Printed, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A missing permission is said in a line, without a traceback."""

    def refuse(path: Path, *_: object, **__: object) -> int:
        raise PermissionError(errno.EACCES, "Permission denied", str(path))

    monkeypatch.setattr(Path, "write_text", refuse)
    assert bedside(project, "new", "control", "soap") == 1
    assert "soap.yaml may not be written" in capsys.readouterr().err


def test_every_command_explains_itself(capsys: Printed) -> None:
    """The help of every command says what it does and gives an example."""
    for name in COMMANDS:
        assert main([name, "--help"]) == 0
        out = capsys.readouterr().out
        assert out.startswith(f"Usage: bedside {name}")
        assert f"  bedside {name}" in out
    assert main(["--help"]) == 0
    out = capsys.readouterr().out
    assert all(f"  {name} " in out for name in COMMANDS)


def test_the_project_is_found_upwards(
    project: Path, capsys: Printed, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without --root the nearest folder above that holds knowledge/ is the one."""
    monkeypatch.chdir(project / "knowledge" / "mossbell" / "signs")
    assert main(["check"]) == 0
    monkeypatch.chdir(project.parent)
    assert main(["check"]) == 2
    assert "bedside new site FOLDER" in capsys.readouterr().err


def test_a_long_wait_is_explained(capsys: Printed, monkeypatch: pytest.MonkeyPatch) -> None:
    """A word appears only once a wait is longer than the patience."""
    waits: list[float] = []

    class AtOnce(threading.Timer):
        """A clock on which every wait is over as it begins."""

        def start(self) -> None:
            waits.append(self.interval)
            self.function()

    monkeypatch.setattr(threading, "Timer", AtOnce)
    with terminal.patience("measuring", quiet=True):
        assert not waits
    with terminal.patience("measuring"):
        assert capsys.readouterr().err == "measuring …\n"
    assert waits == [terminal.PATIENCE_SECONDS]


def test_who_does_not_wait_is_told_nothing(
    capsys: Printed, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The word that was to come is called off when the work is done."""
    monkeypatch.setattr(terminal, "PATIENCE_SECONDS", 3600.0)

    def waiting() -> list[threading.Timer]:
        return [it for it in threading.enumerate() if isinstance(it, threading.Timer)]

    for thread in waiting():  # what commands before this one called off
        thread.join()
    with terminal.patience("measuring"):
        assert len(waiting()) == 1
    for thread in waiting():
        thread.join(timeout=60)
    assert not waiting()
    assert capsys.readouterr().err == ""


def test_as_a_module_and_into_a_closed_pipe(project: Path) -> None:
    """`python -m bedside` runs, and a reader that stops early causes no traceback."""
    (project / "knowledge" / "zones.yaml").write_text("a: b\n" * 3000, encoding="utf-8")
    command = [sys.executable, "-m", "bedside", "--root", str(project), "check"]
    with subprocess.Popen(
        command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    ) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.close()
        errors = process.stderr.read()
    assert "Traceback" not in errors


TALLY = "date,place,month,plant,kind,cause,confirmed,was\n"


def tally_file(project: Path, name: str, *lines: str) -> str:
    file = project / name
    file.write_text(TALLY + "".join(f"{it}\n" for it in lines), encoding="utf-8")
    return str(file)


def test_a_tally_joins_the_letters_of_a_season(project: Path, capsys: Printed) -> None:
    """What came, how often we were right, and a word that does not fit the letters."""
    spotted = [f"2026-07-1{it},OK,7,mossbell,trouble,dust-spot,yes," for it in range(6)]
    moth = "2026-07-19,OK,7,mossbell,trouble,bell-moth,no,dust-spot"
    one = tally_file(project, "one.csv", *spotted)
    two = tally_file(
        project, "two.csv", spotted[0], moth, "2026-08-02,,,mossbell,thanks,,,"
    )
    assert bedside(project, "tally", one, two) == 0
    said = capsys.readouterr().out
    assert "8 letters, 2026-07-10 to 2026-08-02" in said
    assert "stood in two files, counted once: 1" in said
    assert re.search(r"July +7  trouble 7\n +August +1  thanks 1", said)
    assert "right in 6 of 7 letters" in said
    assert "causes/dust-spot.yaml: common: common -> very-common" in said
    assert "rests on 7 of 7 letters" in said


def test_a_tally_leaves_bad_lines_out_and_says_so(project: Path, capsys: Printed) -> None:
    """File, line and what to do; what can be read is counted."""
    good = "2026-07-14,OK,7,mossbell,trouble,bell-moth,yes,"
    file = tally_file(project, "t.csv", good, "soon,OK,7,mossbell,trouble,bell-moth,,")
    assert bedside(project, "tally", file) == 1
    said = capsys.readouterr().out
    assert f"{file}:3" in said
    assert "write it as 2026-07-14" in said
    assert "1 letter, 2026-07-14" in said


def test_a_tally_without_its_file_says_so(project: Path, capsys: Printed) -> None:
    """A slip in a name is told without a traceback."""
    assert bedside(project, "tally", "no-such.csv") == 2
    assert "no-such.csv: there is no such file" in capsys.readouterr().err
