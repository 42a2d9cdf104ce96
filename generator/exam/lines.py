"""Lines of a program as an editor sees them: the words outside comments, and how each line moves the machine."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from msgspec import Struct

from generator.model.exam import Move

_COMMENT = re.compile(r"\([^)]*\)?|;.*")
_WORD = re.compile(r"([A-Z])\s*([-+]?(?:\d+\.?\d*|\.\d+))", re.IGNORECASE)
NOWHERE: frozenset[Move] = frozenset()


class Word(Struct, frozen=True):
    """A letter with its number, and where it stands in the line."""

    letter: str
    number: float
    start: int
    end: int


class Line(Struct, frozen=True):
    """A line with its number in the file, from 1."""

    number: int
    text: str
    moves: frozenset[Move] = NOWHERE

    @property
    def words(self) -> Sequence[Word]:
        """The words outside comments, in order."""
        bare = _COMMENT.sub(lambda match: " " * len(match.group()), self.text)
        return [Word(m.group(1).upper(), float(m.group(2)), m.start(), m.end()) for m in _WORD.finditer(bare)]

    def word(self, name: str) -> Word | None:
        """The first word with this letter, and with this number where `name` has one."""
        letter, number = name[0].upper(), name[1:]
        fitting = (word for word in self.words if word.letter == letter)
        return next((word for word in fitting if not number or word.number == float(number)), None)


def with_word(line: Line, word: Word, text: str) -> str:
    """The line's text with `text` in the word's place; a word taken out leaves no double space."""
    before, after = line.text[: word.start], line.text[word.end :]
    return f"{before}{text}{after}" if text else f"{before}{after.lstrip()}" if before.strip() else after.lstrip()


def numbered(texts: Iterable[str], moves: dict[int, frozenset[Move]]) -> list[Line]:
    """The lines of a file; `moves` says by number how a line moves."""
    return [Line(number, text, moves.get(number, NOWHERE)) for number, text in enumerate(texts, 1)]
