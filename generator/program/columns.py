"""A block of lines as columns of numbers: thousands of ordinary lines read at once, the others told apart.

An ordinary line holds words of ORDINARY letters, each at most once, with plain numbers and no blank inside them, a
line number in front, and comments that mean nothing. Whatever else a line holds makes it odd: it is left to
generator.program.words, which says what is wrong with it, or carries it out.
"""

from __future__ import annotations

import re

import numpy as np
from msgspec import Struct

from generator.program.arrays import Flags, Numbers, Places, Signs
from generator.program.dialect import Dialect
from generator.program.expressions import LARGEST_NUMBER
from generator.program.modal import ARCS

ORDINARY = "FGIJNRSXYZ"
# A whole number of so many figures divided by a power of ten is the nearest float to what is written.
MOST_FIGURES = 15

_END, _BLANK, _LETTER, _SIGN, _DIGIT, _POINT, _OTHER = range(7)
_AFTER = {
    _END: (_END, _BLANK, _LETTER),
    _BLANK: (_END, _BLANK, _LETTER),
    _LETTER: (_SIGN, _DIGIT, _POINT),
    _SIGN: (_DIGIT, _POINT),
    _DIGIT: (_END, _BLANK, _LETTER, _DIGIT, _POINT),
    _POINT: (_END, _BLANK, _LETTER, _DIGIT),
}
# A comment that could be a code, or count a layer, is read the careful way. None that holds a second bracket or
# semicolon in front of such a word is either; so no sign is looked at more than twice, however many there are.
_LOUD = rb"[^();\n]*(?:M0*[346]|LAYER)"
_BRACKETS = re.compile(rb"\((?!" + _LOUD + rb")[^()\n]*\)")
_BRACKETS_AND_TAILS = re.compile(_BRACKETS.pattern + rb"|;(?!" + _LOUD + rb")[^\n]*")


def _classes() -> bytes:
    table = bytearray([_OTHER]) * 256
    for signs, kind in ((b"\n", _END), (b" \t", _BLANK), (b"+-", _SIGN), (b"0123456789", _DIGIT), (b".", _POINT)):
        for sign in signs:
            table[sign] = kind
    for letter in range(ord("A"), ord("Z") + 1):
        table[letter] = _LETTER
    return bytes(table)


def _wrong_pairs() -> Flags:
    wrong = np.ones(64, dtype=bool)
    for kind, followers in _AFTER.items():
        wrong[[8 * kind + follower for follower in followers]] = False
    return wrong


_CLASSES = _classes()
_WRONG = _wrong_pairs()
_NOT_DIGITS = bytes(set(range(256)) - set(b"0123456789"))
_NOT_MARKS = bytes(set(range(256)) - set(b"ABCDEFGHIJKLMNOPQRSTUVWXYZ-.\n"))
_TENS = 10 ** np.arange(19, dtype=np.int64)
_NO_LETTERS = np.array([chr(code) not in ORDINARY for code in range(256)])


class Column(Struct, frozen=True):
    """The words of one letter: the lines they stand on, counted from the start of the block, and their values."""

    lines: Places
    values: Numbers

    def between(self, first: int, last: int) -> Column:
        """The words of lines `first` to `last`, counted from `first`; `last` is left out."""
        low, high = np.searchsorted(self.lines, (first, last))
        return Column(self.lines[low:high] - first, self.values[low:high])


class Columns(Struct, frozen=True):
    """`starts` are where lines start in the block, and its end; `odd` holds one flag per line.

    What the columns hold on odd lines means nothing.
    """

    starts: Places
    odd: Flags
    words: dict[str, Column]


def columns_of(block: bytes, dialect: Dialect) -> Columns:
    """The columns of a block of lines, all of them ended by LF."""
    ends = _places(block, b"\n")
    starts = np.concatenate(([0], ends + 1))
    odd = np.diff(starts) - 1 > dialect.line_length
    if not block.isascii():
        odd[_lines_of(np.flatnonzero(np.frombuffer(block, np.uint8) > 127), ends)] = True
    code = _without_quiet_comments(block.upper(), dialect)
    if len(code) != len(block):
        ends = _places(code, b"\n")
    odd[_lines_of(_misplaced(code), ends)] = True
    return Columns(starts, odd, _words(code, odd, dialect))


def _places(text: bytes, sign: bytes) -> Places:
    return np.flatnonzero(np.frombuffer(text, np.uint8) == ord(sign))


def _lines_of(places: Places, ends: Places) -> Places:
    return np.searchsorted(ends, places)


def _without_quiet_comments(code: bytes, dialect: Dialect) -> bytes:
    """Without the comments that neither mean something nor are a habit to be told."""
    if dialect.allows["semicolon-comment"] == "accept" and b";" in code:
        return _BRACKETS_AND_TAILS.sub(b"", code)
    return _BRACKETS.sub(b"", code) if b"(" in code else code


def _misplaced(code: bytes) -> Places:
    """Places of signs that do not belong into a line, or not in front of what follows them."""
    kinds = np.frombuffer(code.translate(_CLASSES), np.uint8)
    pairs = kinds << 3
    # The block ends with a line end, and begins as if behind one.
    pairs[:-1] |= kinds[1:]
    wrong = np.flatnonzero(_WRONG[pairs])
    wrong += kinds[wrong] == _END
    return wrong if kinds[0] in _AFTER[_END] else np.concatenate(([0], wrong))


def _words(code: bytes, odd: Flags, dialect: Dialect) -> dict[str, Column]:
    """The words by letter; lines that turn out to be odd are marked so."""
    marks = np.frombuffer(code.translate(None, _NOT_MARKS), np.uint8)
    begins = (marks >= ord("A")) | (marks == ord("\n"))
    letters = marks[begins]
    lines = np.cumsum(letters == ord("\n"))
    digits, values = _values(code, marks, begins, odd, lines)
    first = np.concatenate(([True], letters[:-1] == ord("\n")))
    pointed_or_signed = np.concatenate((~begins[1:], [False]))[begins]
    wrong = _NO_LETTERS[letters] | (digits == 0) | (digits > MOST_FIGURES) | (np.abs(values) > LARGEST_NUMBER)
    label = letters == ord("N")
    wrong |= label & (~first | pointed_or_signed | (digits > dialect.line_number_digits))
    wrong |= ((letters == ord("F")) | (letters == ord("S"))) & np.signbit(values)
    wrong &= letters != ord("\n")
    odd[lines[wrong]] = True
    words = {letter: _column(letters, lines, values, letter, odd) for letter in ORDINARY if letter != "N"}
    followed = [code / 10 for code in (0, 10, *ARCS) if code in dialect.g_codes]
    odd[words["G"].lines[~np.isin(words["G"].values, followed)]] = True
    return words


def _values(code: bytes, marks: Signs, begins: Flags, odd: Flags, lines: Places) -> tuple[Places, Numbers]:
    """Number of figures and value of every word."""
    signs = np.frombuffer(code, np.uint8)
    figures_before = np.cumsum((signs >= ord("0")) & (signs <= ord("9")), dtype=np.intp)
    word = np.cumsum(begins) - 1
    at_words = figures_before[np.flatnonzero((signs >= ord("A")) & (signs <= ord("Z")) | (signs == ord("\n")))]
    digits = np.diff(at_words, append=figures_before[-1])
    points = word[marks == ord(".")]
    decimals = np.zeros(len(digits), dtype=np.intp)
    known = points >= 0
    ends = at_words + digits
    decimals[points[known]] = (ends[points] - figures_before[_places(code, b".")])[known]
    again = points[1:][points[1:] == points[:-1]]
    odd[lines[again[again >= 0]]] = True
    values = _whole(code, at_words, digits) / _TENS[np.minimum(decimals, 18)]
    minus = word[marks == ord("-")]
    values[minus[minus >= 0]] *= -1.0
    return digits, values


def _whole(code: bytes, starts: Places, digits: Places) -> Numbers:
    """The figures of every word as one whole number, the decimal point left out; wrong beyond MOST_FIGURES."""
    figures = np.frombuffer(code.translate(None, _NOT_DIGITS), np.uint8)
    ends = starts + digits
    places = np.arange(starts[0] if len(starts) else 0, len(figures))
    from_end = np.repeat(ends, digits) - 1 - places
    parts = (figures[places] - np.uint8(ord("0"))) * _TENS[np.minimum(from_end, 18)]
    sums = np.concatenate(([0], np.cumsum(parts)))
    base = starts[0] if len(starts) else 0
    return (sums[ends - base] - sums[starts - base]).astype(np.float64)


def _column(letters: Places, lines: Places, values: Numbers, letter: str, odd: Flags) -> Column:
    found = np.flatnonzero(letters == ord(letter))
    on = lines[found]
    odd[on[1:][on[1:] == on[:-1]]] = True
    return Column(on, values[found])
