"""How fast programs are read and turned into motion and facts, beside the least any Python reader could take.

Run: python benchmarks/program_speed.py [LINES]. All figures of one run belong together; compare the ratios, since
seconds depend on the machine and on what else it does. Each step is the best of three.
"""

from __future__ import annotations

import math
import re
import resource
import sys
import time
from collections.abc import Callable
from pathlib import Path

import yaml

from generator.program.dialect import dialect_from
from generator.program.facts import program_facts
from generator.program.read import read_program
from generator.program.setup import Setup

DIALECTS = Path(__file__).parent.parent / "content" / "dialects"
HEAD = "G21 G90 G17 G94 G54 G40 G49\nM3 S18000\nG0 Z5\nG0 X150 Y100\nG1 Z-1 F300\n"
TAIL = "G0 Z5\nM5\nM2\n"
SETUP = Setup(
    stock=(0.0, 0.0, 300.0, 200.0), stock_top=0.0, stock_bottom=-12.0, safe_height=5.0, cutter_diameter=6.0, flutes=2,
    rapid=5000.0, acceleration=400.0, feed_max_xy=4000.0, feed_max_z=1000.0,
)  # fmt: skip


def straight(count: int) -> bytes:
    """Short straight cuts with all words on every line."""
    lines = (
        f"G1 X{100 + 50 * math.cos(i / 900):.3f} Y{100 + 50 * math.sin(i / 900):.3f} Z{-1 - i / count:.3f} F1200\n"
        for i in range(count)
    )
    return (HEAD + "".join(lines) + TAIL).encode()


def mixed(count: int) -> bytes:
    """Arcs, comments, numbered lines and spindle words in turn."""
    group = "G2 X150 Y100 I-10 J0\n(a remark)\nN20 G1 X149. Y101. (along)\nG1X150Y100S18000\n"
    return (HEAD + group * (count // 4) + TAIL).encode()


def chunks(data: bytes) -> list[bytes]:
    """The file as it would be read, in pieces of 64 KiB."""
    return [data[at : at + 65536] for at in range(0, len(data), 65536)]


def best(work: Callable[[], object]) -> float:
    """Seconds of the quickest of three runs."""
    took = []
    for _ in range(3):
        began = time.perf_counter()
        work()
        took.append(time.perf_counter() - began)
    return min(took)


def floor_of(data: bytes) -> float:
    """One pattern match and four numbers per line, nothing kept: what reading cannot be quicker than."""
    match = re.compile(r"G1 X(\S+) Y(\S+) Z(\S+) F(\S+)").fullmatch

    def work() -> None:
        for line in data.decode().split("\n"):
            if found := match(line):
                for value in found.groups():
                    float(value)

    return best(work)


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 200_000
    dialect = dialect_from(yaml.safe_load((DIALECTS / "computer-run.yml").read_text(encoding="utf-8")))
    floor = floor_of(straight(count))
    print(f"{'floor (match and numbers)':32} {count / floor:>10,.0f} lines/s  1.00")
    for name, data in (("straight cuts, read", straight(count)), ("arcs and remarks, read", mixed(count))):
        pieces = chunks(data)
        took = best(lambda pieces=pieces: read_program(pieces, dialect))  # type: ignore[misc]
        print(f"{name:32} {count / took:>10,.0f} lines/s  {floor / took:.2f} of the floor")
    program = read_program(chunks(straight(count)), dialect)
    took = best(lambda: program_facts(program, SETUP))
    print(f"{'straight cuts, facts':32} {count / took:>10,.0f} moves/s  {floor / took:.2f} of the floor")
    print(f"peak memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MiB")


if __name__ == "__main__":
    main()
