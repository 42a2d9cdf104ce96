"""The SQLite file of a register: the only place that opens it.

A rollback journal, not a write-ahead log: the register is then one file that can be copied and lie on a
shared drive (https://www.sqlite.org/wal.html: all users of a WAL must be on one computer), a name that was
forgotten does not live on in a second file, and a club writes a few records a day, so nothing is lost in
speed. `synchronous` is EXTRA: with a rollback journal FULL may undo a commit when power fails just after it
(https://www.sqlite.org/pragma.html#pragma_synchronous), and a record once acknowledged must stay.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from generator.errors import OnionskinError
from generator.register.book import Addition, Book
from generator.register.chain import Row, next_row
from generator.register.entries import body_of
from generator.register.people import Person

NAME = "register.sqlite"
WAIT = 20.0  # seconds another writer is waited for
APPLICATION, VERSION = 0x4F534B52, 1  # SQLite's own marks of whose file it is, and of its format

_TABLES = """
CREATE TABLE records (number INTEGER PRIMARY KEY, before TEXT NOT NULL, body TEXT NOT NULL, digest TEXT NOT NULL);
CREATE TABLE people (token TEXT PRIMARY KEY, salt TEXT, name TEXT);
CREATE TABLE contents (digest TEXT PRIMARY KEY, text TEXT NOT NULL);
CREATE TRIGGER records_stay BEFORE DELETE ON records BEGIN SELECT RAISE(ABORT, 'records are only ever added'); END;
CREATE TRIGGER records_hold BEFORE UPDATE ON records BEGIN SELECT RAISE(ABORT, 'records are only ever added'); END;
"""


def register_path(workshop: Path) -> Path:
    """Where a workshop's register lies."""
    return workshop / NAME


def read_book(path: Path) -> Book:
    """The register at `path` as it is now. Raises OnionskinError where there is none or it cannot be read."""
    if not path.is_file() or not path.stat().st_size:
        raise OnionskinError(f"{path}: there is no register yet; 'onionskin register add' begins one")
    with _opened(path) as connection:
        connection.execute("BEGIN")
        return _book(connection)


def write(path: Path, first: Addition, decide: Callable[[Book], Addition]) -> Row:
    """Adds what `decide` makes of the register as it is under the lock; gives the new record once it is on disk.

    A register that is not there yet begins with `first`. Whatever goes wrong, nothing of it is kept.
    """
    if not path.is_file():
        decide(Book().after(first))  # so that a refusal leaves no empty file behind
    with _opened(path) as connection:
        connection.execute("BEGIN IMMEDIATE")
        if _is_new(connection):
            _begin(connection)
            _insert(connection, Book(), first)
        book = _book(connection)
        row = _insert(connection, book, decide(book))
        connection.execute("COMMIT")
        return row


@contextmanager
def _opened(path: Path) -> Iterator[sqlite3.Connection]:
    try:
        with closing(sqlite3.connect(path, timeout=WAIT, isolation_level=None)) as connection:
            connection.execute("PRAGMA journal_mode = DELETE")
            connection.execute("PRAGMA synchronous = EXTRA")
            connection.execute("PRAGMA secure_delete = ON")
            yield connection
    except sqlite3.Error as error:
        raise OnionskinError(f"{path}: {_said(error)}") from None


def _said(error: sqlite3.Error) -> str:
    text = str(error)
    if "locked" in text or "busy" in text:
        return f"another program has been writing to it for {WAIT:.0f} s; nothing was written, try again"
    if "full" in text:
        return "the disk is full; nothing was written, make room and try again"
    if "readonly" in text or "unable to open" in text:
        return "it cannot be opened for writing here; nothing was written, ask for the right to write in this folder"
    if "not a database" in text or "malformed" in text or "no such" in text:
        return f"this is not a register, or it is damaged ({text}); keep it as it is and fetch the last good copy"
    return f"{text}; nothing was written"


def _is_new(connection: sqlite3.Connection) -> bool:
    return bool(connection.execute("SELECT count(*) = 0 FROM sqlite_master").fetchone()[0])


def _begin(connection: sqlite3.Connection) -> None:
    for statement in _TABLES.strip().splitlines():
        connection.execute(statement)
    connection.execute(f"PRAGMA application_id = {APPLICATION}")
    connection.execute(f"PRAGMA user_version = {VERSION}")


def _book(connection: sqlite3.Connection) -> Book:
    found = connection.execute("PRAGMA user_version").fetchone()[0]
    if found != VERSION:
        raise sqlite3.DatabaseError(f"no such format: {found}, wanted {VERSION}")
    rows = [Row(*row) for row in connection.execute("SELECT number, before, body, digest FROM records ORDER BY number")]
    people = {row[0]: Person(*row) for row in connection.execute("SELECT token, salt, name FROM people")}
    return Book(rows, people, dict(connection.execute("SELECT digest, text FROM contents")))


def _insert(connection: sqlite3.Connection, book: Book, addition: Addition) -> Row:
    row = next_row(book.rows, body_of(addition.entry))
    connection.executemany("INSERT OR IGNORE INTO people VALUES (?, ?, ?)",
                           [(person.token, person.salt, person.name) for person in addition.people])  # fmt: skip
    connection.executemany("INSERT OR IGNORE INTO contents VALUES (?, ?)", addition.contents.items())
    connection.execute("INSERT INTO records VALUES (?, ?, ?, ?)", (row.number, row.before, row.body, row.digest))
    if addition.forget:
        connection.execute("UPDATE people SET salt = NULL, name = NULL WHERE token = ?", (addition.forget,))
    return row
