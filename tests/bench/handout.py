"""How long the sheets take: all of them cold and warm, and a stack of 500 orders.

`python -m tests.bench.handout`: promised are 5 s, 0.5 s and 10 s.
"""

import random
import tempfile
import time
from dataclasses import replace
from pathlib import Path

from bedside.cache import Kept
from bedside.model.library import Library
from bedside.pages.frame.desk import Site, site
from bedside.pages.sheets import printing, sheet_pages
from bedside.pages.sheets.print_stack import Order, atlas_of, guides_on, print_stack
from bedside.pages.sheets.sheet_jobs import print_job
from bedside.read.assemble import handout_of
from bedside.read.season import read_season
from bedside.read.theme import read_theme
from bedside.reason.daily_normals import warmed
from tests.conftest import read_clean

ROOT = Path(__file__).parents[2]
ORDERS = 500


def main() -> None:
    """Measure and print."""
    library = read_clean(ROOT / "knowledge")
    season, _ = read_season(ROOT / "knowledge", library)
    assert season is not None
    desk = site(library, read_theme(ROOT))
    with tempfile.TemporaryDirectory() as folder:
        desk = replace(desk, season=warmed(season), kept=Kept(Path(folder)))
        cold, sheets = sheets_in(desk)
        warm, _ = sheets_in(desk)
    largest = max(map(len, sheets.pdfs.values())) / 1000
    print(f"{len(sheets.pdfs)} sheets: cold {cold}, warm {warm}")
    print(f"largest sheet {largest:.0f} KB")
    for paper in ("letter", "a4-half"):
        took, size = stack_on(desk, library, paper)
        print(f"stack of {ORDERS} on {paper}: {took:.2f} s, {size / 1000:.0f} KB")


def sheets_in(desk: Site) -> tuple[str, sheet_pages.Sheets]:
    """Every sheet, with nothing left in memory from before."""
    sheet_pages._sheets.cache_clear()
    printing._printed.cache_clear()
    # On a busy machine the clock on the wall says little; the processor's does.
    wall, own = time.perf_counter(), time.process_time()
    sheets = sheet_pages.sheets_of(desk)
    wall, own = time.perf_counter() - wall, time.process_time() - own
    return f"{wall:.2f} s ({own:.2f} s of processor)", sheets


def stack_on(desk: Site, library: Library, paper: str) -> tuple[float, int]:
    """A stack for orders from all over the ZIP table."""
    assert desk.season
    plant = next(iter(library.knowledge.plants.values()))
    handout = handout_of(library, plant.id)
    assert handout
    printing._printed.cache_clear()
    dice = random.Random(1)
    zips = [
        f"{it}{dice.randrange(100):02}"
        for it in dice.choices([*desk.season.zips], k=ORDERS)
    ]
    before = time.perf_counter()
    guides = guides_on(
        printing.Desk(library=library, plant=plant, theme=desk.sheets), desk.season, paper
    )
    atlas = atlas_of(handout, desk.season, library.knowledge.zones)
    placed = [
        atlas.place(Order(line=n, number=str(n), zip=it, plant=plant.id))
        for n, it in enumerate(zips)
    ]
    pdfs = {job.region_of: print_job(job).pdf for job in guides}
    stack = print_stack(pdfs, guides, placed)
    return time.perf_counter() - before, len(stack.pdf)


if __name__ == "__main__":
    main()
