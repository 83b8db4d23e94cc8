"""The files of a folder of the look, and when they were written."""

from pathlib import Path


def stamps(folders: tuple[Path, ...]) -> dict[str, tuple[int, int]]:
    """When each file below the folders was last written, and its size: cheap to compare."""
    return {
        str(path): (stat.st_mtime_ns, stat.st_size)
        for folder in folders
        for _, path in files_below(folder)
        for stat in [path.stat()]
    }


def files_below(folder: Path) -> list[tuple[str, Path]]:
    """Each file below a folder, by its name there."""
    # Sorted, so that two machines build the same bytes.
    found = [path for path in folder.rglob("*") if path.is_file()]
    return sorted((path.relative_to(folder).as_posix(), path) for path in found)
