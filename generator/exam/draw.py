"""The draw: which fault an exam has, by its seed alone, and only one that the check is seen to find."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

from msgspec import Struct

from generator.exam.lines import Line
from generator.exam.plant import Planted, applies, plant
from generator.expr import Value
from generator.finding import Finding
from generator.model.exam import FaultClass


class Drawn(Struct, frozen=True):
    """The planted fault, what the check finds in it, and which of that is the fault itself."""

    planted: Planted
    findings: tuple[Finding, ...]

    @property
    def answer(self) -> Finding:
        """The finding the fault was planted for."""
        return next(finding for finding in self.findings if finding.id == self.planted.fault.check)


def draw(
    faults: Iterable[FaultClass],
    lines: Sequence[Line],
    facts: Mapping[str, Value],
    seed: int,
    check: Callable[[Planted], Sequence[Finding]],
) -> Drawn | None:
    """The first fault in the seed's order that can be planted here and is found by `check`; None where none is.

    The same seed, program and facts give the same exam, whichever order the faults come in.
    """
    for planted in candidates(faults, lines, facts, seed):
        findings = tuple(check(planted))
        if any(finding.id == planted.fault.check for finding in findings):
            return Drawn(planted, findings)
    return None


def candidates(
    faults: Iterable[FaultClass], lines: Sequence[Line], facts: Mapping[str, Value], seed: int
) -> Iterator[Planted]:
    """Every fault that can be planted here, in the seed's order."""
    order = sorted((fault for fault in faults if applies(fault, facts)), key=lambda fault: fault.id)
    random.Random(seed).shuffle(order)
    for fault in order:
        planted = plant(fault, lines, facts, random.Random(f"{seed}:{fault.id}"))
        if planted is not None:
            yield planted
