"""A long fuzz of reader and check, for the bench rather than for every run of the tests.

Run: python -m tests.fuzz COUNT [FIRST]. Input number n is always the same, so a failure can be looked at by its number
alone: python -m tests.fuzz 1 n. Every input is read and turned into facts; every 8th is read and worked out many lines
and moves at once as well, with the same answer; every 500th goes through the whole check to its sheet.
"""

from __future__ import annotations

import random
import sys
import tempfile
import traceback
from collections import Counter
from pathlib import Path
from unittest.mock import patch

from generator.program.read import Program, read_program
from generator.program.state import Start
from tests.checks.test_fuzz import check
from tests.program.make import AT_ZERO, DIALECTS, dialect
from tests.program.test_columns import SETTLED, everything
from tests.program.test_laws import AROUND, survives

LETTERS = "GGGGMMXXXYYYZZZIJKRFSTPQLHDNOABCEUVWxyzg#%/"
NUMBERS = ["", "-", ".", "1e5", "[1+2]", "[", "#1", "SIN[30]", "[1/0]", "9" * 40, "1,5", "--3", "-0", "0", "5.", ".5"]
CODES = [
    "G0", "G1", "G2", "G3", "G91", "G90", "G20", "G21", "G17", "G18", "G19", "G28", "G53", "G55", "G80", "G81", "G83",
    "G92", "G92.1", "G93", "G94", "G10 L2 P1", "G41", "G40", "G43 H1", "G38.2", "M2", "M3", "M5", "M6", "M98 P1", "(a)",
    "(M3)", "(", ")", ";", "; LAYER", "%", "/", "#5=3", "O1 sub", "R2 Z-3 Q1", "F100", "S1000", "\x00", "\xe9", "\t",
]  # fmt: skip
SHAPES = [
    "G2 X150 Y100 I-10 J0", "G3X150Y100I-10J0", "X150 Y100 I-10", "G3 X150 Y100 Z-2 I.0 J5", "G2 X160 Y110 R10",
    "G0 X20 Y20", "G1 Z-4 F300", "X60", "Y60", "g01 x20 z-.5", "N10 G1 Y20 (along)", "G0 Z5", "M3 S12000", "T2 M6", "G4 P1",
]  # fmt: skip
ENDS = ["\n", "\n", "\n", "\r\n", "\r"]


def number(draw: random.Random) -> str:
    """A number as programs hold it, or what stands where one should."""
    if draw.random() < 0.15:
        return draw.choice(NUMBERS)
    return (
        f"{draw.uniform(-400, 400):.{draw.randrange(6)}f}" if draw.random() < 0.7 else str(draw.randrange(-9999, 99999))
    )


def line(draw: random.Random) -> str:
    """Words, codes and remarks in any order; mostly what a program could hold."""
    kind = draw.random()
    if kind < 0.3:
        return draw.choice(SHAPES)
    if kind < 0.6:
        axes = draw.sample("XYZ", draw.randrange(1, 4))
        return draw.choice(["G0", "G1", "", "G1 "]) + draw.choice(["", " "]).join(axis + number(draw) for axis in axes)
    words = [
        draw.choice(CODES) if draw.random() < 0.5 else draw.choice(LETTERS) + number(draw)
        for _ in range(draw.randrange(6))
    ]
    return draw.choice(["", " ", "  "]).join(words)


def drawn(index: int) -> bytes:
    """Input number `index`: rubbish now and then, else lines."""
    draw = random.Random(index)
    if index % 20 == 0:
        return draw.randbytes(draw.randrange(200))
    head = SETTLED if draw.random() < 0.5 else ""
    text = head + "".join(line(draw) + "\n" for _ in range(draw.randrange(10)))
    data = text.replace("\n", draw.choice(ENDS)).encode()
    if draw.random() < 0.1 and data:
        at = draw.randrange(len(data))
        data = data[:at] + draw.randbytes(3) + data[at + draw.randrange(20) :]
    return data


def at_once(data: bytes, name: str, start: Start) -> Program:
    """The program read many lines at once, as a long one is."""
    with patch("generator.program.read.MANY_LINES", 0), patch("generator.program.read.FEWEST_LINES", 1):
        return read_program([data], dialect(name), start)


def try_input(index: int, folder: Path) -> None:
    """Everything this input is put through; raises whatever goes wrong."""
    data, name, start = drawn(index), DIALECTS[index % len(DIALECTS)], (Start(), AT_ZERO)[index // 3 % 2]
    survives(data, name, start)
    if index % 8 == 1:
        one = everything(read_program([data], dialect(name), start), AROUND)
        with patch("generator.program.motion.MANY_MOVES", 1), patch("generator.program.watch.FEWEST_CUTS", 1):
            assert everything(at_once(data, name, start), AROUND) == one
    if index % 500 == 2:
        check(data, folder)


def main() -> None:
    """Try inputs, tell the failures as they come, and how many there were."""
    count, first = int(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 0
    failures: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as folder:
        for index in range(first, first + count):
            try:
                try_input(index, Path(folder))
            except Exception as error:
                failures[type(error).__name__] += 1
                print(f"input {index}: {drawn(index)!r}\n{traceback.format_exc()}", flush=True)
            if (index + 1) % 10_000 == 0:
                print(f"{index + 1 - first} inputs, {failures.total()} failures", flush=True)
    print(f"{count} inputs, {failures.total()} failures {dict(failures)}")
    sys.exit(1 if failures else 0)


if __name__ == "__main__":
    main()
