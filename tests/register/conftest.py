"""A workshop to keep a register in."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from generator.course import demo_folder


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """A copy of the demo workshop without a register."""
    folder = tmp_path / "shop"
    shutil.copytree(demo_folder(), folder)
    return folder


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Where a register may be."""
    return tmp_path / "register.sqlite"
