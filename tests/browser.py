"""A real browser and the real site, for tests that look at pages the way a gardener does.

The browser is an installed Chromium or Chrome, else the one Playwright brought, else the
system's package where it may be installed. If none can be had, the tests fail and say what
to do: they are never skipped.
"""

import fcntl
import functools
import http.server
import os
import shutil
import subprocess
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import (
    Browser,
    BrowserType,
    Error,
    Page,
    Playwright,
    sync_playwright,
)

from bedside.cache import FOLDER
from bedside.problems import ERROR, render
from bedside.publish.whole_site import build_site

ROOT = Path(__file__).parents[1]
TOY = Path(__file__).parent / "toy"
NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome")
Environment = dict[str, str | float | bool]
PATIENCE_MS = 120_000
# The list that Playwright hands over, which a list of ours replaces; then what opens two
# hidden pages of the browser's own beside every page: as much work as a page of ours.
FEATURES_OFF = (
    "AvoidUnnecessaryBeforeUnloadCheckSync",
    "DestroyProfileOnBrowserClose",
    "HttpsUpgrades",
    "HttpsFirstBalancedModeAutoEnable",
    "LensOverlay",
    "MediaRouter",
    "PaintHolding",
    "ThirdPartyStoragePartitioning",
    "AvoidCorsURLLoaderRestartOnRedirect",
    "TcpPortRandomizationWin",
    "OptimizationHints",
    "NetworkTimeServiceQuerying",
    "AimEnabled",
    "PreconnectToSearch",
    "WebUIOmniboxPopup",
    "WebUIOmniboxAimPopup",
)
ARGUMENTS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    f"--disable-features={','.join(FEATURES_OFF)}",
)
ADVICE = (
    "No browser could be started. Install Chromium or Chrome, or run "
    "`python -m playwright install chromium`, then try again."
)


class Quiet(http.server.SimpleHTTPRequestHandler):
    """Serves a folder and keeps its requests to itself."""

    def log_message(self, format: str, *arguments: object) -> None:  # noqa: A002
        """Say nothing."""


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """One browser for all tests."""
    with sync_playwright() as playwright, pytest.MonkeyPatch.context() as patch:
        for opens in ("new_context", "new_page"):
            patch.setattr(Browser, opens, patient(getattr(Browser, opens)))
        started = start_browser(playwright)
        yield started
        started.close()


def patient(opens: Callable[..., Any]) -> Callable[..., Any]:
    """Wait long for what is on its way: a slow machine is no fault, and one that hangs ends
    the wait all the same."""

    @functools.wraps(opens)
    def opened(*given: Any, **named: Any) -> Any:
        found = opens(*given, **named)
        found.set_default_timeout(PATIENCE_MS)
        return found

    return opened


def still(page: Page) -> None:
    """Let what has begun come to its end: two frames, and the tasks behind them."""
    page.evaluate(
        """() => new Promise(done => requestAnimationFrame(() =>
          requestAnimationFrame(() => setTimeout(done))))"""
    )


def start_browser(playwright: Playwright) -> Browser:
    """Start the first browser that can be had."""
    return launched(playwright.chromium)


def launched(kind: BrowserType, environment: Environment | None = None) -> Browser:
    """Start the first browser that can be had, with an environment of its own if given."""
    launch = functools.partial(kind.launch, args=list(ARGUMENTS), env=environment)
    for path in (*map(shutil.which, NAMES), None):
        if path is not None:
            return launch(executable_path=path)
    try:
        return launch()
    except Error:
        return launch(executable_path=_from_the_system())


def _from_the_system() -> str:
    if os.name == "posix" and os.geteuid() == 0 and shutil.which("apt-get"):
        install = ["apt-get", "install", "-y", "--no-install-recommends", "chromium"]
        subprocess.run(["apt-get", "update"], check=False, capture_output=True)
        subprocess.run(install, check=False, capture_output=True)
    path = shutil.which("chromium")
    if path is None:
        pytest.fail(ADVICE, pytrace=False)
    return path


def made_once(
    factory: pytest.TempPathFactory, name: str, make: Callable[[Path], None]
) -> Path:
    """A folder that is made once for all processes of this run.

    Whoever comes first makes it; others wait at the lock, which falls with its holder. The
    folder is for reading only.
    """
    base = factory.getbasetemp()
    shared = base.parent if "PYTEST_XDIST_WORKER" in os.environ else base
    out = shared / f"made-{name}" / "whole"
    out.parent.mkdir(exist_ok=True)
    with (shared / f"made-{name}.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not out.exists():
            part = out.with_name("part")
            shutil.rmtree(part, ignore_errors=True)  # of one who failed at it
            make(part)
            part.rename(out)
    return out


def build_whole(root: Path, out: Path, knowledge: Path | None = None) -> None:
    """Build a site that must be without error."""
    problems = build_site(root, out, knowledge=knowledge)
    assert not [it for it in problems if it.level == ERROR], render(problems)


@pytest.fixture(scope="session")
def site_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of the real site."""
    return made_once(tmp_path_factory, "real", lambda out: build_whole(ROOT, out))


@pytest.fixture(scope="session")
def toy_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of the invented plant's site."""
    return made_once(tmp_path_factory, "toy", lambda out: build_whole(ROOT, out, TOY))


def make_toy_project(root: Path) -> None:
    """A project of its own with the invented plant, its site, and all that is kept."""
    shutil.copytree(TOY, root / "knowledge")
    shutil.copytree(ROOT / "knowledge" / "schema", root / "knowledge" / "schema")
    shutil.copytree(ROOT / "site_src", root / "site_src")
    shutil.copy(ROOT / "mkdocs.yml", root)
    build_whole(root, root / "site")
    assert (root / FOLDER).is_dir()


@pytest.fixture(scope="session")
def toy_project(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A built project with the invented plant: copy it before you change it."""
    return made_once(tmp_path_factory, "toy-project", make_toy_project)


@pytest.fixture(scope="session")
def toy_address(toy_folder: Path) -> Iterator[str]:
    """The address of the invented plant's site, with a slash at its end."""
    with served(toy_folder) as address:
        yield address


@pytest.fixture(scope="session")
def site(site_folder: Path) -> Iterator[str]:
    """The address of the real site, with a slash at its end."""
    with served(site_folder) as address:
        yield address


class served:  # noqa: N801 - reads as a phrase: with served(folder) as address
    """Serve a folder on this machine while the block runs."""

    def __init__(self, folder: Path) -> None:
        handler = functools.partial(Quiet, directory=str(folder))
        self.server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler)

    def __enter__(self) -> str:
        threading.Thread(target=self.server.serve_forever, daemon=True).start()
        return f"http://127.0.0.1:{self.server.server_port}/"

    def __exit__(self, *_: object) -> None:
        self.server.shutdown()
        self.server.server_close()
