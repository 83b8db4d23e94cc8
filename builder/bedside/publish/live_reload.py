"""Serve a folder on this machine and make it again on every change.

What is whole is shown as it is. A page that has something wrong says on top what and where,
and the first page lists everything; nothing of that is in the files that are written.
"""

import http.server
import re
import sys
import threading
import time
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import partial
from html import escape
from http import HTTPStatus
from pathlib import Path
from typing import Any

from bedside.problems import Problem, errors_of
from bedside.publish.site_files import read_page
from bedside.read.shipped import stamps

Look = Callable[..., None]
LOOK_EVERY_S = 0.15
WAIT_FOR_S = 20.0
VERSION = "/-version"
SCRIPT = "/-reload.js"
TAG = f'<script src="{SCRIPT}"></script></body>'.encode()
RELOAD = f"""(async () => {{
  let seen = null;
  for (;;) {{
    try {{
      const now = await (await fetch("{VERSION}?" + (seen ?? ""))).text();
      if (seen !== null && now !== seen) location.reload();
      seen = now;
    }} catch {{ await new Promise((done) => setTimeout(done, 500)); }}
  }}
}})();""".encode()
STYLE = "/-problems.css"
CSS = b"""
.problems-here { margin: 0; padding: 12px 16px; background: #fff4d6; color: #1b1b1b;
  border-bottom: 3px solid #8a5a00; font: 16px/1.45 system-ui, sans-serif; }
.problems-here p, .problems-here ul { margin: 0 0 6px; }
.problems-here li { overflow-wrap: anywhere; }
.problems-here a { color: #123f8c; }
"""
LINK = f'<link rel="stylesheet" href="{STYLE}">'
ALONE = (
    '<!doctype html><html lang="en-US"><head><meta charset="utf-8"><title>{title}</title>'
    '<meta name="viewport" content="width=device-width"></head><body></body></html>'
)
BODY = re.compile(rb"<body[^>]*>")


@dataclass(frozen=True, kw_only=True, slots=True)
class Told:
    """What is wrong, by page, and the drafts by theirs; whether there are pages."""

    problems: tuple[Problem, ...] = ()
    pages: Mapping[str, Sequence[Problem]] = field(default_factory=dict)
    drafts: Mapping[str, str] = field(default_factory=dict)
    shows: bool = True

    def box(self, address: str) -> str:
        """What stands on top of a page; nothing where all is well."""
        if not self.shows:
            head = "<p><b>No page can be shown yet.</b> Mend these and save:</p>"
            return _box(head + _listed(self.problems))
        if address == "":
            return self._first()
        here = self.pages.get(address, ())
        head = ""
        if address in self.drafts:
            file = escape(self.drafts[address])
            head = f"<p><b>A draft:</b> only you see it. It stands in {file}.</p>"
        if here:
            head += "<p>Still to mend for this page:</p>"
        return _box(head + _listed(here)) if head else ""

    def _first(self) -> str:
        errors = errors_of(self.problems)
        parts = ""
        if errors:
            parts = (
                f"<p><b>{len(errors)} to mend before the site can be published.</b> "
                "What could be shown, is shown.</p>" + _listed(errors)
            )
        if self.drafts:
            links = ", ".join(
                f'<a href="/{escape(page)}">{escape(file)}</a>'
                for page, file in self.drafts.items()
            )
            parts += f"<p>Drafts, which only you see: {links}</p>"
        return _box(parts) if parts else ""


def _box(inner: str) -> str:
    label = "Problems, seen by you alone"
    return f'{LINK}<aside class="problems-here" aria-label="{label}">{inner}</aside>'


def _listed(problems: Iterable[Problem]) -> str:
    lines = "".join(
        f"<li>{escape(f'{it.file}:{it.line}: {it.message}')}"
        + (f"<br>{escape(it.hint)}" if it.hint else "")
        + "</li>"
        for it in problems
    )
    return f"<ul>{lines}</ul>" if lines else ""


@dataclass(kw_only=True, slots=True)
class State:
    """What is being served; changed by the watcher, read by the requests."""

    folder: Path
    told: Told = field(default_factory=Told)
    version: int = 0
    changed: threading.Condition = field(default_factory=threading.Condition)

    def renew(self, told: Told) -> None:
        """Tell waiting pages that there is something new."""
        with self.changed:
            self.told = told
            self.version += 1
            self.changed.notify_all()

    def wait(self, seen: str) -> int:
        """Return the version, once it is another than `seen` or after a while."""
        with self.changed:
            self.changed.wait_for(lambda: str(self.version) != seen, timeout=WAIT_FOR_S)
            return self.version


class Handler(http.server.SimpleHTTPRequestHandler):
    """Serves the folder, with a script in each page that waits for the next version."""

    def __init__(self, *arguments: object, state: State) -> None:
        self.state = state
        super().__init__(*arguments, directory=str(state.folder))  # type: ignore[arg-type]

    def do_GET(self) -> None:
        """Answer with the version, the script, a page or a file."""
        path, _, query = self.path.partition("?")
        if "%00" in path:  # no file has such a name, and the system refuses to look
            self.send_error(HTTPStatus.NOT_FOUND)
        elif path == VERSION:
            self._send(str(self.state.wait(query)).encode(), "text/plain")
        elif path == SCRIPT:
            self._send(RELOAD, "text/javascript")
        elif path == STYLE:
            self._send(CSS, "text/css")
        elif path.endswith(("/", ".html")):
            self._send_page(path)
        else:
            super().do_GET()

    def end_headers(self) -> None:
        """Let nothing be kept: the next look must show the next version."""
        self.send_header("Cache-Control", "no-store")
        super().end_headers()

    def log_message(self, format: str, *_: object) -> None:  # noqa: A002
        """Say nothing: a page makes a dozen requests."""

    def _send_page(self, path: str) -> None:
        told = self.state.told
        box = told.box(path.lstrip("/").removesuffix("index.html"))
        page = read_page(Path(self.translate_path(path))) if told.shows else b""
        status = HTTPStatus.OK if page or box else HTTPStatus.NOT_FOUND
        if box and not page:
            page = ALONE.format(title="Not shown yet").encode()
        page = page or read_page(self.state.folder / "404.html") or b"</body>"
        page = BODY.sub(lambda found: found[0] + box.encode(), page, count=1)
        self._send(page.replace(b"</body>", TAG), "text/html; charset=utf-8", status)

    def _send(self, body: bytes, kind: str, status: HTTPStatus = HTTPStatus.OK) -> None:
        self.send_response(status)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)


Rebuild = Callable[[], Told]  # makes the folder again; gives what is wrong


@contextmanager
def serving(
    folder: Path, watched: Sequence[Path], rebuild: Rebuild, port: int
) -> Iterator[tuple[str, Look]]:
    """Serve while the block runs; gives the address, and what looks once for a change.

    `look(True)` makes the folder again also where nothing has changed.
    """
    seen = stamps(watched)  # first, so that a change during the first build is one
    state = State(folder=folder)
    # Before the first build too: who must name another port shall not wait for it.
    server = Server(("127.0.0.1", port), partial(Handler, state=state))
    try:
        state.told = rebuild()
    except BaseException:
        server.server_close()
        raise
    threading.Thread(target=server.serve_forever, daemon=True).start()

    def look(always: bool = False) -> None:
        nonlocal seen
        now = stamps(watched)
        if always or now != seen:
            seen = now
            state.renew(rebuild())

    try:
        yield f"http://127.0.0.1:{server.server_port}/", look
    finally:
        server.shutdown()
        server.server_close()


class Server(http.server.ThreadingHTTPServer):
    """Serves while browser tabs come and go."""

    daemon_threads = True

    def handle_error(self, request: Any, client_address: Any) -> None:
        """Pass over a tab that was closed in the middle of an answer."""
        if not isinstance(sys.exc_info()[1], ConnectionError):
            super().handle_error(request, client_address)


def watch_for_ever(look: Look) -> None:
    """Look for changes until the user stops it."""
    try:
        while True:
            time.sleep(LOOK_EVERY_S)
            look()
    except KeyboardInterrupt:
        return
