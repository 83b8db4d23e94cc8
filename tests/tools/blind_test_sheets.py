"""Make the sheets of a blind test: drawings without captions, in shuffled order.

    python -m tests.tools.blind_test_sheets OUT KEY --seed 7 [--only NAME ...]

OUT gets `single/NN.png` (twelve numbered drawings a sheet), `sets/NN.png` (one question's
drawings, lettered) and `words.txt` (the answers' words, numbered). KEY, which the readers
never see, gets what stands behind each number and letter. With --only: the drawings named
alone, and the questions they belong to.
"""

import argparse
import json
import random
import shutil
import sys
from collections.abc import Iterable, Mapping
from html import escape
from pathlib import Path
from string import ascii_uppercase

from playwright.sync_api import Page, sync_playwright

from tests.shipped import PLANT

sys.path.insert(0, str(Path(__file__).parents[2]))

from bedside.model.records import MEMORY, Answer, Sign
from bedside.pages.frame.drawings import standalone
from bedside.read.library import read_library
from tests.tools.drawing_sheets import LIGHT, QUIET, ROOT

A_SHEET = 12  # drawings without a set
WIDTH = 240  # px on the sheet


def drawn(sign: Sign) -> list[Answer]:
    """Give a question's answers that have a drawing."""
    return [it for it in sign.answers if it.drawing and sign.looked_at != MEMORY]


def shoot(
    page: Page, drawings: Mapping[str, str], labels: dict[str, str], out: Path
) -> None:
    """Take one picture of lettered or numbered drawings."""
    figures = "".join(
        f"<figure>{standalone(drawings, name, LIGHT)}<figcaption>{escape(label)}"
        "</figcaption></figure>"
        for label, name in labels.items()
    )
    style = (
        f"body{{background:{LIGHT['paper']};font:22px sans-serif}}"
        "figure{display:inline-block;margin:8px;text-align:center}"
        f"svg{{width:{WIDTH}px;height:auto}}"
    )
    page.set_content(f"<style>{style}</style>{figures}")
    page.screenshot(path=out, full_page=True)


def shuffled(rng: random.Random, things: Iterable[str]) -> list[str]:
    """Give things in an order that says nothing about them."""
    order = list(things)
    rng.shuffle(order)
    return order


def set_sheets(
    page: Page, drawings: Mapping[str, str], signs: list[Sign], seed: int, out: Path
) -> dict[str, dict[str, object]]:
    """Draw a sheet for each question and its words; give the key of each."""
    rng = random.Random(seed)
    rng.shuffle(signs)
    key: dict[str, dict[str, object]] = {}
    words = []
    for number, sign in enumerate(signs, 1):
        answers = {it.id: it for it in drawn(sign)}
        letters = dict(zip(ascii_uppercase, shuffled(rng, answers), strict=False))
        said = {str(at): it for at, it in enumerate(shuffled(rng, answers), 1)}
        shown = {letter: str(answers[it].drawing) for letter, it in letters.items()}
        shoot(page, drawings, shown, out / "sets" / f"{number:02d}.png")
        key[f"{number:02d}"] = {"sign": sign.id, "letters": letters, "words": said}
        lines = "".join(f"    {at}  {answers[it].says}\n" for at, it in said.items())
        words.append(f"{number:02d}  Question: {sign.question}\n{lines}")
    (out / "words.txt").write_text("\n".join(words), encoding="utf-8")
    return key


def single_sheets(
    page: Page, drawings: Mapping[str, str], names: Iterable[str], seed: int, out: Path
) -> dict[str, str]:
    """Draw numbered sheets of single drawings; give the name behind each number."""
    order = shuffled(random.Random(seed + 1), sorted(names))
    key = {str(at): name for at, name in enumerate(order, 1)}
    rows = list(key.items())
    for start in range(0, len(rows), A_SHEET):
        sheet = out / "single" / f"{start // A_SHEET + 1:02d}.png"
        shoot(page, drawings, dict(rows[start : start + A_SHEET]), sheet)
    return key


def main() -> None:
    """Read the arguments and make the sheets."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("out", type=Path)
    parser.add_argument("key", type=Path)
    parser.add_argument("--plant", default=PLANT)
    parser.add_argument("--seed", type=int, required=True)
    parser.add_argument("--only", nargs="*")
    args = parser.parse_args()
    library = read_library(ROOT / "knowledge")[0]
    if library is None:
        parser.error("the knowledge cannot be read")
    plant = library.knowledge.plants[args.plant]
    every = {str(it.drawing) for sign in plant.signs.values() for it in drawn(sign)}
    names = every & set(args.only) if args.only else every
    signs = [
        sign
        for sign in plant.signs.values()
        if any(it.drawing in names for it in drawn(sign))
    ]
    for folder in ("sets", "single"):
        (args.out / folder).mkdir(parents=True, exist_ok=True)
    with sync_playwright() as play:
        browser = play.chromium.launch(
            executable_path=shutil.which("chromium"), args=list(QUIET)
        )
        page = browser.new_page(viewport={"width": 1100, "height": 400})
        sets = set_sheets(page, plant.drawings, signs, args.seed, args.out)
        singles = single_sheets(page, plant.drawings, names, args.seed, args.out)
        browser.close()
    key = {"sets": sets, "single": singles}
    args.key.write_text(json.dumps(key, indent=1), encoding="utf-8")


if __name__ == "__main__":
    main()
