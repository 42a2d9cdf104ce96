"""Numbers packed for a page: whole steps, differences, as few bytes as each needs, written as base64.

A column of numbers becomes whole multiples of its step; each is kept as the difference from the one before,
zigzag-coded (0, -1, 1, -2 become 0, 1, 2, 3) and cut into groups of seven bits, the lowest first, the eighth bit
saying that more follow. `unpack.js` reads it back.
"""

from __future__ import annotations

from array import array
from base64 import b64decode, b64encode
from collections.abc import Iterable

from generator.rehearsal.track import Track

# Steps of the packed columns: micrometres and milliseconds.
PLACE_STEP = 0.001
TIME_STEP = 0.001


def packed_track(track: Track) -> dict[str, object]:
    """The columns of a track for the page."""
    return {
        "count": len(track),
        "x": pack(track.x, PLACE_STEP),
        "y": pack(track.y, PLACE_STEP),
        "z": pack(track.z, PLACE_STEP),
        "t": pack(track.t, TIME_STEP),
        "move": pack(track.move, 1),
        "line": pack(track.line, 1),
        "kind": pack(track.kind, 1),
    }


def pack(values: Iterable[float], step: float) -> str:
    """One column of numbers as text."""
    packed, before = bytearray(), 0
    append = packed.append
    for value in values:
        whole = round(value / step)
        rest = (whole - before) << 1 if whole >= before else ((before - whole) << 1) - 1
        before = whole
        while rest > 127:
            append(rest & 127 | 128)
            rest >>= 7
        append(rest)
    return b64encode(packed).decode("ascii")


def unpack(text: str, step: float) -> array[float]:
    """The numbers of a packed column, as the page reads them."""
    values = array("d")
    whole = rest = shift = 0
    for byte in b64decode(text):
        rest |= (byte & 127) << shift
        shift += 7
        if byte < 128:
            whole += -(rest + 1 >> 1) if rest & 1 else rest >> 1
            values.append(whole * step)
            rest = shift = 0
    return values
