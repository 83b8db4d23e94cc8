"""Read and write the files of a built site and of printed sheets."""

from collections.abc import Mapping
from pathlib import Path

from bedside.read.shipped import files_below


def read_site(folder: Path) -> dict[str, bytes]:
    """Every file of a built site, name relative to `folder`."""
    return {name: path.read_bytes() for name, path in files_below(folder)}


def read_page(path: Path) -> bytes:
    """The page at a path or in a folder; nothing if there is none."""
    file = path / "index.html" if path.is_dir() else path
    return file.read_bytes() if file.is_file() else b""


def write_files(folder: Path, files: Mapping[str, bytes]) -> None:
    """Write files into a folder that is there already."""
    for name, content in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)


def write_sheet(path: Path, content: bytes) -> None:
    """Write beside and swap, so that a stopped run leaves no half file."""
    path.parent.mkdir(parents=True, exist_ok=True)
    beside = path.with_name(f".{path.name}.part")
    beside.write_bytes(content)
    beside.replace(path)
