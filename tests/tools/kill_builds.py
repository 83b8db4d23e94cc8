"""Kill builds at random moments and see what stands: the old site or the new one, whole.

    python -m tests.tools.kill_builds COUNT FOLDER           prints how many left the old,
                                                             and the new
    python -m tests.tools.kill_builds COUNT FOLDER --pairs   two builds race into one folder

A child of its own builds each time and gets the signal that nobody can catch.
"""

import os
import random
import shutil
import signal
import sys
import time
from hashlib import sha256
from pathlib import Path

from bedside.publish.site_files import read_site
from bedside.publish.whole_site import build_site

ROOT = Path(__file__).parents[2]
TOY = Path(__file__).parents[1] / "toy"
KILLED = 0.7  # of the raced builds


def named(folder: Path) -> str:
    """One name for all that a site holds."""
    total = sha256()
    for name, content in read_site(folder).items():
        total.update(f"{name} {len(content)} ".encode() + content)
    return total.hexdigest()


def with_line(knowledge: Path, line: str) -> None:
    """Change one line of the toy, so that the new site is another one."""
    topic = knowledge / "topics" / "dividing.yaml"
    text = (TOY / "topics" / "dividing.yaml").read_text(encoding="utf-8")
    topic.write_text(text.replace("in_short: ", f"in_short: {line} ", 1), encoding="utf-8")


def build_in_child(knowledge: Path, out: Path) -> int:
    """Start a build in a process of its own; gives its id."""
    child = os.fork()
    if child == 0:
        build_site(ROOT, out, knowledge=knowledge)
        os._exit(0)
    return child


def timed(knowledge: Path, out: Path) -> float:
    """Build in a child and wait; gives the seconds."""
    start = time.monotonic()
    os.waitpid(build_in_child(knowledge, out), 0)
    return time.monotonic() - start


def main(count: int, folder: Path) -> None:
    """Kill `count` builds; stop at the first site that is neither the old nor the new."""
    draw = random.Random(20)
    knowledge, out = folder / "knowledge", folder / "site"
    with_line(knowledge, "Two.")
    timed(knowledge, folder / "new")
    new = named(folder / "new")
    with_line(knowledge, "One.")
    timed(knowledge, out)
    old, seen = named(out), {"old": 0, "new": 0}
    with_line(knowledge, "Two.")
    seconds = timed(knowledge, folder / "again")
    for _ in range(count):
        child = build_in_child(knowledge, out)
        time.sleep(draw.uniform(0, 1.1 * seconds))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        found = named(out)
        if found not in (old, new):
            sys.exit("the site is neither the old one nor the new one")
        seen["old" if found == old else "new"] += 1
        if found == new:  # back to the old one
            with_line(knowledge, "One.")
            timed(knowledge, out)
            with_line(knowledge, "Two.")
    timed(knowledge, out)
    if named(out) != new:
        sys.exit("after the kills a build no longer makes the new site")
    left = sorted(it.name for it in folder.iterdir())
    print(f"{seen['old']} old, {seen['new']} new; left: {' '.join(left)}")


def pairs(count: int, folder: Path) -> None:
    """Race builds in pairs, killing some; stop at the first site that is not whole."""
    draw = random.Random(21)
    both, out = [folder / "one", folder / "two"], folder / "site"
    whole = {}
    for knowledge in both:
        shutil.copytree(folder / "knowledge", knowledge)
        with_line(knowledge, f"{knowledge.name}.")
        seconds = timed(knowledge, out)
        whole[named(out)] = knowledge.name
    seen = dict.fromkeys(whole.values(), 0)
    for _ in range(count // 2):
        children = [build_in_child(it, out) for it in draw.sample(both, k=2)]
        for child in draw.sample(children, k=2):
            time.sleep(draw.uniform(0, 1.2 * seconds))
            if draw.random() < KILLED:
                os.kill(child, signal.SIGKILL)
        for child in children:
            os.waitpid(child, 0)
        found = named(out) if out.is_dir() else ""
        if found not in whole:
            sys.exit("the site is none of the two")
        seen[whole[found]] += 1
    timed(both[0], out)
    left = sorted(it.name for it in folder.iterdir())
    print(f"{seen['one']} one, {seen['two']} two; left: {' '.join(left)}")


if __name__ == "__main__":
    (pairs if "--pairs" in sys.argv else main)(int(sys.argv[1]), Path(sys.argv[2]))
