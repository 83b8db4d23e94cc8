"""Every check of the season's records is proved by a page: why, what passes, what fails."""

import shutil
from pathlib import Path

import pytest

from builder.assemble import read_library
from builder.checks.material import gather
from builder.checks.season import CHECKS
from builder.season_source import read_season
from tests.check_pages import Patch, marks, read_page
from tests.conftest import TOY
from tests.season_site import knowledge_folder

PAGES = sorted((Path(__file__).parent / "cases" / "season_checks").glob("*.md"))
BY_CODE = {check.__name__.replace("_", "-"): check for check in CHECKS}


def laid_over(folder: Path, patches: tuple[Patch, ...]) -> Path:
    """Copy the toy, which has no season, and lay one in."""
    root = Path(shutil.copytree(TOY, folder / "knowledge"))
    (root / "season").mkdir()
    for patch in patches:
        (root / patch.file).write_text(patch.laid_over(""), encoding="utf-8")
    return root


def lines_at_fault(root: Path, code: str) -> list[tuple[str, int]]:
    library, broken, _ = read_library(root)
    assert library, [f"{it.file}:{it.line} {it.message}" for it in broken]
    found = BY_CODE[code](gather(library))
    return [(fault.place.file, fault.place.line) for fault in found]


def test_every_check_has_its_page() -> None:
    """A check without a page, or a page without a check, fails."""
    assert {path.stem for path in PAGES} == set(BY_CODE)


@pytest.mark.parametrize("path", PAGES, ids=lambda path: path.stem)
def test_what_passes_passes(path: Path, tmp_path: Path) -> None:
    """The passing block of a page gives no fault."""
    assert lines_at_fault(laid_over(tmp_path, read_page(path).passing), path.stem) == []


@pytest.mark.parametrize("path", PAGES, ids=lambda path: path.stem)
def test_what_fails_fails_on_its_line(path: Path, tmp_path: Path) -> None:
    """The failing block gives one fault, at the marked line."""
    page = read_page(path)
    root = laid_over(tmp_path, page.failing)
    wanted = [
        (patch.file, line)
        for patch in page.failing
        for line, _, code in marks((root / patch.file).read_text(encoding="utf-8"))
        if code == path.stem
    ]
    assert wanted
    assert lines_at_fault(root, path.stem) == wanted


def test_the_real_season_has_no_fault(tmp_path: Path) -> None:
    """Treatments, stages, sums and days of the season that ships are right.

    Insects are causes of the real plant, which this folder has not, so that one is left
    out.
    """
    library, _, _ = read_library(knowledge_folder(tmp_path))
    assert library
    material = gather(library)
    for code, check in BY_CODE.items():
        if code != "unknown-insect":
            assert list(check(material)) == [], code


def test_a_folder_without_a_season_is_right() -> None:
    """The invented plant has no season, and no check minds."""
    library, _, _ = read_library(TOY)
    assert library
    assert not any(list(check(gather(library))) for check in CHECKS)


def test_a_day_that_does_not_exist_stops_no_reading(tmp_path: Path) -> None:
    """31 February is for a check to report; reading goes on, so that all faults come at
    once.
    """
    folder = knowledge_folder(tmp_path)
    path = folder / "season" / "insects.yaml"
    text = path.read_text(encoding="utf-8").replace("date: 05-15", "date: 02-31")
    path.write_text(text, encoding="utf-8")
    library, _, _ = read_library(folder)
    assert library
    data = library.season("insects"), library.season("year")
    assert read_season(folder, *data)[1] == ()
