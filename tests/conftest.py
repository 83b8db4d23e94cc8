"""What every test may ask for: the invented plant, and the real knowledge."""

import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import settings
from xdist.remote import Producer
from xdist.scheduler import WorkStealingScheduling

from bedside.model.library import Library
from bedside.pages.all_pages import all_assets
from bedside.pages.frame.assets import bundle
from bedside.pages.frame.desk import PlantDesk, Site, site
from bedside.problems import render
from bedside.read.library import read_library
from bedside.read.theme import read_theme
from tests.shipped import PLANT
from tests.sweep import SWEEP

# The fixtures `browser`, `site` and `site_folder`.
pytest_plugins = ["tests.browser"]

# The same made-up cases in every run, on every machine, however slow: a red run means that
# the code changed. The long sweep draws new ones, and more.
settings.register_profile("same", derandomize=True, database=None, deadline=None)
settings.register_profile("sweep", max_examples=1_000, database=None, deadline=None)
settings.load_profile("sweep" if SWEEP else "same")

# Who asks for one of these waits for the whole real site, all that is measured, or the
# results of hundreds of walks.
SLOW_FIXTURES = frozenset(("site_folder", "both", "quality", "results", "shown"))

ROOT = Path(__file__).parents[1]
TOY = Path(__file__).parent / "toy"


@pytest.hookimpl(optionalhook=True, tryfirst=True)
def pytest_xdist_make_scheduler(
    config: pytest.Config, log: Producer
) -> WorkStealingScheduling:
    """Give each process tests that stand together, so that what a module builds is built
    once: whoever is done early takes over some of the others'."""
    return WorkStealingScheduling(config, log)


@pytest.hookimpl(tryfirst=True)  # before `-m` looks at the marks
def pytest_collection_modifyitems(items: list[pytest.Function]) -> None:
    """Mark what needs a browser, or a slow fixture, so that no mark can be forgotten."""
    # The longest single tests come first: last, they would leave a process alone at work.
    items.sort(key=lambda item: item.path.name != "test_linters.py")
    for item in items:
        asked = frozenset(item.fixturenames)
        if "browser" in asked:
            item.add_marker("browser")
        if asked & SLOW_FIXTURES:
            item.add_marker("slow")


def read_clean(root: Path) -> Library:
    """Read a knowledge folder that must be without fault in its shape."""
    library, problems, files = read_library(root)
    assert library is not None, render(problems, files=files, folder=f"{root.name}/")
    return library


@pytest.fixture(scope="session")
def toy() -> Library:
    """Give the invented plant: small, complete and right."""
    return read_clean(TOY)


@pytest.fixture(scope="session")
def real() -> Library:
    """Give the knowledge that this project ships."""
    return read_clean(ROOT / "knowledge")


@pytest.fixture
def toy_copy(tmp_path: Path) -> Path:
    """Give a copy of the invented knowledge folder, to be spoiled."""
    return Path(shutil.copytree(TOY, tmp_path / "knowledge"))


@pytest.fixture(scope="session")
def made(real: Library) -> Site:
    """Give the desk of the whole site that this project ships, without its files."""
    return site(real, read_theme(ROOT))


@pytest.fixture(scope="session")
def real_desk(made: Site) -> Site:
    """Give the same desk, able to link to every file."""
    files = bundle(read_theme(ROOT).assets)
    known = replace(made, templates=made.templates.knowing(files))
    return replace(known, templates=known.templates.knowing(all_assets(known)))


@pytest.fixture(scope="session")
def desk(made: Site) -> PlantDesk:
    """Give the one plant of that site."""
    return made.desks[PLANT]
