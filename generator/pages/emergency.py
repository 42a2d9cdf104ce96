"""The emergency wall card: the acts in letters to be read across a room, the controls by name, whom to call."""

from __future__ import annotations

from markupsafe import Markup

from generator.course import Course
from generator.expr import parse_template
from generator.pages.checklist import lines
from generator.pages.live import Live
from generator.pages.local_rules import block_for, rules_of
from generator.pages.page import Page, link, render
from generator.pages.script import page_script
from generator.pages.stamp import sheet_codes, stamp
from generator.pages.stop_map import for_each, stop_maps
from generator.pages.words import DEFERS
from generator.stop_map import EFFECTS, NONE_HERE, STOPS, StopMap

CARD = "emergency-card"
PATH = "cards/emergency.html"
EXTINGUISHER = parse_template("{{ room.extinguisher }}")


def emergency_pages(course: Course) -> list[Page]:
    """The wall card, made from the checklist of the same acts; none where the content has no such list."""
    if CARD not in course.library.checklists:
        return []
    card = course.library.checklists[CARD]
    live, codes = Live(course), sheet_codes(course, (PATH, card))
    controls = {id_: _controls(name, found) for id_, (name, found) in stop_maps(course).items()}
    rules = [line for line in rules_of(course.home) if not line.rule.gate]
    html = render("emergency.html.j2", rules=rules, rules_for=block_for(rules), machine=course.default,
                  items=[line for point in card.points for line in lines(point, live)],
                  controls=for_each(course, controls), workshop=course.home.workshop,
                  extinguisher=live.words(EXTINGUISHER),
                  path=PATH, link=link, card=CARD, stamp=stamp(course, codes), defers=DEFERS)  # fmt: skip
    return [Page(path=PATH, title="Emergency", html=html, section="Lists and sheets", label="Emergency wall card",
                 script=page_script(live), digests=codes.by_machine)]  # fmt: skip


def _controls(name: str, found: StopMap) -> Markup:
    effects = {effect: EFFECTS[effect] for effect in EFFECTS if effect != "position" and not _absent(found, effect)}
    return render("emergency_controls.html.j2", name=name, effects=effects, proved=proved(found))


def _absent(found: StopMap, effect: str) -> bool:
    return all(row.squares[effect] == NONE_HERE for row in found.rows)


def proved(found: StopMap) -> dict[str, list[tuple[str, str]]]:
    """By effect, the controls that a test has seen to stop it, each with its place."""
    return {
        effect: [(row.control, row.place) for row in found.rows if row.squares[effect] == STOPS] for effect in EFFECTS
    }
