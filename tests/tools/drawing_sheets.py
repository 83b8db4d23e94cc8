"""Make contact sheets of drawings, to look at them and to test them on fresh eyes.

    python -m tests.tools.drawing_sheets OUT --plant PLANT [NAME ...] [--seed 7] [--single]
        [--look light|dark|grey] [--width 120] [--across 6] [--bare]

Without names: every drawing. With --seed the order is shuffled and each picture gets a
number and no name; the key goes to OUT.key.txt. With --single each picture becomes a file
of its own in the folder OUT.
"""

import argparse
import random
import shutil
from html import escape
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

from bedside.pages.frame.drawings import standalone
from bedside.read.drawing import PARTS
from tests.shipped import PLANT

ROOT = Path(__file__).parents[2]
LIGHT = {
    "ink": "#22302A", "line": "#8A9189", "bloom": "#A8261B", "leaf": "#2E6A3E",
    "paper": "#FBF7EE",
}  # fmt: skip
DARK = {
    "ink": "#EFEADC", "line": "#6F7A72", "bloom": "#FF9E8C", "leaf": "#8FCB9C",
    "paper": "#131A16",
}  # fmt: skip
QUIET = (
    "--no-sandbox",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
)
LOOKS = {"light": (LIGHT, ""), "dark": (DARK, ""), "grey": (LIGHT, "grayscale(1)")}


def read_all(plant: str) -> dict[str, str]:
    """Read every drawing of a plant, by name."""
    folder = ROOT / "knowledge" / plant / "drawings"
    return {it.stem: it.read_text(encoding="utf-8") for it in sorted(folder.glob("*.svg"))}


def sheet(
    drawings: dict[str, str], labels: dict[str, str], args: argparse.Namespace
) -> str:
    """Write a page of pictures; `labels` gives each picture's caption, in order."""
    palette, turn = LOOKS[args.look]
    cells = "".join(
        f"<figure>{standalone(drawings, name, palette)}"
        f"<figcaption>{escape(label)}</figcaption></figure>"
        for name, label in labels.items()
    )
    return (
        f"<style>body{{margin:8px;background:{palette['paper']};color:{palette['ink']};"
        f"filter:{turn or 'none'};display:grid;gap:6px;"
        f"grid-template-columns:repeat({args.across},{args.width}px);"
        f"font:12px sans-serif}}figure{{margin:0}}figcaption{{text-align:center}}"
        f"svg{{display:block;width:{args.width}px;height:auto}}</style>{cells}"
    )


def shoot(page: Page, html: str, args: argparse.Namespace, out: Path) -> None:
    """Take one picture of a page, as wide as its columns."""
    page.set_viewport_size({"width": args.across * (args.width + 6) + 12, "height": 100})
    page.set_content(html)
    page.screenshot(path=out, full_page=True)


def labels_for(names: list[str], args: argparse.Namespace, out: Path) -> dict[str, str]:
    """Caption each name: itself, or with a seed a number whose key is kept apart."""
    if args.seed is None:
        return {name: "" if args.bare else name for name in names}
    random.Random(args.seed).shuffle(names)
    labels = {name: str(at + 1) for at, name in enumerate(names)}
    key = "".join(f"{label} {name}\n" for name, label in labels.items())
    out.with_suffix(".key.txt").write_text(key, encoding="utf-8")
    return labels


def main() -> None:
    """Read the arguments and make the sheets."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("out", type=Path)
    parser.add_argument("names", nargs="*")
    parser.add_argument("--plant", default=PLANT)
    parser.add_argument("--seed", type=int)
    parser.add_argument("--single", action="store_true")
    parser.add_argument("--bare", action="store_true")
    parser.add_argument("--look", choices=sorted(LOOKS), default="light")
    parser.add_argument("--width", type=int, default=120)
    parser.add_argument("--across", type=int, default=6)
    args = parser.parse_args()
    drawings = read_all(args.plant)
    names = args.names or [name for name in drawings if name != PARTS]
    labels = labels_for(names, args, args.out)
    with sync_playwright() as play:
        browser = play.chromium.launch(
            executable_path=shutil.which("chromium"), args=list(QUIET)
        )
        page = browser.new_page(device_scale_factor=2)
        if args.single:
            args.across = 1
            args.out.mkdir(parents=True, exist_ok=True)
            for name, label in labels.items():
                one = sheet(drawings, {name: ""}, args)
                shoot(page, one, args, args.out / f"{label or name}.png")
        else:
            shoot(page, sheet(drawings, labels, args), args, args.out)
        browser.close()


if __name__ == "__main__":
    main()
