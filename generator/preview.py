"""`onionskin preview`: the course on this computer, built anew for every saved file; its faults where it cannot be."""

from __future__ import annotations

import errno
import logging
import os
import re
import shutil
import tempfile
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

from mkdocs.livereload import LiveReloadServer

from generator.course import content_folders, demo_folder
from generator.errors import OnionskinError
from generator.host import fill
from generator.pages.page import render

_HIGHEST_PORT = 65_535
_ADDRESS = re.compile(r"(?:\[(?P<six>[0-9A-Fa-f:.]+)\]|(?P<name>[^\s:\[\]]+)):(?P<port>\d{1,5})", re.ASCII)
_BUILDING = "The course is being built"
_FAULTY = "The course cannot be built"
Tell = Callable[[str], None]


def serve(workshop: Path | None, address: str, tell: Tell, warn: Tell) -> None:
    """Serves until interrupted; rebuilds when content, machine, job or rules change.

    `tell` is given what the person at the terminal waits for, `warn` each fault. Raises OnionskinError where there is
    no such workshop or nothing can be served at this address.
    """
    host, port = read_address(address)
    folder = workshop or demo_folder()
    if not folder.is_dir():
        says = "is a file; name the workshop's folder" if folder.exists() else "there is no such folder"
        raise OnionskinError(f"{folder}: {says}")
    # An answer that is no page would otherwise be told at the terminal, and among the faults of a build.
    logging.getLogger("mkdocs.livereload").setLevel(logging.ERROR)
    root = Path(tempfile.mkdtemp(prefix="onionskin-preview-"))
    server = _Server(folder, root, (host, port), tell, warn)
    try:
        server.serve()  # type: ignore[no-untyped-call]
    except KeyboardInterrupt:
        tell("Stopped.")
    finally:
        server.shutdown()
        shutil.rmtree(root, ignore_errors=True)


def read_address(text: str) -> tuple[str, int]:
    """Host and port of text such as '127.0.0.1:8000'. Raises OnionskinError with what is wanted."""
    match = _ADDRESS.fullmatch(text)
    if match is None or not 0 < int(match["port"]) <= _HIGHEST_PORT:
        raise OnionskinError(
            f"--address: '{text}' is no address; write a host and a port from 1 to {_HIGHEST_PORT}, "
            "for example 127.0.0.1:8000"
        )
    return match["six"] or match["name"], int(match["port"])


class _Server(LiveReloadServer):
    """Answers from the first moment on, with the course or with what keeps it away."""

    def __init__(self, workshop: Path, root: Path, place: tuple[str, int], tell: Tell, warn: Tell) -> None:
        super().__init__(self._build, *place, str(root))
        self._workshop, self._site, self._tell, self._warn = workshop, root, tell, warn
        self._title, self._faults = _BUILDING, list[str]()
        for folder in {*content_folders(workshop), workshop}:
            self.watch(os.fspath(folder))
        # The first build is the loop's too: nobody then waits for an answer until it is done.
        self._want_rebuild = True

    def server_bind(self) -> None:
        """Raises OnionskinError where nothing can be served at the address."""
        try:
            super().server_bind()
        except (OSError, UnicodeError) as error:
            host, port = str(self.server_address[0]), int(self.server_address[1])
            raise OnionskinError(_refusal(host, port, error)) from None

    def server_activate(self) -> None:
        """Says where, as soon as anything answers there."""
        super().server_activate()
        self._tell(f"Open {self.url} in a browser. The course is there once it is built, and follows every file you "
                   "save. Ctrl+C stops it.")  # fmt: skip

    def _build(self) -> None:
        try:
            fill(self._workshop, self._site)
        except Exception as error:  # whatever it is: raised, it would leave every page waiting
            self._title, self._faults = _FAULTY, _lines_of(error)
            for line in (f"{_FAULTY}:", *self._faults):
                self._warn(line)
        else:
            self._title, self._faults = "", []
            self._tell("Built.")

    def serve_request(self, environ: dict[str, Any], start_response: Callable[..., Any]) -> Iterable[bytes]:
        """A page of the course, or at once one that says what keeps it away and looks again by itself."""
        if not self._title or not environ["PATH_INFO"].endswith(("/", ".html")):
            return super().serve_request(environ, start_response)
        start_response("503 Service Unavailable", [("Content-Type", "text/html; charset=utf-8")])
        return [render("preview.html.j2", title=self._title, faults=self._faults).encode("utf-8")]


def _lines_of(error: Exception) -> list[str]:
    if isinstance(error, (OnionskinError, OSError)):
        return str(error).splitlines()
    return [f"{type(error).__name__}: {error}", "This is a fault of Onionskin itself and of no file of yours."]


def _refusal(host: str, port: int, error: OSError | UnicodeError) -> str:
    other = f"choose another with --address, for example 127.0.0.1:{port + 1 if port < _HIGHEST_PORT else 8000}"
    if isinstance(error, OSError) and error.errno == errno.EADDRINUSE:
        return f"{host}:{port}: something is served there already, perhaps another preview; stop it or {other}"
    return f"{host}:{port}: nothing can be served there: {getattr(error, 'strerror', None) or error}; {other}"
