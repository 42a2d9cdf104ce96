"""Every benchmark in one run; each prints ratios, since seconds belong to one machine."""

from __future__ import annotations

import runpy
from pathlib import Path


def main() -> None:
    """Runs each module of this folder."""
    for path in sorted(Path(__file__).parent.glob("[a-z]*.py")):
        print(f"\n== {path.stem.replace('_', ' ')}")
        runpy.run_path(str(path), run_name="__main__")


if __name__ == "__main__":
    main()
