"""A build replaces the old site in one step or leaves it as it was, whatever happens."""

import ctypes
import os
import resource
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from bedside.cli import main
from bedside.publish import swap
from bedside.publish.site_files import read_site
from bedside.publish.whole_site import build_site
from tests.browser import ROOT
from tests.conftest import TOY
from tests.sweep import SWEEP

pytestmark = pytest.mark.slow
KILLS = 300 if SWEEP else 6
PR_CAPBSET_DROP, CAP_DAC_OVERRIDE = 24, 1
BUILD = """
import sys
from pathlib import Path
from bedside.publish.whole_site import build_site
from bedside.problems import render
problems = build_site(Path(sys.argv[1]), Path(sys.argv[2]), knowledge=Path(sys.argv[3]))
print(render(problems))
sys.exit(1 if problems else 0)
"""
# Another clock, four hundred days on, for whoever asks in whatever way.
SHIFTED = """
import datetime, time
now, days = time.time, 400
time.time = lambda: now() + days * 86400
class Later(datetime.datetime):
    @classmethod
    def now(cls, tz=None):
        return super().now(tz) + datetime.timedelta(days=days)
class LaterDay(datetime.date):
    @classmethod
    def today(cls):
        return super().today() + datetime.timedelta(days=days)
datetime.datetime, datetime.date = Later, LaterDay
"""


@pytest.fixture
def old_site(tmp_path: Path, toy_copy: Path) -> Path:
    """A good site, and knowledge that has changed since."""
    out = tmp_path / "site"
    assert not build_site(ROOT, out, knowledge=toy_copy)
    topic = toy_copy / "topics" / "dividing.yaml"
    text = topic.read_text(encoding="utf-8")
    topic.write_text(text.replace("in_short: ", "in_short: New. ", 1), encoding="utf-8")
    return out


def build_apart(
    out: Path,
    knowledge: Path,
    before: Callable[[], None] | None = None,
    code: str = BUILD,
    **more: str,
) -> subprocess.CompletedProcess[str]:
    """Build in a process of its own, prepared by `before`."""
    return subprocess.run(
        [sys.executable, "-c", code, str(ROOT), str(out), str(knowledge)],
        cwd=ROOT, preexec_fn=before, capture_output=True, text=True, check=False,
        env={**os.environ, **more},
    )  # fmt: skip


@pytest.mark.parametrize(
    ("how", "left"),
    [((), "again knowledge new site"), (("--pairs",), "knowledge one site two")],
)
def test_killed_builds_leave_a_whole_site(
    how: tuple[str, ...], left: str, tmp_path: Path
) -> None:
    """Killed at any moment, alone or raced, a build leaves one whole site and no rest."""
    folder = tmp_path / "kills"
    shutil.copytree(TOY, folder / "knowledge")
    script = ROOT / "tests" / "tools" / "kill_builds.py"
    done = subprocess.run(
        [sys.executable, str(script), str(KILLS), str(folder), *how],
        cwd=ROOT, capture_output=True, text=True, check=False,
        env={**os.environ, "PYTHONPATH": f"{ROOT}:{os.environ.get('PYTHONPATH', '')}"},
    )  # fmt: skip
    assert done.returncode == 0, done.stderr[-2000:]
    assert done.stdout.endswith(f"left: {left}\n")


@pytest.mark.parametrize("most", [0, 10_000, 60_000, 130_000])
def test_without_room_the_old_site_stays(most: int, old_site: Path, toy_copy: Path) -> None:
    """Where a file can't be written whole, nothing is, and no traceback is printed."""

    def small_disk() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))

    before = read_site(old_site)
    done = build_apart(old_site, toy_copy, small_disk, PYTHONDONTWRITEBYTECODE="1")
    assert done.returncode == 1, done.stderr[-2000:]
    assert "[not-written]" in done.stdout
    assert "Traceback" not in done.stderr
    assert read_site(old_site) == before
    assert not list(old_site.parent.glob(".site.new*"))


def test_a_folder_that_may_not_be_written_is_named(
    old_site: Path, toy_copy: Path, tmp_path: Path
) -> None:
    """In a read-only folder the old site stays, and the message says what is in the way."""

    def obey_the_folder() -> None:
        # The administrator too must ask, as everybody else.
        ctypes.CDLL(None).prctl(PR_CAPBSET_DROP, CAP_DAC_OVERRIDE, 0, 0, 0)

    before = read_site(old_site)
    tmp_path.chmod(0o555)
    try:
        done = build_apart(old_site, toy_copy, obey_the_folder)
    finally:
        tmp_path.chmod(0o755)
    assert done.returncode == 1, done.stderr[-2000:]
    assert "[not-written]" in done.stdout
    assert "Permission denied" in done.stdout
    assert read_site(old_site) == before


def test_a_folder_of_other_things_is_left_alone(
    tmp_path: Path, toy_copy: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A slip in --out must not cost anyone's files."""
    papers = tmp_path / "papers"
    papers.mkdir()
    (papers / "letter.txt").write_text("Dear", encoding="utf-8")
    assert main(["--root", str(tmp_path), "build", "--out", str(papers)]) == 1
    assert "holds something else than a site" in capsys.readouterr().out
    assert [it.name for it in papers.iterdir()] == ["letter.txt"]


def test_the_exchange_is_one_step(tmp_path: Path) -> None:
    """On Linux and macOS two folders change places in one call."""
    for name in ("one", "other"):
        (tmp_path / name).mkdir()
        (tmp_path / name / name).touch()
    assert swap.exchanged(tmp_path / "one", tmp_path / "other")
    assert [it.name for it in (tmp_path / "one").iterdir()] == ["other"]
    assert not swap.exchanged(tmp_path / "one", tmp_path / "nowhere")


def test_without_an_exchange_an_interrupted_swap_is_put_right(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Elsewhere two renames have a moment between them; the next build mends it."""
    monkeypatch.setattr(swap, "exchanged", lambda *_: False)
    out, fresh = tmp_path / "site", tmp_path / "fresh"
    for folder, word in ((out, "old"), (fresh, "new")):
        folder.mkdir()
        (folder / "index.html").write_text(word, encoding="utf-8")
    out.rename(swap.aside(out))  # and then the power went
    with swap.fresh_folder(out, lambda: None):
        assert (out / "index.html").read_text(encoding="utf-8") == "old"
    swap.swap(fresh, out)
    assert (out / "index.html").read_text(encoding="utf-8") == "new"
    assert sorted(it.name for it in tmp_path.iterdir()) == ["site"]


def test_without_an_exchange_there_is_a_way_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where the new folder can't take its place, the old one is back in it."""
    monkeypatch.setattr(swap, "exchanged", lambda *_: False)
    out = tmp_path / "site"
    out.mkdir()
    (out / "index.html").write_text("old", encoding="utf-8")
    with pytest.raises(FileNotFoundError):
        swap.swap(tmp_path / "nowhere", out)
    assert (out / "index.html").read_text(encoding="utf-8") == "old"
    assert sorted(it.name for it in tmp_path.iterdir()) == ["site"]


def test_another_day_and_place_give_the_same_bytes(tmp_path: Path, toy_copy: Path) -> None:
    """The clock, the time zone, the language and the order of hashes leave no trace."""
    here, there = tmp_path / "here", tmp_path / "far" / "away" / "there"
    there.parent.mkdir(parents=True)
    assert build_apart(here, toy_copy, PYTHONHASHSEED="1").returncode == 0
    done = build_apart(
        there, toy_copy, code=SHIFTED + BUILD,
        PYTHONHASHSEED="2", TZ="Pacific/Auckland", LC_ALL="C",
    )  # fmt: skip
    assert done.returncode == 0, done.stderr[-2000:]
    assert read_site(here) == read_site(there)
