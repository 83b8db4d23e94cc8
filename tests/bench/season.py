"""How long the season takes, and how large its pages are.

    python tests/bench/season.py

Cold: everything read, computed, rendered and kept. Warm: the same knowledge again.
"""

import sys
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter

sys.path.insert(0, str(Path(__file__).parents[2]))

from bedside.cache import Kept
from bedside.pages.frame.desk import Site
from bedside.pages.season import mixing_page, season_pages
from bedside.read.season import read_season
from bedside.reason.daily_normals import warmed
from tests.season_site import knowledge_folder, season_site


def made(desk: Site, folder: Path) -> tuple[float, list[int]]:
    """Seconds from the tables to every page and file, and how large the places are."""
    begun = perf_counter()
    library = desk.library
    season, _ = read_season(folder, library)
    assert season is not None
    desk = replace(desk, season=warmed(season))
    assets = tuple(season_pages.assets(desk))
    desk = replace(desk, templates=desk.templates.knowing(assets))
    pages = (*season_pages.pages(desk), *mixing_page.pages(desk))
    spent = perf_counter() - begun
    return spent, [len(page.html.encode()) for page in pages if "-" in page.address]


def main() -> None:
    """Print one line a run."""
    with TemporaryDirectory() as name:
        folder = knowledge_folder(Path(name))
        desk, _ = season_site(folder)
        desk = replace(desk, kept=Kept(Path(name) / "cache"))
        for run in ("cold", "warm", "warm"):
            seconds, sizes = made(desk, folder)
            largest, mean = max(sizes) / 1024, sum(sizes) / len(sizes) / 1024
            print(f"{run}: {seconds:.2f} s, {len(sizes)} places")
            print(f"  largest page {largest:.1f} KB, mean {mean:.1f} KB")


if __name__ == "__main__":
    main()
