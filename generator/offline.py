"""The course kept on a phone: the list of a finished site's files with their digests, for the worker `sw.js`."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

WORKER = "sw.js"
LIST = "kept.json"
DIGITS = 16  # hexadecimal digits of SHA-256 kept: 64 bits tell versions of a file apart; sw.js says the same
# The theme reads its search index as a script from file:// and as JSON from a server, where alone a worker runs.
NOT_KEPT = {WORKER, LIST, "search/search_index.js"}


def list_files(folder: Path) -> None:
    """Writes the list of the site in `folder`; call it last, when every file is final."""
    (folder / LIST).write_text(json.dumps(site_files(folder), indent=0) + "\n", encoding="utf-8")


def site_files(folder: Path) -> dict[str, str]:
    """What a served course needs: path with '/' and the start of its SHA-256; no hidden files, and not the worker."""
    paths = {path.relative_to(folder).as_posix(): path for path in folder.rglob("*") if path.is_file()}
    return {name: _digest(paths[name]) for name in sorted(paths) if name not in NOT_KEPT and not name.startswith(".")}


def _digest(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()[:DIGITS]
