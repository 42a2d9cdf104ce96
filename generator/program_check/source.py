"""The program file on disk: its bytes for the reader, its fingerprint, and the words of single lines."""

from __future__ import annotations

import hashlib
import os
import stat
from collections.abc import Callable, Collection, Iterator
from pathlib import Path

from msgspec import Struct, field

from generator.errors import OnionskinError
from generator.program.lines import PIECE, Lines, line_list
from generator.program.report import shown

Progress = Callable[[int, int], None]


class Source(Struct):
    """A file to be read, once or again; `digest` is the SHA-256 of all of it after the first whole reading."""

    path: Path
    size: int
    written: float
    digest: str = ""
    _hash: hashlib._Hash = field(default_factory=hashlib.sha256)

    def pieces(self, progress: Progress | None = None) -> Iterator[bytes]:
        """The bytes of the file. Raises OnionskinError where it cannot be read any further."""
        done = 0
        try:
            with self.path.open("rb") as stream:
                while piece := stream.read(PIECE):
                    done += len(piece)
                    if progress:
                        progress(done, self.size)
                    yield piece
        except OSError as error:
            raise OnionskinError(f"{self.path}: cannot be read: {error.strerror}") from None

    def hashed(self, progress: Progress | None = None) -> Iterator[bytes]:
        """The same, keeping the fingerprint on the way."""
        for piece in self.pieces(progress):
            self._hash.update(piece)
            yield piece

    def finish(self, rest: Iterator[bytes]) -> None:
        """Read what a reader left over, so that the fingerprint is of the whole file."""
        for _ in rest:
            pass
        self.digest = self._hash.hexdigest()


def open_source(path: Path) -> Source:
    """The file at `path`. Raises OnionskinError where there is none, or it is no plain file."""
    try:
        found = os.stat(path)
    except (OSError, ValueError):
        raise OnionskinError(f"{path}: there is no such file") from None
    if not stat.S_ISREG(found.st_mode):
        what = "a folder" if stat.S_ISDIR(found.st_mode) else "a device or pipe"
        raise OnionskinError(f"{path}: is {what}; name a program file")
    return Source(path, found.st_size, found.st_mtime)


def line_texts(source: Source, wanted: Collection[int]) -> dict[int, str]:
    """The words of the lines with these numbers, as a person may see them."""
    found: dict[int, str] = {}
    left = sorted(set(wanted), reverse=True)
    number = 0
    for block in Lines(source.pieces()):
        if not left:
            break
        count = block.count(b"\n") + (not block.endswith(b"\n"))
        texts = line_list(block) if left[-1] <= number + count else []
        while left and left[-1] <= number + count:
            place = left.pop()
            if place > number:
                found[place] = shown(texts[place - number - 1])
        number += count
    return found
