"""A writer to be run, raced against others and killed: says which records it was told are safe.

python -m tests.register.writer FILE PERSON COUNT [hang]: with `hang` it stops inside its last transaction.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

from generator.register.book import Addition, Book
from generator.register.file import write
from tests.register.make import begin, signs


def main(file: str, person: str, count: int, hang: bool) -> None:
    """Writes `count` records and prints the number of each once it is on disk."""
    for number in range(count):
        row = write(Path(file), begin(), signs(f"{person} {number}"))
        print(row.number, row.digest, flush=True)
    if hang:
        write(Path(file), begin(), _hanging)


def _hanging(book: Book) -> Addition:
    print("inside", flush=True)
    time.sleep(60)
    return signs("Never")(book)


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2], int(sys.argv[3]), "hang" in sys.argv[4:])
