"""Small words shared by pages: how marks and severities are said."""

from __future__ import annotations

MARKS = {
    "read": "read in the source",
    "second-hand": "second-hand: the original was not seen",
    "from-memory": "from memory, not checked against a source",
    "common-practice": "common practice, no source",
    "our-proposal": "our own proposal",
    "worked-out": "worked out from other figures",
    "geometry": "plain geometry",
}
SEVERITIES = {"stop": "Stop", "warn": "Take care", "note": "Note"}
DEFERS = (
    "Teaching figures. Your machine's manual, your workshop's rules and your country's law come first. "
    "Where they differ, follow the stricter and ask."
)
# Kinds of cutter whose id is spelt otherwise than the word people read.
SPELT = {"upcut-spiral": "up-cut spiral", "downcut-spiral": "down-cut spiral"}
OUTSIDE = "outside what this estimate covers"


def kind_words(kind: str | None) -> str:
    """A kind of cutter, given by its id, as the course writes it."""
    return SPELT.get(kind or "", (kind or "not known").replace("-", " "))


def limit_words(mark: str) -> str:
    """Said behind a finding: where the number comes from that decides whether it is told; nothing where none does."""
    return f" (The limit for this: {MARKS[mark]}.)" if mark else ""
