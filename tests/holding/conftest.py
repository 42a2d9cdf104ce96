"""The demo workshop, copied for each test."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.holding.make import copied


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy of the demo workshop to spoil."""
    return copied(tmp_path)
