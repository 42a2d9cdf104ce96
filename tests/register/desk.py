"""The command line at a copy of the demo workshop."""

from __future__ import annotations

import json
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from click.testing import CliRunner, Result

from generator.cli import main


def run(shop: Path, *words: str, code: int = 0, stdin: str | None = None) -> Result:
    result = CliRunner().invoke(main, ["register", *words, "-w", str(shop)], input=stdin)
    assert result.exit_code == code, (result.exit_code, result.stdout, result.stderr, result.exception)
    return result


def data(shop: Path, *words: str, code: int = 0) -> dict[str, Any]:
    """The one JSON document a command prints."""
    result = run(shop, *words, "--json", code=code)
    found: dict[str, Any] = json.loads(result.stdout)
    return found


def sign(shop: Path, person: str, *more: str, code: int = 0) -> dict[str, Any]:
    given = ["--machine", "wren", "--level", "solo", "--acts", "all", "--signed-by", "keeper"]
    return data(shop, "add", person, *given, *more, code=code)


def ago(days: int) -> str:
    return (date.today() - timedelta(days)).isoformat()
