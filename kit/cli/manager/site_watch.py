"""The small server behind `smokehouse site watch`: /health and /metrics, on loopback alone."""

from __future__ import annotations

import json
import threading
from collections.abc import Callable
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from time import monotonic

from kit.basics.errors import BadData, KitError
from kit.basics.site_log import log_event
from kit.records.storage.store import Records
from kit.records.upkeep.site_health import CheckedChain, SiteHealth, check_chain_of, site_health
from kit.records.upkeep.site_metrics import metrics_text

HOST = "127.0.0.1"
FRESH_S = 5.0
"""Figures younger than this are told again: many questions are no load. [s]"""


class SiteWatch:
    """Keeps the figures: asks for them when they are old, and checks the chain from time to time."""

    def __init__(self, records: Records, inbox: Path) -> None:
        self._records, self._inbox = records, inbox
        self._lock = threading.Lock()
        self._checked: CheckedChain | None = None
        self._found: SiteHealth | None = None
        self._at = float("-inf")

    def check(self) -> None:
        """Check the whole chain. Records that cannot be reached are an event of the log."""
        try:
            self._checked = check_chain_of(self._records)
        except KitError as error:
            log_event("error", error=error)

    def figures(self) -> SiteHealth | None:
        """Return the figures; None if the records cannot be read now."""
        with self._lock:
            if monotonic() - self._at >= FRESH_S:
                try:
                    self._found = site_health(self._records, self._inbox, self._checked)
                except KitError as error:
                    log_event("error", error=error)
                    self._found = None
                self._at = monotonic()
            return self._found

    def answer(self, path: str) -> tuple[int, str, bytes]:
        """Return status, type and body for a path."""
        if path == "/metrics":
            return 200, "text/plain; version=0.0.4; charset=utf-8", metrics_text(self.figures())
        if path != "/health":
            return 404, "text/plain; charset=utf-8", b"There are /health and /metrics.\n"
        found = self.figures()
        if found is None:
            told: dict[str, object] = {"wrong": ["The records cannot be read now."]}
        else:
            told = found.as_json()
        return 503 if told["wrong"] else 200, "application/json", json.dumps(told).encode() + b"\n"


def server_for(state: SiteWatch, port: int) -> ThreadingHTTPServer:
    """Return the server, bound to loopback, not yet serving.

    Raises
    ------
    BadData
        If the port is taken.
    """

    class Answering(BaseHTTPRequestHandler):
        timeout = 10

        def do_GET(self) -> None:
            host = self.headers.get("Host", "").rpartition(":")[0] or self.headers.get("Host", "")
            if host not in (HOST, "localhost"):  # a page of another name that points here
                self.send_error(403, "Ask this machine by its own name")
                return
            try:
                status, kind, body = state.answer(self.path)
            except BadData as error:
                status, kind, body = 501, "text/plain; charset=utf-8", f"{error}\n".encode()
            self.send_response(status)
            self.send_header("Content-Type", kind)
            self.send_header("Content-Length", str(len(body)))
            self.send_header("Cache-Control", "no-store")
            self.end_headers()
            self.wfile.write(body)

        def version_string(self) -> str:
            return "kitchen"

        def log_message(self, format: str, *args: object) -> None:
            """Log nothing: what was asked is nobody's affair."""

    try:
        return ThreadingHTTPServer((HOST, port), Answering)
    except OSError as error:
        raise BadData(f"port {port}", f"it cannot be used ({error.strerror})", "a free port") from None


def watch(
    records: Records, inbox: Path, port: int, check_every_h: float, ready: Callable[[str], None]
) -> None:
    """Serve until stopped. ``ready`` is told the address."""
    state, over = SiteWatch(records, inbox), threading.Event()

    def checking() -> None:
        while not over.is_set():
            state.check()
            over.wait(check_every_h * 3600)

    with server_for(state, port) as server:
        threading.Thread(target=checking, daemon=True).start()
        ready(f"http://{HOST}:{server.server_port}")
        try:
            server.serve_forever()
        except KeyboardInterrupt:
            over.set()
