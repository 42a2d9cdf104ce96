"""How fast the whole check is, from file to verdict, beside a bare pass over the file; how it grows, and what it holds.

Run: python benchmarks/check_speed.py [LINES]. Figures of one run belong together; compare the ratios. Processor time
of this process is measured, since wall time depends on what else the machine does.
"""

from __future__ import annotations

import re
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from benchmarks.program_speed import mixed, straight
from generator.course import demo_folder
from generator.program_check import check_program

JOB = demo_folder() / "jobs" / "dibber-board.yml"
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


def start_up() -> tuple[float, float]:
    """Processor seconds of a bare Python and of the command on a small program, the least of five each."""
    command = [sys.executable, "-m", "generator", "check", str(PROGRAM), "--job", str(JOB), "--json"]
    return _least([sys.executable, "-c", "pass"]), _least(command)


def _least(command: list[str]) -> float:
    best = float("inf")
    for _ in range(5):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run(command, stdout=subprocess.DEVNULL, check=True)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        best = min(best, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    return best


def main() -> None:
    """Speed, growth, memory and start-up."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 200_000
    text = straight(count).decode()
    floor = taken(lambda: least_pass(text))
    print(f"{'floor (match and numbers)':40} {count / floor:>10,.0f} lines/s  1.00")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "program.nc"
        for name, make in (("straight cuts", straight), ("arcs and remarks", mixed)):
            per_line = []
            for lines in (count // 10, count):
                path.write_bytes(make(lines))
                per_line.append(taken(lambda path=path: check_program(path, JOB)) / lines)  # type: ignore[misc]
            share = floor / count / per_line[1]
            print(f"{name + ', whole check':40} {1 / per_line[1]:>10,.0f} lines/s  {share:.2f} of the floor")
            print(f"{'  time per line, ten times the lines':40} {per_line[1] / per_line[0]:>10.2f} of a tenth's")
    print(f"peak memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MiB")
    bare, command = start_up()
    print(f"{'start-up, small program':40} {command:>10.2f} s of processor  {command / bare:.0f} bare Pythons")


if __name__ == "__main__":
    main()
