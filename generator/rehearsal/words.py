"""How the rehearsal says times, places, depths and stages."""

from __future__ import annotations

from generator.program.setup import Outline
from generator.rehearsal.scene import Scene
from generator.rehearsal.stages import Stage
from generator.units import show, show_number


def clock_words(seconds: float) -> str:
    """Minutes and seconds since the start, such as 6:04."""
    whole = int(seconds + 0.0005)
    return f"{whole // 60}:{whole % 60:02d}"


def duration_words(seconds: float) -> str:
    """How long something takes, such as 7 min 59 s or 3 h 9 min."""
    minutes = int(seconds + 0.5) // 60
    if minutes >= 60:
        return f"{minutes // 60} h {minutes % 60} min"
    return f"{minutes} min {int(seconds + 0.5) % 60} s"


def depth_words(z: float, scene: Scene) -> str:
    """A height as depth in the board; the bare height where the top of the board is not known."""
    top, bottom = scene.setup.stock_top, scene.setup.stock_bottom
    if top is None:
        return f"down to Z {show_number(z, 'mm')}"
    if z >= top:
        return f"in the air, {show(z - top, 'mm')} above the board"
    if bottom is not None and z < bottom - 0.001:
        return f"right through, {show(bottom - z, 'mm')} into the bed"
    if bottom is not None and z < bottom + 0.001:
        return "right through, down to the bed"
    return f"{show(top - z, 'mm')} deep"


def place_words(box: Outline | None) -> str:
    """Where a stage lies, in program coordinates."""
    if box is None:
        return ""
    x, y = (_span(box[axis], box[axis + 2]) for axis in (0, 1))
    return f"X {x}, Y {y}"


def _span(low: float, high: float) -> str:
    if high - low < 0.05:
        return show_number(low, "mm")
    return f"{show_number(low, 'mm')} to {show_number(high, 'mm')}"


def stage_words(stage: Stage, scene: Scene) -> str:
    """What happens in a stage."""
    if stage.kind != "cut":
        return stage.says
    top = scene.setup.stock_top
    noun = "path through the air" if top is not None and stage.low is not None and stage.low >= top else "cut"
    if stage.count == 1:
        return f"One {noun}"
    plural = noun.replace("path", "paths") if noun != "cut" else "cuts"
    return f"{stage.count} {plural}"


def lesson_words(lesson: str) -> str:
    """A lesson's id as it would be looked for in the course."""
    return lesson.replace("-", " ").capitalize()
