"""The checks of the season on the season that ships; pages try them with the others."""

from pathlib import Path

from bedside.checks.material import gather
from bedside.checks.season import CHECKS
from bedside.read.library import read_library
from bedside.read.season import read_season
from tests.conftest import TOY
from tests.season_site import knowledge_folder

BY_CODE = {check.__name__.replace("_", "-"): check for check in CHECKS}


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
    path = folder / "mossbell" / "insects.yaml"
    text = path.read_text(encoding="utf-8").replace("date: 05-15", "date: 02-31")
    path.write_text(text, encoding="utf-8")
    library, _, _ = read_library(folder)
    assert library
    assert read_season(folder, library)[1] == ()
