"""The workshop's own rules as lines of lists and sheets: word for word, each at the gate it was given."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from msgspec import Struct

from generator.load_workshop import WorkshopFolder
from generator.model.workshop import Gate, LocalRule
from generator.pages.stop_map import OWN

MOMENTS: dict[Gate, str] = {
    "before-set-up": "Before you set up",
    "before-start": "Before you start",
    "while-cutting": "While it cuts",
    "after-cutting": "After the cut",
}
# Nobody ticks a list beside a turning cutter: this gate is answered before it turns, and says what it is about.
PROMISED: Gate = "while-cutting"


class RuleLine(Struct, frozen=True):
    """A rule with the machines it is for, none meaning all, and words that say so; `id` is unique in the workshop."""

    id: str
    rule: LocalRule
    machines: tuple[str, ...]
    lead: str

    @property
    def moment(self) -> str:
        """The moment of its gate as a lead-in, empty where it has none."""
        return f"{MOMENTS[self.rule.gate]}: " if self.rule.gate else ""

    @property
    def promise(self) -> str:
        """The lead-in it needs at its own gate."""
        return self.moment if self.rule.gate == PROMISED else ""

    @property
    def shown_for(self) -> str:
        """Ids of the machines picked for which it is seen, empty for all. It is seen beside one's own machine too,
        since nobody has told which of the workshop's machines that is."""
        return " ".join((*self.machines, OWN)) if self.machines else ""

    def is_for(self, machine: str) -> bool:
        """Whether a machine of the workshop has to follow it."""
        return not self.machines or machine in self.machines


def rules_of(home: WorkshopFolder) -> list[RuleLine]:
    """Every rule of the workshop, then those that stand in the files of its machines."""
    return [*_of_workshop(home), *_of_machines(home)]


def _of_workshop(home: WorkshopFolder) -> Iterator[RuleLine]:
    for rule in home.workshop.rules:
        names = ", ".join(home.machines[id_].name for id_ in rule.machines or ())
        yield RuleLine(rule.id, rule, rule.machines or (), f"On {names}: " if names else "")


def _of_machines(home: WorkshopFolder) -> Iterator[RuleLine]:
    for machine in home.machines.values():
        for rule in machine.local_rules or ():
            yield RuleLine(f"{machine.id}:{rule.id}", rule, (machine.id,), f"On {machine.name}: ")


def rules_for(home: WorkshopFolder, machine: str) -> list[RuleLine]:
    """The rules one machine has to follow."""
    return [line for line in rules_of(home) if line.is_for(machine)]


def asked_at(rules: Iterable[RuleLine], gates: Sequence[Gate]) -> list[RuleLine]:
    """Those that must be answered with yes at one of these gates."""
    return [line for line in rules if line.rule.gate in gates]


def not_asked_at(rules: Iterable[RuleLine], gates: Sequence[Gate]) -> list[RuleLine]:
    """The rest, which a list with only these gates states before its own words: no rule is ever left out."""
    return [line for line in rules if line.rule.gate not in gates]


def block_for(rules: Sequence[RuleLine]) -> str:
    """Ids of the machines for which a block of these rules has anything, empty for all."""
    ids = dict.fromkeys(id_ for line in rules for id_ in line.machines)
    return "" if any(not line.machines for line in rules) else " ".join((*ids, OWN))
