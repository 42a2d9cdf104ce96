"""The codes this reader can follow, their modal groups, and the sorting of a line's words by them.

Groups after NISTIR 6556 (2000), section 3.4, Table 4. Codes are kept times ten.
"""

from __future__ import annotations

import math

from msgspec import Struct

from generator.program.dialect import Dialect, code_name
from generator.program.report import LineError
from generator.program.words import Line, whole

CYCLES = frozenset({730, 810, 820, 830, 840, 850, 860, 870, 880, 890})
PROBES = frozenset({382, 383, 384, 385})
ARCS = frozenset({20, 30})
CANCEL = 800

_G_GROUPS: dict[str, frozenset[int]] = {
    "motion": frozenset({0, 10, CANCEL}) | ARCS | PROBES | CYCLES,
    "plane": frozenset({170, 180, 190}),
    "distance": frozenset({900, 910}),
    "feed-mode": frozenset({930, 940}),
    "units": frozenset({200, 210, 700, 710}),
    "radius-compensation": frozenset({400, 410, 420}),
    "length-offset": frozenset({430, 490}),
    "return-level": frozenset({980, 990}),
    "coordinate-system": frozenset({540, 550, 560, 570, 580, 590, 591, 592, 593}),
    "path-control": frozenset({610, 611, 640}),
    "arc-distance": frozenset({901, 911}),
    # The one-line codes are one group in Table 4, yet G53 and G4 stand beside others in real programs.
    "one-line": frozenset({40, 100, 280, 281, 300, 301, 530, 920, 921, 922, 923}),
}
G_GROUP: dict[int, str] = {code: group for group, codes in _G_GROUPS.items() for code in codes}

M_GROUP: dict[int, str] = {
    0: "stop", 1: "stop", 2: "stop", 30: "stop", 60: "stop", 6: "tool-change",
    3: "spindle", 4: "spindle", 5: "spindle", 7: "coolant-on", 8: "coolant-on", 9: "coolant",
    48: "override", 49: "override",
}  # fmt: skip
SUBPROGRAM_CODES = frozenset({96, 97, 98, 99})

# One-line codes that use the axis words themselves.
TAKES_AXES = frozenset({100, 280, 300, 920})

_MOTION = {"motion"}
LETTERS = "ABCDFGHIJKLMNPQRSTXYZ"


class Block(Struct):
    """One line sorted: G and M codes by group, the other words by letter."""

    g: dict[str, int] = {}
    m: dict[str, int] = {}
    words: dict[str, float] = {}
    after_cancel: bool = False

    @property
    def has_axes(self) -> bool:
        return "X" in self.words or "Y" in self.words or "Z" in self.words

    @property
    def does_more_than_move(self) -> bool:
        """Whether the line holds codes or words besides one motion code, axis words, arc words and F."""
        return bool(self.m) or not self.g.keys() <= _MOTION or "S" in self.words or "T" in self.words

    def whole(self, letter: str) -> int:
        """A word that must be a whole number; LineError if it is not."""
        value = whole(self.words[letter])
        if value is None:
            raise LineError("whole-number-wanted", letter=letter)
        return value


def sort_words(line: Line, dialect: Dialect) -> Block:
    """The words of `line` by what they are; LineError for unknown or doubled ones."""
    block = Block()
    g_count = m_count = 0
    for letter, value in line.words:
        if letter == "G":
            g_count += 1
            _sort_g(value, block, line, dialect)
        elif letter == "M":
            m_count += 1
            _sort_m(value, block, dialect)
        else:
            _sort_other(letter, value, block, line)
    if m_count > dialect.m_per_line:
        raise LineError("too-many-m-codes", most=dialect.m_per_line)
    if g_count > dialect.g_per_line:
        line.habit("several-g-codes", most=dialect.g_per_line)
    return block


def _sort_g(value: float, block: Block, line: Line, dialect: Dialect) -> None:
    code = _tenths(value)
    group = G_GROUP.get(code)
    if code not in dialect.g_codes:
        raise LineError("unknown-g-code", code=code_name("G", code))
    if group is None:
        raise LineError("cannot-judge-code", code=code_name("G", code))
    present = block.g.get(group)
    if present is None:
        block.g[group] = code
    elif group == "motion" and CANCEL in (present, code) and {present, code} <= {0, 10, CANCEL} and present != code:
        line.habit("motion-with-cancel")
        block.g[group], block.after_cancel = (code if present == CANCEL else present), True
    else:
        raise LineError("two-of-a-group", one=code_name("G", present), two=code_name("G", code))


def _tenths(value: float) -> int:
    if math.isnan(value):
        raise LineError("cannot-judge-code", code="a G code worked out from an unset parameter")
    if value < 0:
        raise LineError("negative-not-allowed", letter="G")
    tenths = round(value * 10)
    if abs(value * 10 - tenths) > 1e-3:
        raise LineError("unknown-g-code", code=f"G{value:g}")
    return tenths


def _sort_m(value: float, block: Block, dialect: Dialect) -> None:
    if value < 0:
        raise LineError("negative-not-allowed", letter="M")
    code = whole(value)
    if code is None:
        raise LineError("unknown-m-code", code=f"M{value:g}")
    if code in SUBPROGRAM_CODES:
        raise LineError("cannot-judge-subprogram")
    if code not in dialect.m_codes:
        raise LineError("unknown-m-code", code=f"M{code}")
    group = M_GROUP.get(code)
    if group is None:
        raise LineError("cannot-judge-code", code=f"M{code}")
    if group in block.m:
        raise LineError("two-of-a-group", one=f"M{block.m[group]}", two=f"M{code}")
    block.m[group] = code


def _sort_other(letter: str, value: float, block: Block, line: Line) -> None:
    if letter not in LETTERS:
        raise LineError("unknown-letter", letter=letter)
    if letter in block.words:
        raise LineError("letter-twice", letter=letter)
    if value < 0 and letter in "DFHLPST":
        raise LineError("negative-not-allowed", letter=letter)
    if letter in "ABC":
        line.habit("rotary-word", letter=letter)
        return
    block.words[letter] = value
