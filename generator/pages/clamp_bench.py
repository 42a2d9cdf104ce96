"""The clamp bench: a live page for each job where a learner moves clamps and sees margin, pivot and map at once."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any

from msgspec import Struct

from generator.course import Course, JobView
from generator.holding.answer import Unanswered
from generator.holding.bed_place import kinds_of
from generator.holding.bench_data import bench_data
from generator.holding.hold_downs import CLAMPS
from generator.holding.words import spot
from generator.pages.holding import Worked
from generator.pages.live import Live
from generator.pages.page import Page, link, render
from generator.pages.script import page_script
from generator.pages.words import DEFERS, SEVERITIES
from generator.units import show, show_number

PATH = "clamp-bench.html"
SECTION, LESSON = "Lists and sheets", "clamps-and-pivots"
COUNTS = ("none", "one", "two", "three")
# why a job lacks an exercise
ABSENT = {
    "corner": "“Hold the far corner” is left out: clamps alone have no layout here that would hold and could be found.",
    "part": "“Hold the part as it comes free” is left out: no cut of this job frees a part.",
}
AREA_WORDS = {"vacuum": "Vacuum (take the tick away: the pump has stopped)", "tape": "Tape"}


class Exercise(Struct, frozen=True):
    """One exercise: its name in the script, title, task, and what it shows once it is solved."""

    name: str
    title: str
    task: str
    why: str


def bench_index(course: Course) -> Page:
    """The list of benches."""
    views = list(course.jobs.values())
    html = render("clamp_benches.html.j2", views=views, path=PATH, bench_path=bench_path, link=link, defers=DEFERS)
    return Page(path=PATH, title="Clamp bench", html=html, section=SECTION)


def bench_path(job: str) -> str:
    """Where a job's bench lies in the site."""
    return f"bench/{job}.html"


def bench_page(view: JobView, course: Course, worked: Worked) -> Page:
    """The bench of one job."""
    live = Live(course)
    html = render(
        "clamp_bench.html.j2", id=view.id, job=view.job, machine=view.machine, path=bench_path(view.id), link=link,
        findings=worked.found.findings, severities=SEVERITIES, defers=DEFERS, **_live(view, worked),
        spot=spot, lessons=course.library.lessons, caution=live.words(course.library.lessons[LESSON].head.caution),
    )  # fmt: skip
    title = f"Clamp bench: {view.job.name} on {view.machine.name}"
    return Page(path=bench_path(view.id), title=title, html=html, section=SECTION, in_menu=False,
                script=page_script(live))  # fmt: skip


def _live(view: JobView, worked: Worked) -> dict[str, Any]:
    found, bed = worked.found, worked.bed
    if isinstance(found, Unanswered) or bed is None:
        return {"bed": None, "words": (), "table": ()}
    data = bench_data(found)
    load = found.situation.bare.load
    part = next((piece.name for piece in found.freed if not piece.slug), "")
    kinds = {pad.kind for pad in found.situation.bare.pads}
    most = data["exercises"]
    return {
        "bed": bed, "data": json.dumps(data, separators=(",", ":")), "part": part,
        "areas": " and ".join(words for kind, words in AREA_WORDS.items() if kind in kinds),
        "force": show(load.sideways.high, "N", 2), "lift": show(load.lift.high, "N", 2),
        **_places(view, data), "words": bed.words + bed.more, "table": bed.shown.clamps,
        "table_title": f"The layout {bed.shown.words}", "exercises": exercises(found.needed, most),
        "absent": [words for name, words in ABSENT.items() if name not in most], "counts": COUNTS,
    }  # fmt: skip


def _places(view: JobView, data: Mapping[str, Any]) -> dict[str, Any]:
    """Whether clamps go from place to place, and the words for where they can go."""
    board, kinds = data["view"]["board"], kinds_of(view.job, view.machine)
    if board["places"]:
        return {"snaps": True, "places": "A clamp goes to the nearest dotted ring: a place that a slot or insert gives "
                "and the cutter leaves free."}  # fmt: skip
    if board["kind"] == "screw":
        return {"snaps": False, "places": "A screw goes anywhere; keep it in the waste and off the cutter's way."}
    if kinds and not set(kinds) & set(CLAMPS):
        return {"snaps": False, "places": "This bed has neither slots nor inserts: clamps are here only to try with."}
    return {"snaps": False, "places": "Where the slots or inserts are is not known, so a clamp goes anywhere here."}


def exercises(margin: float, most: Mapping[str, int]) -> Sequence[Exercise]:
    """The exercises of `most`, which says how many clamps or tabs the answer of each may use."""
    needed = show_number(margin, "1")
    every = (
        Exercise(
            "hinge", "Find the two-clamp hinge",
            "Take clamps away until two are left, and move these two so that the board turns about one of them as "
            "easily as can be. Say first where you would put them.",
            "Two clamps on one side are a hinge: near it the board is held, far from it the cutter has a long lever.",
        ),
        Exercise(
            "corner", "Hold the far corner",
            f"All clamps stand on the left. With no more than {most.get('corner', 0)} of them, hold the whole cut "
            f"{needed} times, with none in the cutter's way.",
            "Clamps far apart and round the cut hold more than the same clamps side by side.",
        ),
        Exercise(
            "part", "Hold the part as it comes free",
            "The last pass frees the part and two tabs stand beside each other. "
            f"With no more than {most.get('part', 0)} tabs, hold it {needed} times.",
            "Tabs hold like clamps: spread round the part they leave the cutter no lever.",
        ),
    )  # fmt: skip
    return tuple(exercise for exercise in every if exercise.name in most)
