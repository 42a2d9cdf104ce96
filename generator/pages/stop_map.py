"""The stop map as a block for any sheet: which control stops what, with every untested square marked."""

from __future__ import annotations

from typing import Protocol

from markupsafe import Markup

from generator.course import Course
from generator.model.machine import Machine
from generator.pages.page import render
from generator.stop_map import EFFECTS, UNKNOWN, StopMap, stop_map_of, unknown_map

# The machine of the page "My machine": whatever its owner says of it, nobody has told its controls.
OWN = "mine"


class HasMachine(Protocol):
    """A view of a machine, alone or with a job."""

    @property
    def machine(self) -> Machine:
        """The machine."""


def stop_map_block(view: HasMachine) -> Markup:
    """The grid of one machine: controls down, what they stop across, unknown squares marked."""
    return _block(stop_map_of(view.machine), view.machine.id, view.machine.name)


def stop_map_blocks(course: Course) -> Markup:
    """The grids of all machines and of one's own; the one picked is shown."""
    return for_each(course, {id_: _block(found, id_, name) for id_, (name, found) in stop_maps(course).items()})


def stop_maps(course: Course) -> dict[str, tuple[str, StopMap]]:
    """Name and map of each machine by its id, one's own last."""
    found = {id_: (view.machine.name, stop_map_of(view.machine)) for id_, view in course.views.items()}
    return found | {OWN: ("my own machine", unknown_map())}


def for_each(course: Course, parts: dict[str, Markup]) -> Markup:
    """Parts written for one machine each; the picked one's is shown, the default's without script."""
    part = Markup('<div data-for="{}"{}>\n{}\n</div>')
    return Markup("\n").join(
        part.format(id_, Markup("" if id_ == course.default else " hidden"), inner) for id_, inner in parts.items()
    )


def _block(found: StopMap, id_: str, name: str) -> Markup:
    return render("stop_map.html.j2", map=found, id=id_, name=name, effects=EFFECTS, unknown=UNKNOWN)
