"""Checks against facts: what is found, what has to be asked first, and the verdict. Knows no particular check."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Literal

from msgspec import Struct

from generator.expr import Scope, Template, evaluate
from generator.finding import Finding, Severity
from generator.model.check import Check, NotChecked

Verdict = Literal["pass", "ask", "stop", "wrong-kind"]
Say = Callable[[Template, Scope], str]
_ORDER = {severity: place for place, severity in enumerate(Severity)}


class Asked(Struct, frozen=True, kw_only=True):
    """A fact that is not known, and the titles of the checks that hang on it."""

    fact: str
    checks: tuple[str, ...]


class Judged(Struct, frozen=True, kw_only=True):
    """Everything the checks say about one program; findings gravest first."""

    verdict: Verdict
    findings: tuple[Finding, ...]
    asked: tuple[Asked, ...]


def judge(checks: Iterable[Check], read: Sequence[Finding], facts: Scope, say: Say) -> Judged:
    """The verdict on a program: `read` are the reader's own findings, `facts` hold every name checks may use.

    `say` writes a text with its values. A check fires where its condition is true, and asks for what it needs
    unless its condition is surely false.
    """
    answers = [(check, evaluate(check.when, facts)) for check in checks]
    fired = [check for check, answer in answers if answer is True]
    if wrong := [check for check in fired if check.wrong_kind]:
        return Judged(verdict="wrong-kind", findings=(_finding(wrong[0], wrong[:1], facts, say),), asked=())
    kept = _uncovered(fired)
    covered = {id_ for check in fired for id_ in check.covers}
    found = [_finding(check, _same_group(check, fired), facts, say) for check in kept]
    found += [finding for finding in read if finding.id not in covered]
    findings = tuple(sorted(found, key=lambda finding: (_ORDER[finding.severity], finding.line or 0, finding.id)))
    asked = _asked([check for check, answer in answers if answer is not False and check.id not in covered], facts)
    return Judged(verdict=_verdict(findings, asked), findings=findings, asked=asked)


def unchecked(items: Iterable[NotChecked], facts: Scope) -> list[NotChecked]:
    """What is not looked at here; a condition that cannot be told lists its item."""
    return [item for item in items if item.when is None or evaluate(item.when, facts) is not False]


def _verdict(findings: Sequence[Finding], asked: Sequence[Asked]) -> Verdict:
    if any(finding.severity is Severity.STOP for finding in findings):
        return "stop"
    return "ask" if asked else "pass"


def _uncovered(fired: Sequence[Check]) -> list[Check]:
    """Without those another one speaks for, and of each group only the gravest, first in the order of the files."""
    covered = {id_ for check in fired for id_ in check.covers}
    groups: dict[str, Check] = {}
    for check in sorted(fired, key=lambda check: _ORDER[Severity(check.severity)]):
        if check.id not in covered:
            groups.setdefault(check.group or check.id, check)
    return list(groups.values())


def _same_group(check: Check, fired: Sequence[Check]) -> list[Check]:
    return [other for other in fired if other is check or (check.group is not None and other.group == check.group)]


def _finding(check: Check, group: Sequence[Check], facts: Scope, say: Say) -> Finding:
    lines = tuple(sorted({line for member in group for line in _lines(member, facts)}))
    own = _lines(check, facts)
    return Finding(
        id=check.id, severity=Severity(check.severity), says=say(check.says, facts), mend=say(check.mend, facts),
        line=own[0] if own else lines[0] if lines else None, lines=lines, lesson=check.lesson or "",
    )  # fmt: skip


def _lines(check: Check, facts: Scope) -> list[int]:
    held = facts[check.lines] if check.lines is not None else None
    if held is None or isinstance(held, str):
        return []
    return [int(line) for line in (held if isinstance(held, Sequence) else [held])]


def _asked(checks: Iterable[Check], facts: Scope) -> tuple[Asked, ...]:
    """The unknown facts behind conditions that are not surely false; a mere note is not worth a question."""
    titles: dict[str, dict[str, None]] = {}
    for check in checks:
        if check.severity != "note":
            for name in check.needs:
                if facts[name] is None:
                    titles.setdefault(name, {})[check.title] = None
    return tuple(Asked(fact=name, checks=tuple(found)) for name, found in titles.items())
