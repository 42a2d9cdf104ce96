"""The page of the stop map: a test of ten minutes in air, one control at a time, kept on the device."""

from __future__ import annotations

from generator.course import Course
from generator.expr import parse_template
from generator.pages.live import Live
from generator.pages.page import Page, link, render
from generator.pages.script import page_script
from generator.pages.stamp import sheet_codes, stamp
from generator.pages.stop_map import for_each, stop_map_blocks, stop_maps
from generator.pages.words import DEFERS
from generator.stop_map import EFFECTS, GOES_ON, KEPT, LOST, STOPS, UNKNOWN

PATH = "stop-map.html"
ASKED = {
    "axes": "Did the axes halt?",
    "spindle": "Did the spindle run down?",
    "extraction": "Did the air stop?",
    "position": "Set back and jogged to the bed mark: is the machine still right?",
}
# What may be answered, and the words of each answer.
ANSWERS = {effect: {STOPS: "stopped", GOES_ON: "went on"} for effect in EFFECTS}
ANSWERS |= {"position": {KEPT: "yes, on the mark", LOST: "no, or no mark"}}
RUN_DOWN = parse_template("{{ spindle.run_down : s }}")


def stop_map_page(course: Course) -> Page:
    """The grid of each machine and, with script, the test that fills it."""
    live, codes = Live(course), sheet_codes(course, ASKED)
    tests = {id_: render("stop_test.html.j2", id=id_, name=name, map=found, asked=ASKED, answers=ANSWERS,
                         unknown=UNKNOWN) for id_, (name, found) in stop_maps(course).items()}  # fmt: skip
    html = render("stop_map_page.html.j2", blocks=stop_map_blocks(course), tests=for_each(course, tests), link=link,
                  path=PATH, defers=DEFERS, run_down=live.words(RUN_DOWN), stamp=stamp(course, codes))  # fmt: skip
    return Page(path=PATH, title="Stop map", html=html, section="Your machine", script=page_script(live),
                digests=codes.by_machine)  # fmt: skip
