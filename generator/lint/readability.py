"""How hard a text is to read: Flesch's ease and the grade made from it, with our own count of syllables.

Formulas: R. Flesch, "A new readability yardstick", Journal of Applied Psychology 32, 1948; J. P. Kincaid and
others, Navy Research Branch Report 8-75, 1975. Both as given by the US Department of Veterans Affairs (read).
"""

from __future__ import annotations

import re
from collections.abc import Collection

from msgspec import Struct

_WORD = re.compile(r"[A-Za-z][A-Za-z'’-]*|\d[\d.,]*")
_SENTENCE = re.compile(r"(?<=[.!?:])[\"')\]]*\s+|\n+")
_VOWELS = re.compile(r"[aeiouy]+")
# What the rules below get wrong in words this course uses.
_IRREGULAR = {
    "area": 3, "axes": 2, "baseline": 2, "before": 2, "being": 2, "client": 2, "create": 2, "dial": 2, "diameter":
    4, "doing": 2, "every": 2, "everybody": 4, "everyone": 3, "everything": 3, "everywhere": 3, "going": 2, "idea":
    3, "lifelong": 2, "lion": 2, "people": 2, "piece": 1, "plywood": 2, "poem": 2, "quiet": 2, "real": 1, "reality":
    4, "riot": 2, "safety": 2, "science": 2, "seeing": 2, "sideways": 2, "somebody": 3, "someone": 2, "something":
    2, "sometimes": 2, "somewhere": 2, "surely": 2, "therefore": 2, "trial": 2,
}  # fmt: skip


class Counts(Struct, frozen=True):
    """Words, sentences and syllables of a text, and its longest sentence in words."""

    words: int
    sentences: int
    syllables: int
    longest: int

    @property
    def ease(self) -> float:
        """Flesch's reading ease; about 60 to 70 is plain English, more is easier."""
        return flesch_ease(self.words, self.sentences, self.syllables)

    @property
    def grade(self) -> float:
        """The school grade of Kincaid's formula; values below 0 are normal for very short sentences."""
        return flesch_grade(self.words, self.sentences, self.syllables)

    @property
    def mean(self) -> float:
        """Words in a sentence, on average."""
        return self.words / self.sentences if self.sentences else 0.0


def flesch_ease(words: int, sentences: int, syllables: int) -> float:
    """206.835 - 1.015 W/S - 84.6 Y/W; 206.835 for an empty text."""
    if not words or not sentences:
        return 206.835
    return 206.835 - 1.015 * words / sentences - 84.6 * syllables / words


def flesch_grade(words: int, sentences: int, syllables: int) -> float:
    """0.39 W/S + 11.8 Y/W - 15.59; -15.59 for an empty text."""
    if not words or not sentences:
        return -15.59
    return 0.39 * words / sentences + 11.8 * syllables / words - 15.59


def count(text: str, taught: Collection[str] = ()) -> Counts:
    """Counts of plain text. Words that are `taught` count as two syllables at most: the reader has learnt them."""
    lengths = [len(words_of(sentence)) for sentence in sentences_of(text)]
    found = words_of(text)
    syllables = sum(min(2, syllables_of(word)) if word.lower() in taught else syllables_of(word) for word in found)
    return Counts(len(found), len(lengths), syllables, max(lengths, default=0))


def words_of(text: str) -> list[str]:
    """Words and numbers of a text, a hyphened word as one."""
    return _WORD.findall(text)


def sentences_of(text: str) -> list[str]:
    """Sentences, each with at least one word; a colon and a line's end also end one."""
    return [part for part in _SENTENCE.split(text) if part and words_of(part)]


def syllables_of(word: str) -> int:
    """How many syllables an English word is spoken with, by its letters; a number counts as one."""
    return sum(_plain(part) for part in re.split("[-'’]", word.lower()) if part) or 1


def _plain(word: str) -> int:
    stem = word.removesuffix("s") if not re.search(r"[scgxz]es$", word) else word
    if stem in _IRREGULAR:
        return _IRREGULAR[stem]
    return max(1, len(_VOWELS.findall(word)) - _silent(word) + _spoken_apart(word))


def _silent(word: str) -> bool:
    """Whether a last vowel is written and not spoken: the e of side, sides and moved, not of table, added or pieces."""
    if re.search(r"[^aeiouyl]le(s|d)?$|tre?s?$", word):
        return False
    return bool(re.search(r"[^aeiouy]e$|[^aeiouytd]ed$|([^aeiouyscgxz]|th)es$", word)) and not word.endswith(
        ("shes", "ches")
    )


def _spoken_apart(word: str) -> int:
    """Neighbouring vowels that are two syllables: radius, material, usual, vacuum, previous, reaction, trying."""
    return len(re.findall(r"iu|(?<![tscgxnl])i[ao]|(?<=[rvb])iou|ua[lt]|uum|eo(?!u)|react|[^aeiou]ying", word))
