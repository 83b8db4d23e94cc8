"""Photographs: named by a record, shown with their credit, refused if they are unfit."""

import shutil
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image

from bedside.publish.whole_site import build_site
from bedside.read.library import read_library
from bedside.read.photos import MOST_BYTES, read_photos

ROOT = Path(__file__).parents[2]
TOY = Path(__file__).parents[1] / "toy"
RECORD = "mossbell/causes/bell-moth.yaml"
ENTRY = """
photos:
  - file: {file}
    credit: Made for this test
    licence: CC0
    shows: A small red square that stands for a moth on a bell.
"""


def tiny(kind: str) -> bytes:
    """Make a picture of eight by six red dots."""
    out = BytesIO()
    Image.new("RGB", (8, 6), (168, 38, 27)).save(out, format=kind)
    return out.getvalue()


def with_photo(folder: Path, file: str, content: bytes | None) -> Path:
    """Copy the toy and let one cause name a photograph."""
    root = folder / "knowledge"
    shutil.copytree(TOY, root)
    record = root / RECORD
    record.write_text(record.read_text(encoding="utf-8") + ENTRY.format(file=file))
    if content is not None:
        (root / "mossbell" / "photos").mkdir()
        (root / "mossbell" / "photos" / file).write_bytes(content)
    return root


def codes(root: Path) -> list[str]:
    library, broken, _ = read_library(root)
    assert library, broken
    return [problem.code for problem in read_photos(root, library)[1]]


@pytest.mark.parametrize(
    ("file", "kind"),
    [
        ("moth.jpg", "jpeg"),
        ("moth.jpeg", "jpeg"),
        ("moth.png", "png"),
        ("m-2.webp", "webp"),
    ],
)
def test_photographs_of_three_kinds_are_read(tmp_path: Path, file: str, kind: str) -> None:
    """A JPEG, PNG or WebP file (written by Pillow) is taken as it is."""
    root = with_photo(tmp_path, file, tiny(kind))
    library, _, _ = read_library(root)
    assert library
    assert read_photos(root, library) == ({f"mossbell/{file}": tiny(kind)}, ())


def test_a_photograph_is_shown_with_its_credit(tmp_path: Path) -> None:
    """The page shows the file, what is on it, who took it and under which licence."""
    root = with_photo(tmp_path, "moth.png", tiny("png"))
    out = tmp_path / "site"
    build_site(ROOT, out, knowledge=root)
    page = (out / "causes" / "bell-moth" / "index.html").read_text(encoding="utf-8")
    assert "assets/photos/mossbell/moth.png?v=" in page
    assert 'alt="A small red square that stands for a moth on a bell."' in page
    assert "Made for this test, CC0" in page
    assert (out / "assets/photos/mossbell/moth.png").read_bytes() == tiny("png")


def test_a_photograph_that_is_not_there_is_named_on_its_line(tmp_path: Path) -> None:
    """The problem points at the record's own line, and no site is built."""
    root = with_photo(tmp_path, "moth.png", None)
    problems = build_site(ROOT, tmp_path / "site", knowledge=root)
    (found,) = [problem for problem in problems if problem.code == "missing-photo"]
    assert found.file == RECORD
    assert "file: moth.png" in (root / RECORD).read_text().splitlines()[found.line - 1]
    assert not (tmp_path / "site").exists()


@pytest.mark.parametrize(
    ("file", "content", "code"),
    [
        ("moth.png", tiny("jpeg"), "spoiled-photo"),
        ("moth.jpg", b"<svg onload=alert(1)>", "spoiled-photo"),
        ("moth.jpg", tiny("jpeg") + bytes(MOST_BYTES), "large-photo"),
        ("moth.jpg", b"", "missing-photo"),
        ("Moth 1.jpg", tiny("jpeg"), "photo-name"),
    ],
)
def test_what_is_no_fit_photograph_is_refused(
    tmp_path: Path, file: str, content: bytes, code: str
) -> None:
    """Another kind than it says, too heavy, empty or oddly named: each has its word."""
    library, _, _ = read_library(root := with_photo(tmp_path, "fit.jpg", tiny("jpeg")))
    assert library
    record = root / RECORD
    record.write_text(record.read_text().replace("fit.jpg", file))
    (root / "mossbell" / "photos" / "fit.jpg").unlink()
    if code != "photo-name":
        (root / "mossbell" / "photos" / file).write_bytes(content)
    assert codes(root) == [code]


def test_a_name_cannot_lead_out_of_the_folder(tmp_path: Path) -> None:
    """A path in a photograph's name is refused before anything is opened."""
    root = with_photo(tmp_path, "fit.jpg", tiny("jpeg"))
    record = root / RECORD
    record.write_text(record.read_text().replace("fit.jpg", "../drawings/moth.png"))
    assert codes(root) == ["photo-name"]
