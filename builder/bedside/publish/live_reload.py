"""Serve a folder on this machine and make it again on every change.

While something is wrong, every page shows what and where instead; the last good site stays
in its folder and comes back with the next good save.
"""

import http.server
import sys
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import partial
from html import escape
from http import HTTPStatus
from pathlib import Path
from typing import Any

from bedside.publish.site_files import read_page
from bedside.read.shipped import stamps

Rebuild = Callable[
    [], str
]  # makes the folder again; gives the problems as text, or nothing
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
PROBLEMS = (
    '<!doctype html><html lang="en-US"><head><meta charset="utf-8"><title>Problems</title>'
    "</head><body><h1>The site was not built</h1><p>The last good one is kept. This page"
    " goes away with the next good save.</p><pre>{}</pre></body></html>"
)


@dataclass(kw_only=True, slots=True)
class State:
    """What is being served; changed by the watcher, read by the requests."""

    folder: Path
    problems: str = ""
    version: int = 0
    changed: threading.Condition = field(default_factory=threading.Condition)

    def renew(self, problems: str) -> None:
        """Tell waiting pages that there is something new."""
        with self.changed:
            self.problems = problems
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
        status = HTTPStatus.OK
        if self.state.problems:
            page = PROBLEMS.format(escape(self.state.problems)).encode()
        else:
            page = read_page(Path(self.translate_path(path)))
            status = HTTPStatus.OK if page else HTTPStatus.NOT_FOUND
            page = page or read_page(self.state.folder / "404.html") or b"</body>"
        self._send(page.replace(b"</body>", TAG), "text/html; charset=utf-8", status)

    def _send(self, body: bytes, kind: str, status: HTTPStatus = HTTPStatus.OK) -> None:
        self.send_response(status)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)


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
        state.problems = rebuild()
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
