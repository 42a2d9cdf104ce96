"""Cross-checks of hazards, drills and countries: links that meet something, and drills nobody can get lost in."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from generator.content_names import fact_kinds, unknown_names
from generator.content_places import Placed
from generator.errors import Fault, near
from generator.expr import Template
from generator.expr.template import Hole
from generator.library import Library
from generator.model.learning import DEBRIEF, Drill, Hazard, Node

FEWEST_NODES = 3
FEWEST_LEVELS = 2
MOST_WORDS = 60
Placing = Mapping[tuple[str, str], Placed]
_Where = tuple[str | int, ...]


def learning_faults(library: Library, placed: Placing) -> Iterator[Fault]:
    """Every fault of the register, the drills and the countries, in no particular order."""
    for hazard in library.hazards.values():
        yield from _hazard(hazard, library, placed["hazards", hazard.id])
    for drill in library.drills.values():
        at = placed["drills", drill.id]
        yield from _drill_links(drill, library, at)
        yield from _drill_words(drill, at)
        yield from graph_faults(drill, at)
    for overlay in library.overlays.values():
        for index, row in enumerate(overlay.rows):
            at = placed["overlays", overlay.id]
            yield from _known(at, ("rows", index, "source"), "sources", row.source, library.sources)
            if isinstance(row.value, float) and not row.unit:
                yield at.fault(("rows", index, "value"), "a number stands here without a unit; give one")
    for question in library.questions.values():
        if question.hazard is not None:
            at = placed["questions", question.id]
            yield from _known(at, ("hazard",), "hazards", question.hazard, library.hazards)


def graph_faults(drill: Drill, at: Placed) -> Iterator[Fault]:
    """What makes a drill a maze: dead ends, circles, nodes nobody reaches, a moment with two best acts or none."""
    nodes = {node.id: node for node in drill.nodes}
    if len(drill.nodes) < FEWEST_NODES:
        yield at.fault(("nodes",), f"a drill needs {FEWEST_NODES} nodes, this one has {len(drill.nodes)}")
    if len(nodes) < len(drill.nodes):
        yield at.fault(("nodes",), "two nodes have the same id; give each its own")
    for index, node in enumerate(drill.nodes):
        yield from _node_faults(node, nodes, at, ("nodes", index))
    if not drill.nodes or any(choice.to not in {*nodes, DEBRIEF} for node in drill.nodes for choice in node.choices):
        return
    if circle := _circle(nodes):
        yield at.fault(("nodes",), f"'{circle}' leads back to itself; every way has to end in '{DEBRIEF}'")
        return
    start = drill.nodes[0].id
    for lost in sorted(set(nodes) - _reached(start, nodes)):
        yield at.fault(("nodes", list(nodes).index(lost)), f"no choice leads to '{lost}'; link it or take it out")
    if len(best_path(drill)) < FEWEST_LEVELS:
        yield at.fault(("nodes", 0), f"the best way through has one decision; it needs {FEWEST_LEVELS}")


def best_path(drill: Drill) -> list[str]:
    """The nodes of the best way through a drill whose graph is sound."""
    nodes = {node.id: node for node in drill.nodes}
    path, here = [], drill.nodes[0].id
    while here in nodes and here not in path:
        path.append(here)
        here = next((choice.to for choice in nodes[here].choices if choice.best), DEBRIEF)
    return path


def _node_faults(node: Node, nodes: Mapping[str, Node], at: Placed, where: _Where) -> Iterator[Fault]:
    best = sum(choice.best for choice in node.choices)
    if best != 1:
        yield at.fault((*where, "choices"), f"one choice is best, here {best} are")
    if len(node.choices) < 2:
        yield at.fault((*where, "choices"), "a moment with one choice is no decision; give it two or more")
    for index, choice in enumerate(node.choices):
        if choice.to not in {*nodes, DEBRIEF}:
            says = f"leads to '{choice.to}', which is no node of this drill{near(choice.to, [*nodes, DEBRIEF])}"
            yield at.fault((*where, "choices", index, "to"), says)


def _reached(start: str, nodes: Mapping[str, Node]) -> set[str]:
    found, pending = {start}, [start]
    while pending:
        for choice in nodes[pending.pop()].choices:
            if choice.to in nodes and choice.to not in found:
                found.add(choice.to)
                pending.append(choice.to)
    return found


def _circle(nodes: Mapping[str, Node]) -> str | None:
    """A node from which some way comes back to it; without one every way ends, since each node leads on."""
    for id_, node in nodes.items():
        following = {choice.to for choice in node.choices} & set(nodes)
        if any(id_ in _reached(next_, nodes) for next_ in following):
            return id_
    return None


def _hazard(hazard: Hazard, library: Library, at: Placed) -> Iterator[Fault]:
    items = {item.id: item for checklist in library.checklists.values() for point in checklist.points
             for item in point.items}  # fmt: skip
    yield from _all_known(at, "lessons", "lessons", hazard.lessons, library.lessons)
    yield from _all_known(at, "checks", "lines of the checklists", hazard.checks, items)
    yield from _all_known(at, "sources", "sources", hazard.sources, library.sources)
    if not hazard.controls:
        yield at.fault(("controls",), "a hazard without a control is a warning sign; say what makes it smaller")
    if not hazard.lessons:
        yield at.fault(("lessons",), "no lesson teaches it; link one")


def _drill_links(drill: Drill, library: Library, at: Placed) -> Iterator[Fault]:
    yield from _known(at, ("hazard",), "hazards", drill.hazard, library.hazards)
    yield from _all_known(at, "lessons", "lessons", drill.lessons, library.lessons)
    if not drill.lessons:
        yield at.fault(("lessons",), "a drill belongs to a lesson; link one")
    if drill.rule is not None:
        yield from _known(at, ("rule",), "rules", drill.rule, library.rules)
    for index, note in enumerate(drill.here):
        for key in ("rule", "unless"):
            if (id_ := getattr(note, key)) is not None:
                yield from _known(at, ("here", index, key), "rules", id_, library.rules)
        if (note.rule is None) == (note.unless is None):
            yield at.fault(("here", index), "a note needs one of 'rule' and 'unless'")


def _drill_words(drill: Drill, at: Placed) -> Iterator[Fault]:
    """Names the texts use, and moments too long to read in one."""
    texts: list[tuple[_Where, Template]] = [(("scene",), drill.scene), (("debrief",), drill.debrief)]
    texts += [(("solved", key), getattr(drill.solved, key)) for key in ("scene", "act", "because")]
    texts += [(("here", index, "says"), note.says) for index, note in enumerate(drill.here)]
    for n, node in enumerate(drill.nodes):
        texts.append((("nodes", n, "says"), node.says))
        for c, choice in enumerate(node.choices):
            where = ("nodes", n, "choices", c)
            texts += [((*where, "says"), choice.says), ((*where, "outcome"), choice.outcome)]
    for path, text in texts:
        for says in unknown_names(text, fact_kinds()):
            yield at.fault(path, says)
        if (count := _word_count(text)) > MOST_WORDS:
            yield at.fault(path, f"has {count} words; a moment takes {MOST_WORDS} at most")


def _word_count(text: Template) -> int:
    """Words of a text, a value counted as one."""
    said = " ".join("value" if isinstance(part, Hole) else part for part in text)
    return len(re.findall(r"[\w'-]+", said))


def _known(at: Placed, where: _Where, kind: str, id_: str, known: Mapping[str, object]) -> Iterator[Fault]:
    if id_ not in known:
        yield at.fault(where, f"there is no '{id_}' among the {kind}{near(id_, known)}")


def _all_known(at: Placed, key: str, kind: str, ids: tuple[str, ...], known: Mapping[str, object]) -> Iterator[Fault]:
    for index, id_ in enumerate(ids):
        yield from _known(at, (key, index), kind, id_, known)
