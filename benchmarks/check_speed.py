"""How fast the whole check is, from file to verdict, beside a bare pass over the file and beside a general parser; how
it grows, and what it holds.

Run: python benchmarks/check_speed.py [LINES]. The parser is pygcode (pip install '.[bench]'); without it its line is
left out, and said so. Figures of one run belong together; compare the ratios. Processor time
of this process is measured, since wall time depends on what else the machine does.
"""

from __future__ import annotations

import re
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from benchmarks._runs import seconds
from benchmarks.program_speed import mixed, straight
from generator.course import demo_folder
from generator.program_check import check_program

JOB = demo_folder() / "jobs" / "dibber-board.yml"
SMALL = "G21 G90\nM3 S16000\nG4 P5\nG0 Z20\nG0 X60 Y65\nG1 Z-1 F300\nG0 Z20\nM5\nM2\n"
PROGRAM = demo_folder() / "programs" / "dibber-board.nc"


def taken(work: Callable[[], object]) -> float:
    """Processor seconds of the quicker of two runs."""
    best = float("inf")
    for _ in range(2):
        began = time.process_time()
        work()
        best = min(best, time.process_time() - began)
    return best


def least_pass(text: str) -> None:
    """One pattern match and four numbers per line, nothing kept: what reading cannot be quicker than."""
    match = re.compile(r"G1 X(\S+) Y(\S+) Z(\S+) F(\S+)").fullmatch
    for line in text.split("\n"):
        if found := match(line):
            for value in found.groups():
                float(value)


def parser_rate(text: str, most: int = 5_000) -> float | None:
    """Lines a second that pygcode, a general parser of the language, merely parses; None where it is not installed."""
    try:
        from pygcode import Line
    except ImportError:
        return None
    lines = text.split("\n")[:most]
    return len(lines) / taken(lambda: [Line(line) for line in lines])


def whole_command(program: Path) -> float:
    """Seconds of `onionskin check` as a process of its own."""
    return seconds([sys.executable, "-m", "generator", "check", str(program), "--job", str(JOB), "--json"])


def _times(rate: float, parser: float | None) -> str:
    return "" if parser is None else f", {rate / parser:.0f} times the general parser"


def checking(path: Path, data: bytes) -> float:
    """Seconds of the whole check of a program."""
    path.write_bytes(data)
    return taken(lambda: check_program(path, JOB))


_HELD = """
import re, sys
from pathlib import Path
from generator.program_check import check_program
check_program(Path(sys.argv[1]), Path(sys.argv[2]))
print(re.search(r"VmHWM:\\s*(\\d+)", Path("/proc/self/status").read_text()).group(1))
"""


def peak(path: Path) -> int:
    """Memory (MiB) that a process of its own holds at most while it checks a file; Linux tells it."""
    told = subprocess.run(
        [sys.executable, "-c", _HELD, str(path), str(JOB)], capture_output=True, text=True, check=True
    )
    return int(told.stdout) // 1024


def main() -> None:
    """Speed, growth, memory and start-up."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000
    text = straight(count // 5).decode()
    floor = len(text.splitlines()) / taken(lambda: least_pass(text))
    print(f"{'floor (match and numbers)':40} {floor:>10,.0f} lines/s  1.00")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "program.nc"
        for name, make in (("straight cuts", straight), ("arcs and remarks", mixed)):
            parser = parser_rate(make(10_000).decode())
            beside = (
                "pygcode is not installed: pip install '.[bench]'" if parser is None else f"{parser:>10,.0f} lines/s"
            )
            print(f"{name + ', general parser alone':40} {beside}")
            quarter, half, whole = (checking(path, make(lines)) for lines in (count // 4, count // 2, count))
            rate = count / whole
            print(
                f"{name + ', whole check':40} {rate:>10,.0f} lines/s  {rate / floor:.2f} of the floor{_times(rate, parser)}"
            )
            # Differences, so that what every check takes before its first line does not count.
            growth = (whole - half) / (half - quarter) / 2
            print(f"{'  a line of the last half':40} {growth:>10.2f} of one of the second quarter")
            print(
                f"{'  peak memory':40} {peak(path):>10} MiB for {count:,} lines, a file of {path.stat().st_size >> 20} MiB"
            )
        bare = seconds([sys.executable, "-c", "pass"])
        small = path.with_name("small.nc")
        small.write_text(SMALL)
        for name, program in (("start-up, few lines (aim < 0.3 s)", small), ("a first job, a thousand lines", PROGRAM)):
            took = whole_command(program)
            print(f"{name:40} {took:>10.2f} s, {took / bare:.0f} bare Pythons")


if __name__ == "__main__":
    main()
