"""Build a site beside the old one and swap: a failed build leaves the old one as it was."""

import shutil
from collections.abc import Callable
from pathlib import Path
from urllib.parse import urlsplit

from builder import pipeline
from builder.links import dead_links
from builder.mkdocs_hook import write_site
from builder.pipeline import Built
from builder.problems import ERROR, Location, Problem, problem_at, render
from builder.reload import serving, watch_for_ever
from builder.site_source import read_site

Progress = Callable[[str], None]


def quiet(_: str) -> None:
    """Say nothing."""


def build_site(
    root: Path, out: Path, *, knowledge: Path | None = None, progress: Progress = quiet
) -> tuple[Problem, ...]:
    """Build the project at `root` into `out`; an error among the problems: not built."""
    progress("Reading and checking what the grower knows")
    built = pipeline.build(root, knowledge)
    if built.failed:
        return built.problems
    fresh = out.with_name(f".{out.name}.new")
    _remove(fresh)
    progress(f"Writing {len(built.pages)} pages")
    write_site(root, fresh, built)
    dead = _dead(fresh, built)
    if dead:
        _remove(fresh)
        return (*built.problems, *dead)
    _swap(fresh, out)
    return built.problems


def serve_site(root: Path, out: Path, *, port: int = 8000, say: Progress = quiet) -> None:
    """Serve the project at `root`, building into `out`, until the user stops it."""

    def rebuild() -> str:
        problems = build_site(root, out)
        failed = any(problem.level == ERROR for problem in problems)
        if failed:
            say(render(problems))
        return render(problems) if failed else ""

    watched = (root / "knowledge", root / "site_src")
    with serving(out, watched, rebuild, port) as (address, look):
        say(f"{address}  (stop with Ctrl+C)")
        watch_for_ever(look)


def _dead(folder: Path, built: Built) -> tuple[Problem, ...]:
    site = built.nursery.site if built.nursery else ""
    base = urlsplit(site).path.rstrip("/") + "/"
    walks = tuple(
        page.address for page in built.pages if page.shell == "lean" and not page.search
    )
    faults = dead_links(read_site(folder), base, tuple(filter(None, walks)))
    return tuple(
        problem_at(Location(file=fault.page), "dead-link", f"{fault.link}: {fault.why}")
        for fault in faults
    )


def _swap(fresh: Path, out: Path) -> None:
    old = out.with_name(f".{out.name}.old")
    _remove(old)
    if out.exists():
        out.rename(old)
    fresh.rename(out)
    _remove(old)


def _remove(folder: Path) -> None:
    if folder.exists():
        shutil.rmtree(folder)
