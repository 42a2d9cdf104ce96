"""A site on disk: built beside, then swapped in whole; folders that are not ours are left alone."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Callable, Iterable
from pathlib import Path

from generator.errors import OnionskinError

MARKER = ".onionskin-site"
# Bytes from either end of a file within which our mark stands.
NEAR = 400


def replace_folder(target: Path, fill: Callable[[Path], None]) -> None:
    """Fills a new folder beside `target` and swaps it in; on any failure the old one stays whole.

    Raises OnionskinError where `target` exists, is not empty and was not made by us, or cannot be written.
    """
    check_ours(target)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        fresh = Path(tempfile.mkdtemp(prefix=f".{target.name}-", dir=target.parent))
    except OSError as error:
        raise OnionskinError(f"{target}: cannot be written: {error.strerror}") from None
    try:
        fresh.chmod(0o755)
        fill(fresh)
        (fresh / MARKER).write_text("Made by onionskin. The next build replaces this folder.\n", encoding="utf-8")
        _swap(fresh, target)
    except OSError as error:
        raise OnionskinError(f"{target}: could not be written, the old one is untouched: {error.strerror}") from None
    finally:
        shutil.rmtree(fresh, ignore_errors=True)


def replace_file(target: Path, data: bytes) -> None:
    """Writes a file beside `target` and swaps it in; on any failure the old one stays. Raises OnionskinError."""
    fresh = target.with_name(f".{target.name}-{os.getpid()}")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        fresh.write_bytes(data)
        os.replace(fresh, target)
    except OSError as error:
        raise OnionskinError(f"{target}: cannot be written: {error.strerror}") from None
    finally:
        fresh.unlink(missing_ok=True)


def check_file(target: Path, mark: str, inputs: Iterable[Path] = ()) -> None:
    """Raises OnionskinError unless `target` can be written without loss: its folder is there, and it is missing or
    a file that bears our `mark` near one of its ends, and none of the `inputs` it is made from."""
    if not target.parent.is_dir():
        raise OnionskinError(f"{target.parent}: there is no such folder; make it first, or name another with -o")
    if target.is_dir():
        raise OnionskinError(f"{target}: is a folder; name a file with -o")
    if any(target.exists() and path.exists() and target.samefile(path) for path in inputs):
        raise OnionskinError(f"{target}: is what the file is made from; name another file with -o")
    if target.is_file() and mark.encode() not in _ends_of(target):
        raise OnionskinError(f"{target}: is a file that onionskin did not make; name another with -o")


def _ends_of(path: Path) -> bytes:
    data = path.read_bytes()
    return data[:NEAR] + data[-NEAR:]


def check_ours(target: Path) -> None:
    """Raises OnionskinError unless `target` is missing, empty or a site of ours."""
    if target.is_symlink() or (target.exists() and not target.is_dir()):
        raise OnionskinError(f"{target}: is not a folder; name another with -o")
    if target.is_dir() and any(target.iterdir()) and not (target / MARKER).is_file():
        raise OnionskinError(f"{target}: holds files that onionskin did not make; empty it or name another with -o")


def _swap(fresh: Path, target: Path) -> None:
    if not target.exists():
        os.replace(fresh, target)
        return
    old = Path(tempfile.mkdtemp(prefix=f".{target.name}-old-", dir=target.parent))
    os.replace(target, old / "site")
    try:
        os.replace(fresh, target)
    except OSError:
        os.replace(old / "site", target)
        raise
    finally:
        shutil.rmtree(old, ignore_errors=True)
