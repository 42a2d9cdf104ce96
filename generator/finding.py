"""What every checker returns."""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum

from msgspec import Struct
from msgspec.structs import asdict


class Severity(StrEnum):
    """How much a finding matters: a stop forbids the cut, a warning asks, a note tells."""

    STOP = "stop"
    WARN = "warn"
    NOTE = "note"


class Finding(Struct, frozen=True, kw_only=True):
    """One finding; `line` is the first program line it concerns, `lines` are all of them.

    `limit` is the mark of the number from which on it is told, empty where no number of ours decides.
    """

    id: str
    severity: Severity
    says: str
    mend: str
    line: int | None = None
    lines: tuple[int, ...] = ()
    text: str = ""
    lesson: str = ""
    limit: str = ""

    def as_json(self) -> dict[str, object]:
        """Plain data for `--json`; keys are the field names."""
        return asdict(self) | {"severity": self.severity.value, "lines": list(self.lines)}


def gravest_first(findings: Iterable[Finding]) -> list[Finding]:
    """Stops before warnings before notes; those of one severity stay in their order."""
    order = list(Severity)
    return sorted(findings, key=lambda finding: order.index(finding.severity))


def worst(findings: tuple[Finding, ...]) -> Severity | None:
    """The gravest severity present, None where there is no finding."""
    present = {finding.severity for finding in findings}
    return next((severity for severity in Severity if severity in present), None)
