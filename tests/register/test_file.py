"""The file of the register: nothing acknowledged is lost, nothing is half written."""

from __future__ import annotations

import os
import shutil
import signal
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from generator.errors import OnionskinError
from generator.register import file
from generator.register.file import read_book, write
from generator.register.verify import findings
from tests.register.make import begin, days, filed, forgets, grown, runs, signs, withdraws

ROOT = Path(__file__).parent.parent.parent


def writer(path: Path, person: str, count: int, *more: str) -> subprocess.Popen[str]:
    command = [sys.executable, "-m", "tests.register.writer", str(path), person, str(count), *more]
    return subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True)


def test_a_register_reads_back_as_it_was_written(path: Path) -> None:
    """What comes out of the file is what the same steps give in memory, but for the salts."""
    steps = [signs("Ash"), runs("Ash", days(3)), withdraws(3), forgets("Ash")]
    filed(path, *steps)
    book = read_book(path)
    assert findings(book) == ()
    assert [entry.kind for entry in book.entries.values()] == [entry.kind for entry in grown(*steps).entries.values()]
    assert book.begin is not None
    assert book.begin.workshop == "Shed"


def test_there_is_no_register_before_the_first_record(tmp_path: Path, path: Path) -> None:
    """Reading makes no file, and a file of no length is none."""
    with pytest.raises(OnionskinError, match="there is no register yet"):
        read_book(path)
    assert list(tmp_path.iterdir()) == []
    path.touch()
    with pytest.raises(OnionskinError, match="there is no register yet"):
        read_book(path)


def test_what_is_not_a_register_is_refused_and_left_as_it_is(path: Path) -> None:
    """Other files and other databases are neither read nor written."""
    path.write_bytes(b"not a database at all, but long enough to look at" * 50)
    before = path.read_bytes()
    for attempt in (lambda: read_book(path), lambda: filed(path, signs("Ash"))):
        with pytest.raises(OnionskinError, match="not a register"):
            attempt()
    assert path.read_bytes() == before
    path.unlink()
    with closing(sqlite3.connect(path)) as other:
        other.execute("CREATE TABLE things (name TEXT)")
    with pytest.raises(OnionskinError, match="not a register"):
        filed(path, signs("Ash"))


def test_records_cannot_be_changed_or_deleted_by_a_plain_statement(path: Path) -> None:
    """A slip in a database tool is refused by the file itself."""
    filed(path, signs("Ash"))
    with closing(sqlite3.connect(path)) as tool:
        for statement in ("DELETE FROM records", "UPDATE records SET body = ''"):
            with pytest.raises(sqlite3.IntegrityError, match="only ever added"):
                tool.execute(statement)


def test_an_edit_of_the_file_is_found(path: Path) -> None:
    """Whoever takes the guards away and edits is found by the chain."""
    filed(path, signs("Ash"), signs("Birch"))
    with closing(sqlite3.connect(path)) as tool, tool:
        tool.execute("DROP TRIGGER records_hold")
        tool.execute("UPDATE records SET body = replace(body, 'solo', 'boss') WHERE number = 2")
    found = findings(read_book(path))
    assert (found[0].id, found[0].line) == ("record-broken", 2)
    filed(path, signs("Cedar"))
    assert findings(read_book(path))[0].line == 2


def test_an_older_copy_put_back_is_found_by_the_head(path: Path, tmp_path: Path) -> None:
    """A copy from before lacks what came after, and only the printed head tells."""
    filed(path, signs("Ash"))
    shutil.copy(path, tmp_path / "old.sqlite")
    filed(path, signs("Birch"))
    head = read_book(path).head
    shutil.copy(tmp_path / "old.sqlite", path)
    assert findings(read_book(path)) == ()
    assert [finding.id for finding in findings(read_book(path), head)] == ["head-lost"]


def test_a_forgotten_name_is_nowhere_in_the_file(path: Path, tmp_path: Path) -> None:
    """The bytes of name and salt are overwritten, not only unlinked; the sign-off and the reason stay."""
    filed(path, signs("Quercus Robur"), *(signs(f"Member {number}") for number in range(40)))
    person = next(p for p in read_book(path).people.values() if p.name == "Quercus Robur")
    assert b"Quercus Robur" in path.read_bytes()
    filed(path, forgets("quercus  robur"))
    left = b"".join(kept.read_bytes() for kept in tmp_path.iterdir())
    assert b"Quercus" not in left
    assert str(person.salt).encode() not in left
    book = read_book(path)
    assert findings(book) == ()
    assert b"left and asked for it" in left
    assert book.said(person.token) == f"(forgotten {person.token[:8]})"
    assert [entry.person for _, entry in book.sign_offs()].count(person.token) == 1


def test_the_same_text_is_the_same_person_and_a_forgotten_one_starts_anew(path: Path) -> None:
    """Capitals and spaces do not make another person; after a forgetting the same name does."""
    filed(path, signs("Ash"), signs("ASH ", machine="heron"), forgets("ash"), signs("Ash"))
    tokens = [entry.person for _, entry in read_book(path).sign_offs()]
    assert tokens[0] == tokens[1] != tokens[2]


@pytest.mark.parametrize(("step", "says"), [
    (signs("Ash"), "already says exactly this"),
    (signs("Keeper", day=days(1)), "nobody signs for themselves"),
    (runs("Oak", days(1)), "nobody in the register is called 'Oak'"),
    (withdraws(9), "there is no record 9"),
    (withdraws(1), "cannot be withdrawn"),
    (signs("A\x00sh"), "cannot stand for a person"),
    (signs("   "), "cannot stand for a person"),
    (signs("x" * 121), "cannot stand for a person"),
])  # fmt: skip
def test_what_is_refused_leaves_no_trace(step: Any, says: str, path: Path) -> None:
    """A refusal comes before anything is written."""
    filed(path, signs("Ash"))
    before = path.read_bytes()
    with pytest.raises(OnionskinError, match=says):
        filed(path, step)
    assert path.read_bytes() == before


def test_a_refusal_before_the_first_record_begins_no_register(path: Path) -> None:
    """A register begins with a record or not at all."""
    with pytest.raises(OnionskinError):
        filed(path, signs("Keeper"))
    with pytest.raises(OnionskinError, match="there is no register yet"):
        read_book(path)
    assert not path.exists()


def test_writers_at_the_same_time_all_get_their_records_in(path: Path) -> None:
    """Four processes that race from an empty folder lose nothing and share one chain."""
    racing = [writer(path, name, 12) for name in ("Ash", "Birch", "Cedar", "Elm")]
    said = [line.split() for process in racing for line in process.communicate(timeout=120)[0].splitlines()]
    book = read_book(path)
    assert [process.returncode for process in racing] == [0] * 4
    assert sorted(int(number) for number, _ in said) == list(range(2, 50))
    assert {int(number): digest for number, digest in said} == {row.number: row.digest for row in book.rows[1:]}
    assert findings(book) == ()


@pytest.mark.parametrize("after", [1, 3, 7])
def test_a_writer_killed_while_it_writes_loses_nothing_it_had_acknowledged(after: int, path: Path) -> None:
    """SIGKILL at any moment: every record it had named is there, and at most the one it was at."""
    process = writer(path, "Ash", 500)
    assert process.stdout is not None
    said = [process.stdout.readline().split() for _ in range(after)]
    process.send_signal(signal.SIGKILL)
    said += [line.split() for line in process.communicate()[0].splitlines() if len(line.split()) == 2]
    book = read_book(path)
    kept = {str(row.number): row.digest for row in book.rows}
    assert len(said) >= after
    assert all(kept[number] == digest for number, digest in said)
    assert len(book.rows) - 1 - len(said) in (0, 1)
    assert findings(book) == ()


def test_a_writer_killed_inside_its_transaction_leaves_nothing_and_blocks_nobody(path: Path) -> None:
    """Its lock goes with it, its record was never there."""
    process = writer(path, "Ash", 2, "hang")
    assert process.stdout is not None
    said = [process.stdout.readline().strip() for _ in range(3)]
    assert said[-1] == "inside"
    process.kill()
    process.communicate()
    filed(path, signs("Birch"))
    book = read_book(path)
    assert findings(book) == ()
    assert len(book.rows) == 4


def test_a_writer_that_waits_too_long_is_told_and_writes_nothing(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Somebody else's long transaction is a clear line and no half record."""
    filed(path, signs("Ash"))
    monkeypatch.setattr(file, "WAIT", 0.05)
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(OnionskinError, match="another program has been writing"):
            filed(path, signs("Birch"))
        assert len(read_book(path).rows) == 2
        other.execute("ROLLBACK")
    filed(path, signs("Birch"))


@pytest.mark.parametrize("room", [0, 1, 2, 3])
def test_a_full_disk_writes_nothing_and_says_so(room: int, path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With no page left the record is refused as a whole; with room again it goes in."""
    filed(path, *(signs(f"Person {number}") for number in range(3)))
    rows = read_book(path).rows
    pages = os.path.getsize(path) // 4096
    real = sqlite3.connect

    def small(*args: Any, **kwargs: Any) -> sqlite3.Connection:
        connection = real(*args, **kwargs)
        connection.execute(f"PRAGMA max_page_count = {pages + room}")
        return connection

    monkeypatch.setattr(sqlite3, "connect", small)
    written = 0

    def until_full() -> None:
        nonlocal written
        for number in range(200):
            write(path, begin(), signs(f"{'Late' * 20} {number}"))
            written += 1

    with pytest.raises(OnionskinError, match="the disk is full; nothing was written"):
        until_full()
    assert len(read_book(path).rows) == len(rows) + written
    assert findings(read_book(path)) == ()
    monkeypatch.setattr(sqlite3, "connect", real)
    filed(path, signs("After"))
    assert len(read_book(path).rows) == len(rows) + written + 1


def test_only_one_module_opens_the_file_and_none_reads_a_clock() -> None:
    """SQLite is spoken to in one place; days come in as arguments."""
    folder = ROOT / "generator" / "register"
    texts = {path.name: path.read_text(encoding="utf-8") for path in folder.glob("*.py")}
    assert [name for name, text in texts.items() if "sqlite3" in text] == ["file.py"]
    assert not [name for name, text in texts.items() if ".today()" in text or ".now(" in text or "import time" in text]
