"""Collecting findings while a program is read, without growing with the number of faulty lines."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress

from msgspec import Struct

from generator.finding import Finding, Severity
from generator.program.dialect import PECULIARITIES
from generator.program.messages import MESSAGES

NOTHING: Mapping[str, object] = {}
MOST_LINES_LISTED = 200
MOST_PER_ID = 40
LONGEST_SHOWN = 120


class LineError(Exception):
    """A line that is not carried out; caught where lines are read, never seen outside the package."""

    def __init__(self, id: str, **details: object) -> None:
        super().__init__(id)
        self.id = id
        self.details = details


class _Entry(Struct):
    severity: Severity
    says: str
    text: str
    lines: list[int] = []
    count: int = 0


def shown(text: str) -> str:
    """A program line as a person may see it: decoded, without control characters, shortened."""
    cut = text[: LONGEST_SHOWN + 1]
    with suppress(UnicodeError):
        cut = cut.encode("latin-1").decode("utf-8")
    plain = "".join(sign if sign.isprintable() else " " for sign in cut).strip()
    return plain[:LONGEST_SHOWN] + "…" if len(text) > LONGEST_SHOWN else plain


class Report:
    """Findings in the making; the same words for many lines become one finding with all its lines."""

    def __init__(self) -> None:
        self._entries: dict[tuple[str, str], _Entry] = {}
        self._per_id: dict[str, int] = {}

    def add(
        self, id: str, line: int, text: str, severity: Severity | None, details: Mapping[str, object] = NOTHING
    ) -> None:
        """Note one more line for message `id`; a `severity` overrules the message's own."""
        message = MESSAGES[id]
        says = message.says.format(**details) if details else message.says
        if id in PECULIARITIES and severity is Severity.STOP:
            says = f"Your controller refuses this: {says[0].lower()}{says[1:]}"
        entry = self._entries.get((id, says))
        if entry is None:
            says, entry = self._open(id, says, severity or message.severity, text)
        entry.count += 1
        if len(entry.lines) < MOST_LINES_LISTED and entry.lines[-1:] != [line]:
            entry.lines.append(line)

    def _open(self, id: str, says: str, severity: Severity, text: str) -> tuple[str, _Entry]:
        # Hostile input can word the same fault a million ways; past the limit they share the last entry.
        number = self._per_id.get(id, 0)
        if number >= MOST_PER_ID:
            says = next(reversed([said for found, said in self._entries if found == id]))
            return says, self._entries[(id, says)]
        self._per_id[id] = number + 1
        entry = self._entries[(id, says)] = _Entry(severity, says, shown(text))
        return says, entry

    def ids(self) -> set[str]:
        """The ids found so far."""
        return set(self._per_id)

    def findings(self) -> tuple[Finding, ...]:
        """All findings, by first line; line 0 entries concern the file as a whole and come first."""
        made = [self._finding(id, entry) for (id, _), entry in self._entries.items()]
        return tuple(sorted(made, key=lambda finding: finding.line or 0))

    @staticmethod
    def _finding(id: str, entry: _Entry) -> Finding:
        lines = tuple(line for line in entry.lines if line)
        more = f" ({entry.count} lines)" if entry.count > 1 and lines else ""
        return Finding(
            id=id,
            severity=entry.severity,
            says=entry.says + more,
            mend=MESSAGES[id].mend,
            line=lines[0] if lines else None,
            lines=lines,
            text=entry.text,
        )
