"""A folder served on this machine, as a workshop would do it, with a note of every request that arrived."""

from __future__ import annotations

import threading
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any


class _Handler(SimpleHTTPRequestHandler):
    def __init__(self, *args: Any, asked: list[str], **given: Any) -> None:
        self.asked = asked
        super().__init__(*args, **given)

    def end_headers(self) -> None:
        # Otherwise the browser's own cache, and not the worker, could be what answers without a server.
        self.send_header("Cache-Control", "no-store")
        super().end_headers()

    def log_message(self, format: str, *args: Any) -> None:
        self.asked.append(self.path)


class Served:
    """A server in a thread; `asked` holds the paths asked for since the last `clear`."""

    def __init__(self, folder: Path) -> None:
        self.asked: list[str] = []
        handler = partial(_Handler, asked=self.asked, directory=str(folder))
        self._server = ThreadingHTTPServer(("127.0.0.1", 0), handler)
        self._server.daemon_threads = True
        self.running = True
        threading.Thread(target=self._server.serve_forever, kwargs={"poll_interval": 0.02}, daemon=True).start()

    def address(self, path: str = "") -> str:
        """Where a file of the folder is served."""
        return f"http://127.0.0.1:{self._server.server_address[1]}/{path}"

    def stop(self) -> None:
        """Closes the port; a second call does nothing."""
        if self.running:
            self.running = False
            self._server.shutdown()
            self._server.server_close()
