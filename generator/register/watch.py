"""The draft of a handbook on this machine's own address: every page open in a browser follows the profile.

Only this machine can reach it. It reads and shows: it never issues and writes nothing.
"""

from __future__ import annotations

import json
import threading
import time
from collections.abc import Callable
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path, PurePosixPath
from urllib.parse import unquote, urlsplit

from generator.problems import FillmarkError, Place, Problem
from generator.publish.site import THEME
from generator.register.watched import SCRIPT, START, Draft, Watched

HOST, NOW = "127.0.0.1", "-/now"
LOOK_EVERY_S = 0.5
TYPES = {
    ".html": "text/html; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".ttf": "font/ttf",
}
HEADERS = {
    "Cache-Control": "no-store",
    "Content-Security-Policy": "default-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self' data:",
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
}


class _Server(ThreadingHTTPServer):
    daemon_threads = True

    def __init__(self, port: int, draft: Callable[[], Draft]) -> None:
        self.draft = draft
        super().__init__((HOST, port), _Handler)


class _Handler(BaseHTTPRequestHandler):
    server: _Server

    def do_GET(self) -> None:
        """Answers with a file of the draft, or with the draft's version."""
        # A page from elsewhere may have its own name point here; it must not read what this plant is.
        port = self.server.server_address[1]
        if self.headers.get("Host") not in (f"{HOST}:{port}", f"localhost:{port}"):
            self._answer(HTTPStatus.FORBIDDEN, b"", "text/plain")
            return
        name = unquote(urlsplit(self.path).path).lstrip("/") or START
        draft = self.server.draft()
        if name == NOW:
            content: bytes | None = json.dumps({"version": draft.version}).encode()
        elif name == SCRIPT:
            content = (THEME / "watch.js").read_bytes()
        else:
            content = draft.files.get(name)
        kind = TYPES.get(PurePosixPath(name).suffix, "text/plain; charset=utf-8")
        status = HTTPStatus.NOT_FOUND if content is None else HTTPStatus.OK
        self._answer(status, content or b"", kind)

    def _answer(self, status: HTTPStatus, content: bytes, kind: str) -> None:
        self.send_response(status)
        for key, value in {**HEADERS, "Content-Type": kind, "Content-Length": str(len(content))}.items():
            self.send_header(key, value)
        self.end_headers()
        self.wfile.write(content)

    def log_message(self, format: str, *args: object) -> None:  # noqa: A002 - the name that the base gives it
        """Says nothing: what matters is told by the command."""


def watch(
    profile: Path,
    port: int,
    started: Callable[[str], None],
    renewed: Callable[[Draft], None],
    going: Callable[[], bool] = lambda: True,
) -> None:
    """Serves the draft until the person stops it. ``renewed`` is told each new draft.

    ``port`` 0 takes a free one. Raises FillmarkError where the port is taken.
    """
    watched = Watched(profile)
    watched.look()
    try:
        server = _Server(port, lambda: watched.draft)
    except (OSError, OverflowError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        facts = {"port": port, "reason": reason}
        raise FillmarkError([Problem("port_taken", Place(str(profile)), facts)]) from error
    with server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        try:
            started(f"http://{HOST}:{server.server_address[1]}/")
            renewed(watched.draft)
            while going():
                time.sleep(LOOK_EVERY_S)
                if watched.look():
                    renewed(watched.draft)
        finally:
            server.shutdown()
