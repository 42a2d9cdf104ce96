"""Telling from its first bytes that a file is no program at all, and counting signs of programs for other machines."""

from __future__ import annotations

import re
from collections import Counter

from generator.program.words import Line

HEAD = 2048
PROGRAM = "program"

_STARTS: tuple[tuple[bytes, str], ...] = (
    (b"\xff\xfe", "utf-16 text"), (b"\xfe\xff", "utf-16 text"), (b"%PDF", "document"), (b"PK\x03\x04", "archive"),
    (b"\x1f\x8b", "archive"), (b"\x89PNG", "picture"), (b"\xff\xd8\xff", "picture"), (b"GIF8", "picture"),
    (b"{\\rtf", "document"), (b"\x7fELF", "binary"), (b"MZ\x90", "binary"), (b"solid ", "shape"),
)  # fmt: skip
_OPENINGS: tuple[tuple[bytes, str], ...] = (
    (b"<!doctype html", "web page"), (b"<html", "web page"), (b"<?xml", "xml"), (b"<svg", "drawing"), (b"<", "xml"),
    (b"{\"", "json"), (b"{\n", "json"), (b"{ ", "json"), (b"[{", "json"), (b"0\nsection", "drawing"),
)  # fmt: skip
_BOM = b"\xef\xbb\xbf"
_WORDS_ONLY = re.compile(r"\s*(?:N\d+\s*)?(?:[GMSTFXYZ][-+]?[\d.]+\s*)+", re.IGNORECASE).fullmatch
_ODD_LETTERS = frozenset("ABCEUVW")
_STARTS_SOMETHING = re.compile(r"M0*([346])(?!\d)", re.IGNORECASE)


def file_kind(head: bytes) -> str:
    """What the first bytes of a file (up to HEAD) show it to be; 'program' where nothing speaks against it."""
    if not head:
        return "empty"
    start = next((kind for sign, kind in _STARTS if head.startswith(sign)), None)
    if start:
        return start
    text = head.removeprefix(_BOM).lstrip().replace(b"\r\n", b"\n")[:64].lower()
    opening = next((kind for sign, kind in _OPENINGS if text.startswith(sign)), None)
    return opening or _by_bytes(head)


def _by_bytes(head: bytes) -> str:
    zeros = head.count(0)
    if zeros > len(head) // 4:
        return "utf-16 text"
    controls = sum(sign < 9 or 13 < sign < 32 for sign in head)
    return "binary" if zeros or controls > len(head) // 20 else PROGRAM


def count_signs(line: Line, text: str, tally: Counter[str]) -> None:
    """Count odd letters and codes of one line: what programs for other machines give themselves away by."""
    for letter, value in line.words:
        if letter in _ODD_LETTERS:
            tally[letter] += 1
        elif letter == "M" or (letter == "G" and value > 3):
            tally[f"{letter}{value:g}"] += 1
    if "." in text:
        tally["point"] += 1
    for comment in line.comments:
        if comment.lstrip().upper().startswith("LAYER"):
            tally["layer-comment"] += 1


def commented_codes(line: Line) -> list[str]:
    """Spindle starts and tool changes that someone has turned into a comment: '(M3)', '(M6)'."""
    return [
        f"(M{code})" for comment in line.comments if _WORDS_ONLY(comment) for code in _STARTS_SOMETHING.findall(comment)
    ]
