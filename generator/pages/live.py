"""Values and conditions that follow the machine: set for one machine at build, kept for the browser."""

from __future__ import annotations

from collections.abc import Mapping

from markupsafe import Markup

from generator.course import Course
from generator.expr import Node, Template, Value, evaluate, to_js_function
from generator.expr.substitute import substitute
from generator.expr.template import Hole, show_value
from generator.facts import natural_unit

States = {True: "yes", False: "no", None: "unknown"}
NO_LOCALS: Mapping[str, Node] = {}


class Live:
    """Collects what one page needs in the browser: values (equal ones share an id), calculators and figures."""

    def __init__(self, course: Course) -> None:
        self.course = course
        self.facts = course.view.facts
        self.calculators: set[str] = set()
        self.figures: set[str] = set()
        self._ids: dict[tuple[str, str | None, int | None], str] = {}

    def value(self, hole: Hole, local: Mapping[str, Node] = NO_LOCALS) -> Markup:
        """The hole's value for the default machine, marked so that the browser can follow."""
        node = substitute(hole.node, local)
        unit = hole.unit or natural_unit(node)
        id_ = self.id_of(node, unit, hole.digits)
        found = evaluate(node, self.facts)
        look = "os-value os-unknown" if found is None else "os-value"
        return Markup('<span class="{}" data-value="{}">{}</span>').format(
            look, id_, show_value(found, unit, hole.digits)
        )

    def id_of(self, node: Node, unit: str | None, digits: int | None) -> str:
        """The id under which the browser finds this expression."""
        key = (to_js_function(node), unit, digits)
        return self._ids.setdefault(key, f"v{len(self._ids) + 1}")

    def now(self, node: Node, local: Mapping[str, Node] = NO_LOCALS) -> Value:
        """The value for the default machine."""
        return evaluate(substitute(node, local), self.facts)

    def words(self, template: Template, local: Mapping[str, Node] = NO_LOCALS) -> Markup:
        """A text with live values, escaped."""
        return Markup("").join(Markup.escape(p) if isinstance(p, str) else self.value(p, local) for p in template)

    def state(self, rule: str) -> str:
        """Whether a rule holds for the default machine: yes, no or unknown."""
        truth = evaluate(self.course.library.rules[rule].when, self.facts)
        return States[truth]  # type: ignore[index]

    def emitted(self) -> list[tuple[str, str, str | None, int | None]]:
        """Every value: its id, its function, its unit and its digits."""
        return [(id_, js, unit, digits) for (js, unit, digits), id_ in self._ids.items()]


def shows(state: str, unless: bool) -> bool:
    """Whether a variant in this state is seen; unknown shows both sides."""
    return state == "unknown" or (state == "no") == unless
