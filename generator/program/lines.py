"""Cutting a stream of bytes into lines, in memory that no line and no file can grow."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

PIECE = 1 << 16
LONGEST_LINE = 4096
MOST_BYTES = 1 << 31


class Lines:
    """The lines of a byte stream in batches; bytes become characters one to one (Latin-1).

    `chunks` are bytes as they come from a file, of any size, line ends included. Line ends are LF, CR or CRLF.
    A longer line is handed on as its first LONGEST_LINE + 1 characters, so that its length can be told.
    After the iteration `last_ended` says whether the last line had a line end, `cut_short` whether the
    stream was longer than MOST_BYTES.
    """

    def __init__(self, chunks: Iterable[bytes]) -> None:
        self._chunks = chunks
        self.last_ended = True
        self.cut_short = False

    def __iter__(self) -> Iterator[list[str]]:
        rest = ""
        for text in _one_line_end(self._pieces()):
            lines = (rest + text).split("\n")
            rest = lines.pop()[: LONGEST_LINE + 1]
            if lines:
                yield lines
        self.last_ended = not rest
        if rest:
            yield [rest]

    def _pieces(self) -> Iterator[bytes]:
        left = MOST_BYTES
        for chunk in self._chunks:
            for start in range(0, len(chunk), PIECE):
                yield bytes(chunk[start : start + PIECE])
            left -= len(chunk)
            if left < 0:
                self.cut_short = True
                return


def _one_line_end(pieces: Iterator[bytes]) -> Iterator[str]:
    """Text with LF only; a CR at the end of a piece waits, since its LF may open the next one."""
    held = ""
    for piece in pieces:
        text = held + piece.decode("latin-1")
        held = ""
        if "\r" in text:
            if text.endswith("\r"):
                held, text = "\r", text[:-1]
            text = text.replace("\r\n", "\n").replace("\r", "\n")
        yield text
    if held:
        yield "\n"
