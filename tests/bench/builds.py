"""Builds, checks and a served site beside a stock copy of the same words.

    python -m tests.bench.builds [ROUNDS]

Every number is the processor's time of whole processes, user and system, and every promise
a ratio of two medians of interleaved rounds in one run: on a shared machine seconds mean
little. "Whole" is a build with nothing kept. "Known" is the same with only the report kept
that the page on how sure we are shows: to draw its gardeners takes longer than all else,
and it is drawn again only when a number in it can change.
"""

import json
import os
import re
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from bedside.cache import FOLDER
from tests.bench.stock import write_stock
from tests.shipped import PLANT

ROOT = Path(__file__).parents[2]
ROUNDS = 3
REPORT = "quality"
RECORD = Path(f"knowledge/{PLANT}/causes/aphid.yaml")
SENTENCE = re.compile(r"Most (of \d+ )?stay put")
PAGE = "causes/aphid/"
OURS, THEIRS = 8761, 8762  # ports
MOST_WAIT_S = 600.0
TICKS = os.sysconf("SC_CLK_TCK")
COMPOSE = """
import sys, yaml
from pathlib import Path
for file in Path(sys.argv[1]).rglob("*.yaml"):
    loader = yaml.CSafeLoader(file.read_text(encoding="utf-8"))
    loader.get_single_node()
    loader.dispose()
"""
PROMISED: Mapping[str, tuple[str, str, float]] = {
    "whole build, report known, to a stock one": ("known", "stock", 0.8),
    "whole build to a stock one": ("whole", "stock", 0.8),
    "build after an edit to a whole one": ("edited", "whole", 0.25),
    "build after an edit to one with the report known": ("edited", "known", 0.25),
    "first check to composing its YAML": ("check, first", "compose", 3.0),
    "check after an edit to composing": ("check, edited", "compose", 3.0),
    "edit to seen, to the stock copy's": ("seen", "stock seen", 0.25),
    "first page of a fresh clone, to the stock copy's": ("first page", "stock page", 2.0),
}


class Project:
    """A copy of the project that may be edited, and its stock copy."""

    def __init__(self, room: Path) -> None:
        self.room, self.edits = room, 0
        self.ours, self.theirs = room / "ours", room / "stock"
        self.ours.mkdir()
        for name in ("knowledge", "site_src"):
            shutil.copytree(ROOT / name, self.ours / name)
        shutil.copy(ROOT / "mkdocs.yml", self.ours)
        self.build()
        self.pages = write_stock(self.ours / "site", self.theirs)

    def forget(self, but: str = "") -> None:
        """Drop what is kept, all or all but one kind."""
        kinds = list((self.ours / FOLDER).glob("*"))
        for kind in kinds:
            if kind.name != but:
                shutil.rmtree(kind)

    def edit(self, *, stock: bool = False) -> str:
        """Change one sentence in a record, or in its page of the stock copy."""
        self.edits += 1
        file = self.theirs / f"docs/{PAGE}index.md" if stock else self.ours / RECORD
        words = f"Most of {self.edits} stay put"
        text = SENTENCE.sub(words, file.read_text(encoding="utf-8"))
        file.write_text(text, encoding="utf-8")
        return words

    def bedside(self, *words: str) -> float:
        return spent([sys.executable, "-m", "bedside", "--root", str(self.ours), *words])

    def build(self) -> float:
        return self.bedside("build", "--out", str(self.ours / "site"))

    def stock(self) -> float:
        config, out = self.theirs / "mkdocs.yml", self.room / "stock-site"
        return spent([*MKDOCS, "build", "-q", "-f", str(config), "-d", str(out)])


MKDOCS = [sys.executable, "-m", "mkdocs"]


def spent(command: list[str]) -> float:
    """The processor's seconds of one process that must end well."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(command, check=True, capture_output=True, cwd=ROOT)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime


def so_far(pid: int) -> float:
    """The processor's seconds of a running process."""
    fields = (
        Path(f"/proc/{pid}/stat").read_text(encoding="utf-8").rpartition(")")[2].split()
    )
    return (int(fields[11]) + int(fields[12])) / TICKS


@contextmanager
def serving(command: list[str]) -> Iterator[int]:
    """A server that runs as long as the block."""
    with subprocess.Popen(
        command, cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    ) as process:
        try:
            yield process.pid
        finally:
            process.terminate()


def wait_for(address: str, words: str) -> None:
    """Ask for a page until it holds some words."""
    until = time.monotonic() + MOST_WAIT_S
    while time.monotonic() < until:
        with suppress(OSError), urllib.request.urlopen(address, timeout=60) as answer:
            if words in answer.read().decode():
                return
        time.sleep(0.1)
    raise TimeoutError(f"{address} never held {words!r}")


def settled(pid: int) -> float:
    """The processor's seconds of a process once it has nothing more to do."""
    now = so_far(pid)
    while True:
        time.sleep(3)
        before, now = now, so_far(pid)
        if now - before < 0.3:
            return now


def served(project: Project, command: list[str], port: int, *, stock: bool) -> list[float]:
    """Seconds to the first page, and from an edit until the page shows it."""
    address = f"http://127.0.0.1:{port}/"
    with serving(command) as pid:
        wait_for(address, "</html>")
        first, idle = so_far(pid), settled(pid)
        words = project.edit(stock=stock)
        wait_for(f"{address}{PAGE}", words)
        return [first, so_far(pid) - idle]


def one_round(project: Project) -> Iterator[tuple[str, float]]:
    """Each thing once, ours and theirs in turn."""
    project.forget()
    yield "whole", project.build()
    yield "stock", project.stock()
    project.forget(but=REPORT)
    yield "known", project.build()
    project.edit()
    yield "edited", project.build()
    yield "compose", spent([sys.executable, "-c", COMPOSE, str(project.ours / "knowledge")])
    project.forget()
    yield "check, first", project.bedside("check")
    project.edit()
    yield "check, edited", project.bedside("check")
    yield from zip(("first page", "seen"), ours_served(project), strict=True)
    yield from zip(("stock page", "stock seen"), stock_served(project), strict=True)


def ours_served(project: Project) -> list[float]:
    project.forget()
    shutil.rmtree(project.ours / ".site", ignore_errors=True)
    words = ["--root", str(project.ours), "serve", "--port", str(OURS)]
    return served(project, [sys.executable, "-m", "bedside", *words], OURS, stock=False)


def stock_served(project: Project) -> list[float]:
    words = ["serve", "-f", str(project.theirs / "mkdocs.yml"), "-a", f"127.0.0.1:{THEIRS}"]
    return served(project, [*MKDOCS, *words], THEIRS, stock=True)


def main() -> int:
    """Measure, print, and fail beyond a promise."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else ROUNDS
    shared = Path("/dev/shm")
    found: dict[str, list[float]] = {}
    with tempfile.TemporaryDirectory(dir=shared if shared.is_dir() else None) as room:
        project = Project(Path(room))
        for _ in range(rounds):
            for name, seconds in one_round(project):
                found.setdefault(name, []).append(seconds)
                print(f"{name:14}{seconds:8.2f} s", file=sys.stderr, flush=True)
    middle = {name: statistics.median(seconds) for name, seconds in found.items()}
    ratios = {name: middle[a] / middle[b] for name, (a, b, _) in PROMISED.items()}
    broken = [name for name, (_, _, most) in PROMISED.items() if ratios[name] > most]
    print(
        json.dumps(
            {
                "pages": project.pages,
                "seconds": {name: round(it, 2) for name, it in middle.items()},
                "ratios": {name: round(it, 3) for name, it in ratios.items()},
                "beyond": broken,
                "load": [round(it, 1) for it in os.getloadavg()],
            },
            indent=2,
        )
    )
    return int(bool(broken))


if __name__ == "__main__":
    sys.exit(main())
