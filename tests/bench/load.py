"""How reading and checking grow with the number of questions.

    python tests/bench/load.py

Makes a plant of 1,000 and one of 10,000 questions, each a file of its own, and times both
in turn, three times. Fails if ten times the questions take more than twelve times the time.
The checks that ask the arithmetic about every end are left out: no plant has 10,000 ends.
"""

import shutil
import statistics
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from bedside import checks
from bedside.checks.material import gather
from bedside.problems import render
from bedside.read.library import read_library

SMALL, LARGE = 1_000, 10_000
RUNS = 3
MOST_TIMES = 12.0
CAUSES = 10
DEEPEST = 9  # questions below each other: a file may be twenty levels deep
TOY = Path(__file__).parents[1] / "toy"
IN_MEMORY = Path("/dev/shm")

SIGN = """\
question: What do you see at spot {at}?
where: Look at the leaf from above.
ease: easy
looked_at: leaf
answers:
  - id: a{at}
    says: A hole
    words: [hole, gap]
  - id: b{at}
    says: A brown patch
    words: [patch, spot]
cant_tell: I can't tell what I see at spot {at}
how_to_check: Take the leaf to a window.
from: [handbook]
reviewed: 2026-01-15
"""
CAUSE = """\
name: Cause {at}
called: cause {at}
kind: pest
common: common
in_short: It bites.
first_step: write-to-us
works_when: It stops.
look_again_days: 7
write_if: Write if it goes on.
reviewed: 2026-01-15
evidence:
"""


def make_knowledge(root: Path, size: int) -> None:
    """Write a plant whose tree halves the signs as often as an outline may be deep."""
    shutil.copytree(TOY, root, ignore=shutil.ignore_patterns("signs", "causes", "cases"))
    plant = root / "mossbell"
    (plant / "signs").mkdir()
    (plant / "causes").mkdir()
    for at in range(size):
        (plant / "signs" / f"s{at}.yaml").write_text(SIGN.format(at=at), encoding="utf-8")
    for at in range(CAUSES):
        lines = [f"  s{sign}: {{a{sign}: usually}}" for sign in range(at, size, CAUSES)]
        text = CAUSE.format(at=at) + "\n".join(lines) + "\n"
        (plant / "causes" / f"c{at}.yaml").write_text(text, encoding="utf-8")
    (plant / "tree.yaml").write_text(_tree(size), encoding="utf-8")


def _tree(size: int) -> str:
    def outline(at: int, deep: int) -> str:
        if at >= size or not deep:
            return "c0"
        ways = (outline(2 * at + side, deep - 1) for side in (1, 2))
        return f"{{s{at}: {{a{at}: {next(ways)}, otherwise: {next(ways)}}}}}"

    return outline(0, DEEPEST) + "\n"


def seconds_for(root: Path) -> float:
    """Time one reading with every check that does not ask the arithmetic."""
    begun = time.perf_counter()
    library, problems, files = read_library(root)
    if library is None:
        sys.exit(render(problems, files=files))
    material = gather(library)
    for check in (*checks.STRUCTURE, *checks.MEANING):
        for _ in check(material):
            pass
    return time.perf_counter() - begun


def main() -> int:
    times: dict[int, list[float]] = {SMALL: [], LARGE: []}
    with tempfile.TemporaryDirectory(
        dir=IN_MEMORY if IN_MEMORY.is_dir() else None
    ) as folder:
        for size in times:
            make_knowledge(Path(folder) / str(size), size)
        for _ in range(RUNS):
            for size, found in times.items():
                found.append(seconds_for(Path(folder) / str(size)))
    small, large = (statistics.median(it) for it in times.values())
    print(f"{SMALL:>6,} questions: {small:6.2f} s")
    print(f"{LARGE:>6,} questions: {large:6.2f} s, {large / small:.1f} times as long")
    return 0 if large / small <= MOST_TIMES else 1


if __name__ == "__main__":
    sys.exit(main())
