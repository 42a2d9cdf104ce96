"""Several workshops built side by side, each as its own process with its own site."""

from __future__ import annotations

import multiprocessing
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

from generator.errors import OnionskinError
from generator.host import build_with_mkdocs
from generator.site import MARKER


def build_all(workshops: Sequence[Path], output: Path, jobs: int) -> list[Path]:
    """The sites of the workshops, each in a folder of its name under `output`, `jobs` at a time.

    All are tried. Raises OnionskinError with the faults of every workshop that could not be built.
    """
    targets = _targets(workshops, output)
    # Fresh processes, not copies of this one: the host keeps settings in globals, and Windows has no other kind.
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(min(jobs, len(workshops)), mp_context=context) as pool:
        faults = list(pool.map(_build, workshops, targets))
    if any(faults):
        raise OnionskinError("\n".join(line for line in faults if line))
    return targets


def _targets(workshops: Sequence[Path], output: Path) -> list[Path]:
    if (output / MARKER).is_file():
        raise OnionskinError(f"{output}: holds the site of one workshop; name another folder with -o")
    names = [workshop.resolve().name for workshop in workshops]
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        raise OnionskinError(f"{', '.join(twice)}: two workshops have a folder of this name; build them one by one")
    return [output / name for name in names]


def _build(workshop: Path, target: Path) -> str:
    """What went wrong, empty if nothing: an exception of ours would lose its faults on the way between processes."""
    try:
        build_with_mkdocs(workshop, target)
    except OnionskinError as error:
        return str(error)
    return ""
