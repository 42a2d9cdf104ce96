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
Fired = tuple[Check, "Sight"]
_ORDER = {severity: place for place, severity in enumerate(Severity)}


class Asked(Struct, frozen=True, kw_only=True):
    """A fact that is not known, and the titles of the checks that hang on it; `whose` as in what they saw."""

    fact: str
    checks: tuple[str, ...]
    whose: str = ""


class Sight(Struct, frozen=True):
    """What a check sees: the facts, and whose they are where they are of one cutter among several."""

    facts: Scope
    whose: str = ""


class Judged(Struct, frozen=True, kw_only=True):
    """Everything the checks say about one program; findings gravest first."""

    verdict: Verdict
    findings: tuple[Finding, ...]
    asked: tuple[Asked, ...]


def judge(seen: Iterable[tuple[Check, Sight]], read: Sequence[Finding], say: Say) -> Judged:
    """The verdict on a program: each check with what it sees, every name it may use; `read` are the reader's findings.

    `say` writes a text with its values. A check fires where its condition is true, and asks for what it needs
    unless its condition is surely false.
    """
    answers = [(check, sight, evaluate(check.when, sight.facts)) for check, sight in seen]
    fired = [(check, sight) for check, sight, answer in answers if answer is True]
    if wrong := [(check, sight) for check, sight in fired if check.wrong_kind]:
        return Judged(verdict="wrong-kind", findings=(_finding(*wrong[0], wrong[:1], say),), asked=())
    covered = {id_ for check, _ in fired for id_ in check.covers}
    found = [_finding(check, sight, _same_group(check, sight, fired), say) for check, sight in _uncovered(fired)]
    found += [finding for finding in read if finding.id not in covered]
    findings = tuple(sorted(found, key=lambda finding: (_ORDER[finding.severity], finding.line or 0, finding.id)))
    asked = _asked([(c, sight) for c, sight, answer in answers if answer is not False and c.id not in covered])
    return Judged(verdict=_verdict(findings, asked), findings=findings, asked=asked)


def unchecked(items: Iterable[NotChecked], facts: Scope) -> list[NotChecked]:
    """What is not looked at here; a condition that cannot be told lists its item."""
    return [item for item in items if item.when is None or evaluate(item.when, facts) is not False]


def _verdict(findings: Sequence[Finding], asked: Sequence[Asked]) -> Verdict:
    if any(finding.severity is Severity.STOP for finding in findings):
        return "stop"
    return "ask" if asked else "pass"


def _uncovered(fired: Sequence[Fired]) -> list[Fired]:
    """Without those another one speaks for, and of each group only the gravest, first in the order of the files."""
    covered = {id_ for check, _ in fired for id_ in check.covers}
    groups: dict[tuple[str, str], Fired] = {}
    for check, sight in sorted(fired, key=lambda pair: _ORDER[Severity(pair[0].severity)]):
        if check.id not in covered:
            groups.setdefault((check.group or check.id, sight.whose), (check, sight))
    return list(groups.values())


def _same_group(check: Check, sight: Sight, fired: Sequence[Fired]) -> list[Fired]:
    alike = [pair for pair in fired if pair[1] is sight]
    return [pair for pair in alike if pair[0] is check or (check.group is not None and pair[0].group == check.group)]


def _finding(check: Check, sight: Sight, group: Sequence[Fired], say: Say) -> Finding:
    lines = tuple(sorted({line for member, _ in group for line in _lines(member, sight.facts)}))
    own, whose = _lines(check, sight.facts), f"{sight.whose}: " if sight.whose else ""
    return Finding(
        id=check.id, severity=Severity(check.severity), says=whose + say(check.says, sight.facts),
        mend=say(check.mend, sight.facts),
        line=own[0] if own else lines[0] if lines else None, lines=lines, lesson=check.lesson or "",
        limit=check.limit or "",
    )  # fmt: skip


def _lines(check: Check, facts: Scope) -> list[int]:
    held = facts[check.lines] if check.lines is not None else None
    if held is None or isinstance(held, str):
        return []
    return [int(line) for line in (held if isinstance(held, Sequence) else [held])]


def _asked(seen: Iterable[Fired]) -> tuple[Asked, ...]:
    """The unknown facts behind conditions that are not surely false; a mere note is not worth a question."""
    titles: dict[tuple[str, str], dict[str, None]] = {}
    for check, sight in seen:
        if check.severity != "note":
            for name in check.needs:
                if sight.facts[name] is None:
                    whose = sight.whose if name.startswith("cutter.") else ""
                    titles.setdefault((name, whose), {})[check.title] = None
    return tuple(Asked(fact=name, whose=whose, checks=tuple(found)) for (name, whose), found in titles.items())
