"""Read all that a grower wrote, once: the one way from a folder to what a command needs."""

from collections.abc import Collection
from dataclasses import dataclass, field, replace
from pathlib import Path

from bedside.model.library import Library
from bedside.model.season import SeasonTables
from bedside.problems import Problem
from bedside.read.library import Folder, read_folder
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
    drafts: frozenset[str] = frozenset()  # files
    with_drafts: Library | None = None  # where there are any


def load(folder: Path) -> Loaded:
    """Read what is published; what is wrong comes back among the problems."""
    return load_published(folder, read_folder(folder))


def load_published(folder: Path, found: Folder) -> Loaded:
    """The same, of what was read of the folder."""
    library, notes = found.published()
    loaded = Loaded(
        problems=(*found.problems, *notes),
        files=found.files,
        library=library,
        drafts=found.drafts,
        with_drafts=found.whole() if found.drafts else None,
    )
    return _furnished(folder, loaded)


def load_preview(folder: Path, found: Folder, aside: Collection[str] = ()) -> Loaded:
    """All that can be shown of a folder, drafts among it, without the files set aside."""
    loaded = Loaded(
        problems=found.problems,
        files=found.files,
        library=found.whole(aside),
        drafts=found.drafts,
    )
    return _furnished(folder, loaded)


def _furnished(folder: Path, loaded: Loaded) -> Loaded:
    library = loaded.library
    if library is None:
        return loaded
    season, faults = read_season(folder, library)
    photos, unfit = read_photos(folder, library)
    return replace(
        loaded,
        problems=(*loaded.problems, *faults, *unfit),
        season=season,
        season_is_faulty=bool(faults),
        photos=photos,
    )
