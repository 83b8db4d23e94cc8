"""Build a site beside the old one and swap: a failed build leaves the old one as it was."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path
from urllib.parse import urlsplit

from bedside import pipeline
from bedside.pages.frame.addresses import addresses_about, file_of
from bedside.pages.service_worker import PACK
from bedside.pipeline import Built
from bedside.problems import (
    ERROR,
    WARNING,
    Location,
    Problem,
    counted,
    errors_of,
    in_order,
    problem_at,
    render,
)
from bedside.publish.dead_links import dead_links
from bedside.publish.live_reload import Told, serving, watch_for_ever
from bedside.publish.mkdocs_hook import write_site
from bedside.publish.offline_copy import MOST_BYTES
from bedside.publish.site_files import read_site, write_files
from bedside.publish.swap import fresh_folder, swap
from bedside.read.shipped import SHIPPED

Progress = Callable[[str], None]
KNOWLEDGE_FOLDER = "knowledge"
WAITS = "Another build writes here. This one goes on when that is done"


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
    progress(f"Writing {counted(len(built.pages), 'page')}")
    return (*built.problems, *_write_all(root, out, built, progress))


def serve_site(
    root: Path,
    out: Path,
    *,
    port: int = 8000,
    say: Progress = quiet,
    show: Progress = quiet,
) -> None:
    """Serve the project at `root`, building into `out`, until the user stops it.

    `show` is given the address once it answers.
    """
    preview = Preview(root, out, say)
    with serving(out, watched(root), preview.rebuild, port) as (address, look):
        say(f"{address}  (stop with Ctrl+C)")
        show(address)
        look(preview.last is not None and preview.last.waiting)
        watch_for_ever(look)


def watched(root: Path) -> tuple[Path, ...]:
    """The folders a site is made from: its own, and those that ship."""
    return tuple(at / it for at in (root, SHIPPED) for it in ("knowledge", "site_src"))


class Preview:
    """Builds into `out` again and again, and writes only what changed where it can."""

    def __init__(self, root: Path, out: Path, say: Progress = quiet) -> None:
        self.root = root
        self.out = out
        self.say = say
        self.last: Built | None = None
        self.wrong = False  # when it was last made

    def rebuild(self) -> Told:
        """Build what can be shown; give what its pages have to say of problems."""
        # Where there is no page yet, somebody waits to see one.
        built = pipeline.preview(self.root, hasty=self.last is None)
        problems = built.problems
        if built.pages:
            problems = in_order((*problems, *self._write(built)))
        self.last = built if built.pages else None
        errors = errors_of(problems)
        if errors:
            self.say(render(errors, folder=f"{KNOWLEDGE_FOLDER}/"))
        elif self.wrong:
            self.say("Mended: nothing is wrong any more")
        self.wrong = bool(errors)
        return _told(built, problems)

    def _write(self, built: Built) -> tuple[Problem, ...]:
        if self.last is None or _frame(self.last) != _frame(built):
            return _write_all(self.root, self.out, built, self.say, strict=False)
        # Search, site map and the copy for a garden without signal wait for a whole build:
        # none of them shows on a page.
        old = _contents(self.last)
        changed = {
            name: text for name, text in _contents(built).items() if old[name] != text
        }
        dead = _dead({**read_site(self.out), **changed}, built)
        write_files(self.out, changed)
        return dead


def _told(built: Built, problems: Iterable[Problem]) -> Told:
    """Sort what is wrong by the pages that it is about."""
    pages: dict[str, list[Problem]] = {}
    kept = [it for it in problems if it.level == ERROR or it.file in built.drafts]
    for problem in kept:
        for page in addresses_about(problem.file, built.library):
            pages.setdefault(page, []).append(problem)
    drafts: dict[str, str] = {}
    for file in sorted(built.drafts, key=lambda it: (not it.endswith("/plant.yaml"), it)):
        for page in addresses_about(file, built.library):
            drafts.setdefault(page, file)
    return Told(problems=tuple(kept), pages=pages, drafts=drafts, shows=bool(built.pages))


def _frame(built: Built) -> object:
    # What the site generator must see: everything but the text of pages that are ready.
    return (
        built.nursery,
        built.places,
        [page for page in built.pages if page.shell == "reference"],
        [page.address for page in built.pages],
        [asset.address for asset in built.assets],
    )


def _contents(built: Built) -> dict[str, bytes]:
    ready = {
        file_of(page.address): page.html.encode()
        for page in built.pages
        if page.shell == "lean"
    }
    return {**ready, **{asset.address: asset.content for asset in built.assets}}


def _write_all(
    root: Path, out: Path, built: Built, say: Progress, *, strict: bool = True
) -> tuple[Problem, ...]:
    if _is_foreign(out):
        return (_not_written(out, "this folder holds something else than a site"),)
    try:
        with fresh_folder(out, lambda: say(WAITS)) as fresh:
            write_site(root, fresh, built)
            files = read_site(fresh)
            dead = _dead(files, built)
            if not dead or not strict:
                swap(fresh, out)
    except OSError as error:
        return (_not_written(Path(error.filename or out), error.strerror or str(error)),)
    return (*dead, *_heavy(files.get(PACK, b"")))


def _heavy(pack: bytes) -> Iterator[Problem]:
    if len(pack) > MOST_BYTES:
        why = f"the copy for gardens without signal has {len(pack):,} bytes"
        hint = f"at most {MOST_BYTES:,} are good manners; leave kinds of pages out of it"
        yield problem_at(Location(file=PACK), "heavy-copy", why, hint, level=WARNING)


def _is_foreign(out: Path) -> bool:
    # The whole folder is replaced, so a slip in its name must not cost anyone's files.
    return out.is_dir() and any(out.iterdir()) and not (out / "index.html").is_file()


def _not_written(path: Path, why: str) -> Problem:
    return problem_at(
        Location(file=str(path)), "not-written", why, "the last good site is as it was"
    )


def _dead(files: Mapping[str, bytes], built: Built) -> tuple[Problem, ...]:
    site = built.nursery.site if built.nursery else ""
    base = urlsplit(site).path.rstrip("/") + "/"
    walks = tuple(
        page.address for page in built.pages if page.shell == "lean" and not page.search
    )
    return tuple(
        problem_at(Location(file=fault.page), "dead-link", f"{fault.link}: {fault.why}")
        for fault in dead_links(files, base, tuple(filter(None, walks)))
    )
