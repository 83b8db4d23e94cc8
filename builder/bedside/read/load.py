"""Read all that a grower wrote, once: the one way from a folder to what a command needs."""

from dataclasses import dataclass, field
from pathlib import Path

from bedside.model.library import Library
from bedside.model.season import SeasonTables
from bedside.problems import Problem
from bedside.read.library import read_library
from bedside.read.photos import Photos, read_photos
from bedside.read.season import read_season


@dataclass(frozen=True, kw_only=True, slots=True)
class Loaded:
    """Records, season and photographs, and every problem of reading them.

    Where some record has a wrong shape there is no library, and nothing else was read.
    """

    problems: tuple[Problem, ...]
    files: int
    library: Library | None = None
    season: SeasonTables | None = None
    season_is_faulty: bool = False  # else, without one, the folder has no season
    photos: Photos = field(default_factory=dict)


def load(folder: Path) -> Loaded:
    """Read a knowledge folder; what is wrong comes back among the problems."""
    library, problems, files = read_library(folder)
    if library is None:
        return Loaded(problems=problems, files=files)
    season, faults = read_season(folder, library)
    photos, unfit = read_photos(folder, library)
    return Loaded(
        problems=(*problems, *faults, *unfit),
        files=files,
        library=library,
        season=season,
        season_is_faulty=bool(faults),
        photos=photos,
    )
