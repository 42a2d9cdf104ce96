"""Crashes: whatever happens between two records, those acknowledged are there and the chain is whole."""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from generator.errors import OnionskinError
from generator.register import file
from generator.register.book import Addition, Book
from generator.register.file import read_book, write
from generator.register.verify import findings
from tests.register.make import START, begin, filed, forgets, runs, signs


def power_cut(path: Path, step: Addition) -> Path:
    """A copy of the folder as it lay on disk in the middle of a commit: pages half changed, the journal still hot."""
    fresh = Path(tempfile.mkdtemp(dir=path.parent.parent)) / path.name
    with file._opened(path) as connection:
        connection.execute("PRAGMA cache_size = 1")
        connection.execute("BEGIN IMMEDIATE")
        file._insert(connection, file._book(connection), step)
        for number in range(60):
            connection.execute("INSERT INTO contents VALUES (?, ?)", (f"torn {number}", "x" * 3000))
        for name in (path.name, f"{path.name}-journal"):
            shutil.copy(path.with_name(name), fresh.with_name(name))
        connection.execute("ROLLBACK")
    return fresh


def fails_at_the_end(book: Book) -> Addition:
    raise KeyboardInterrupt


STEPS = st.lists(st.sampled_from(["add", "use", "forget", "interrupt", "power"]), min_size=1, max_size=14)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(steps=STEPS)
def test_any_interleaving_of_records_and_crashes_keeps_every_acknowledged_record(
    steps: list[str], tmp_path: Path
) -> None:
    """Interrupts, and power cuts in the middle of a commit, leave just what was acknowledged, in a whole chain."""
    path = Path(tempfile.mkdtemp(dir=tmp_path)) / "register.sqlite"
    acknowledged = [write(path, begin(), signs("First"))]
    for number, step in enumerate(steps):
        if step == "power":
            path = power_cut(path, signs(f"Lost {number}")(read_book(path)))
        elif step == "interrupt":
            with pytest.raises(KeyboardInterrupt):
                write(path, begin(), fails_at_the_end)
        else:
            decide = {"add": signs(f"Person {number}"), "use": runs("First", START), "forget": None}[step]
            names = [p.name for p in read_book(path).people.values() if p.name not in (None, "First", "keeper")]
            acknowledged += [write(path, begin(), decide or forgets(str(names[0])))] if decide or names else []
        book = read_book(path)
        assert [row.digest for row in book.rows[1:]] == [row.digest for row in acknowledged]
        assert findings(book) == ()
        assert not any("torn" in key for key in book.contents)


def test_the_power_cut_of_these_tests_is_a_real_one(path: Path) -> None:
    """The copied file differs from the last whole state and is mended only by its journal."""
    filed(path, signs("Ash"))
    whole = path.read_bytes()
    fresh = power_cut(path, signs("Birch")(read_book(path)))
    assert fresh.read_bytes() != whole
    alone = fresh.with_name("alone.sqlite")
    shutil.copy(fresh, alone)
    assert len(read_book(fresh).rows) == 2
    try:
        torn = findings(read_book(alone)) != () or len(read_book(alone).rows) != 2 or len(read_book(alone).contents) > 1
    except OnionskinError:
        torn = True
    assert torn
