"""How long a whole command takes, as somebody with an installed program has it."""

from __future__ import annotations

import compileall
import statistics
import subprocess
import time
from pathlib import Path

import generator

ROUNDS = 7


def seconds(command: list[str]) -> float:
    """Middle of several whole-process runs."""
    # pip compiles what it installs; from a checkout, and where Python may not write, the first lap would be compiling
    compileall.compile_dir(Path(generator.__file__).parent, quiet=2)
    times = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        subprocess.run(command, check=True, capture_output=True)
        times.append(time.perf_counter() - start)
    return statistics.median(times)
