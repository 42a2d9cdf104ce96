"""Small checked getters for figure content; they gather faults and give a harmless value in place of a wrong one."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence

from generator.errors import Fault, InputFaults, near
from generator.expr import ExprError, Kind, Node, Template, kind_of, parse, parse_template
from generator.expr.nodes import Num
from generator.expr.template import Hole

Where = tuple[str | int, ...]
At = Callable[[Where], tuple[int, int]]
Kinds = Mapping[str, Kind]


class Reader:
    """Reads one mapping of one file; `at` gives line and column of a path into it, `faults` is what was wrong."""

    def __init__(self, file: str, at: At) -> None:
        self.file, self._at = file, at
        self.faults: list[Fault] = []

    def fault(self, where: Where, says: str) -> None:
        self.faults.append(Fault(self.file, *self._at(where), says))

    def finish(self) -> None:
        """Raises InputFaults where anything was wrong."""
        if self.faults:
            raise InputFaults(self.faults)

    def mapping(
        self, value: object, where: Where, needs: Collection[str], may: Collection[str] = ()
    ) -> dict[str, object]:
        """The mapping, with faults for keys that are missing or not known."""
        if not isinstance(value, Mapping):
            self.fault(where, f"a mapping with {', '.join(needs)} is wanted here")
            return {}
        for key in value:
            if key not in needs and key not in may:
                self.fault((*where, key), f"'{key}' is not known here{near(str(key), (*needs, *may))}")
        missing = [name for name in needs if name not in value]
        if missing:
            self.fault(where, f"missing: {', '.join(missing)}")
        return dict(value)

    def sequence(self, value: object, where: Where, what: str) -> Sequence[object]:
        if isinstance(value, Sequence) and not isinstance(value, str):
            return value
        self.fault(where, f"a list of {what} is wanted here")
        return ()

    def node(self, value: object, where: Where, kinds: Kinds, wanted: Kind = "number") -> Node:
        """A number or an expression of the wanted kind."""
        found = self.any_node(value, where, kinds)
        if found is None:
            return Num(0.0)
        if found[1] != wanted:
            self.fault(where, f"'{value}' gives a {found[1]} where a {wanted} is wanted")
        return found[0]

    def any_node(self, value: object, where: Where, kinds: Kinds) -> tuple[Node, Kind] | None:
        """An expression and its kind; None after a fault."""
        if not isinstance(value, str | int | float):
            self.fault(where, "a number or an expression is wanted here")
            return None
        try:
            node = parse(str(value).lower() if isinstance(value, bool) else str(value))
            return node, kind_of(node, kinds)
        except ExprError as wrong:
            self.fault(where, f"in '{value}': {wrong}")
            return None

    def text(self, value: object, where: Where, kinds: Kinds) -> Template:
        """A text with `{{ values }}`, each of whose names is known."""
        if not isinstance(value, str):
            self.fault(where, "a text is wanted here")
            return ()
        try:
            template = parse_template(value)
            for part in template:
                if isinstance(part, Hole):
                    kind_of(part.node, kinds)
        except ExprError as wrong:
            self.fault(where, f"in '{value}': {wrong}")
            return ()
        return template

    def word(self, value: object, where: Where, known: Collection[str]) -> str:
        """One of the known words."""
        if value in known:
            return str(value)
        self.fault(where, f"'{value}' is not one of {', '.join(known)}{near(str(value), known)}")
        return next(iter(known), "")

    def name(self, value: object, where: Where) -> str:
        """A plain name that expressions can use."""
        if isinstance(value, str) and value.isidentifier():
            return value
        self.fault(where, f"'{value}' is not a name; use small letters, digits and underscores")
        return "unnamed"

    def size(self, value: object, where: Where, most: float) -> float:
        """A plain number above zero."""
        if isinstance(value, int | float) and not isinstance(value, bool) and 0 < value <= most:
            return float(value)
        self.fault(where, f"a number above 0 and at most {most:g} is wanted here, found '{value}'")
        return 1.0
