"""A large workshop against a small one, and several workshops side by side against one after the other.

Aims: 30 machines and 200 jobs in under 60 s and in memory that hardly grows; time rises no faster than machines and
pages do; two workshops at a time on two cores take little more than half as long.
"""

from __future__ import annotations

import os
import re
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from generator.course import demo_folder

SIZES = ((3, 3), (10, 66), (30, 200))
SIDE_BY_SIDE = 4


def write_workshop(folder: Path, machines: int, jobs: int) -> Path:
    """A workshop of copies of the demo's machines and jobs under new names."""
    demo = demo_folder()
    shutil.copytree(demo, folder)
    kinds = sorted((demo / "machines").glob("*.yml"))
    originals = {re.search(r"(?m)^machine: (\S+)", p.read_text())[1]: p for p in (demo / "jobs").glob("*.yml")}  # type: ignore[index]
    for number in range(machines - len(kinds)):
        kind = kinds[number % len(kinds)]
        text = kind.read_text().replace(f"id: {kind.stem}", f"id: {kind.stem}-{number}", 1)
        text = re.sub(r"(?m)^name: (.*)$", rf"name: \1 {number}", text, count=1)
        (folder / "machines" / f"{kind.stem}-{number}.yml").write_text(text)
    names = sorted(path.stem for path in (folder / "machines").glob("*.yml"))
    for number in range(jobs - len(originals)):
        machine = names[number % len(names)]
        text = originals[machine.split("-")[0]].read_text()
        text = re.sub(r"(?m)^machine: .*$", f"machine: {machine}", text)
        (folder / "jobs" / f"job-{number}.yml").write_text(text)
    return folder


def run(*arguments: str) -> tuple[float, float]:
    """Seconds and peak MiB of a command of ours; the peak is that of the largest process so far."""
    start = time.perf_counter()
    subprocess.run([sys.executable, "-m", "generator", *arguments], check=True, capture_output=True)
    return time.perf_counter() - start, resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024


def growth(folder: Path) -> None:
    """Builds workshops of rising size and prints each against the smallest."""
    first: tuple[float, float, int] | None = None
    for machines, jobs in SIZES:
        workshop = write_workshop(folder / f"w{machines}", machines, jobs)
        spent, peak = run("build", str(workshop), "-o", str(folder / f"s{machines}"))
        pages = sum(1 for _ in (folder / f"s{machines}").rglob("*.html"))
        size = sum(path.stat().st_size for path in (folder / f"s{machines}").rglob("*") if path.is_file()) / 1e6
        first = first or (spent, peak, pages)
        print(f"{machines} machines, {jobs} jobs, {pages} pages: {spent:.1f} s, {peak:.0f} MiB, site {size:.0f} MB; against the "
              f"smallest: time {spent / first[0]:.1f}, memory {peak / first[1]:.1f}, pages {pages / first[2]:.1f}")  # fmt: skip


def side_by_side(folder: Path) -> None:
    """Builds the same workshops one at a time and as many at a time as there are cores."""
    cores = os.cpu_count() or 1
    workshops = [str(write_workshop(folder / f"side{number}", 3, 3)) for number in range(SIDE_BY_SIDE)]
    alone, _ = run("build", "--jobs", "1", "-o", str(folder / "alone"), *workshops)
    together, _ = run("build", "--jobs", str(cores), "-o", str(folder / "together"), *workshops)
    print(
        f"{SIDE_BY_SIDE} workshops, {cores} at a time: {alone / together:.2f} times as fast as one at a time (aim near {cores})"
    )


def main() -> None:
    """Prints times and ratios."""
    with tempfile.TemporaryDirectory() as temporary:
        growth(Path(temporary))
        side_by_side(Path(temporary))


if __name__ == "__main__":
    main()
