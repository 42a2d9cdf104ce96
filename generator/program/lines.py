"""Cutting a stream of bytes into blocks of whole lines, in memory that no line and no file can grow."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

PIECE = 1 << 17
LONGEST_LINE = 4096
MOST_BYTES = 1 << 31


class Lines:
    """The lines of a byte stream in blocks, each line ended by LF; only the last block may end without one.

    `chunks` are bytes as they come from a file, of any size, line ends included. Line ends are LF, CR or CRLF.
    A line that no block holds is handed on as its first LONGEST_LINE + 1 bytes, so that its length can be told.
    After the iteration `last_ended` says whether the last line had a line end, `cut_short` whether the
    stream was longer than MOST_BYTES.
    """

    def __init__(self, chunks: Iterable[bytes]) -> None:
        self._chunks = chunks
        self.last_ended = True
        self.cut_short = False

    def __iter__(self) -> Iterator[bytes]:
        rest = b""
        for piece in _one_line_end(self._pieces()):
            block = rest + piece
            end = block.rfind(b"\n") + 1
            rest = block[end : end + LONGEST_LINE + 1]
            if end:
                yield block[:end]
        self.last_ended = not rest
        if rest:
            yield rest

    def _pieces(self) -> Iterator[bytes]:
        left = MOST_BYTES
        for chunk in self._chunks:
            for start in range(0, len(chunk), PIECE):
                yield bytes(chunk[start : start + PIECE])
            left -= len(chunk)
            if left < 0:
                self.cut_short = True
                return


def line_list(block: bytes) -> list[str]:
    """The lines of a block; bytes become characters one to one (Latin-1)."""
    return block.removesuffix(b"\n").decode("latin-1").split("\n")


def _one_line_end(pieces: Iterator[bytes]) -> Iterator[bytes]:
    """Bytes with LF only; a CR at the end of a piece waits, since its LF may open the next one."""
    held = b""
    for piece in pieces:
        block = held + piece
        held = b""
        if b"\r" in block:
            if block.endswith(b"\r"):
                held, block = b"\r", block[:-1]
            block = block.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
        yield block
    if held:
        yield b"\n"
