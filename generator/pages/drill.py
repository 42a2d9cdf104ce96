"""Drills as pages: a solved case, then one decision after another, complete as folds without script."""

from __future__ import annotations

from markupsafe import Markup
from msgspec import Struct

from generator.course import Course
from generator.model.learning import DEBRIEF, Choice, Drill, Node, Note
from generator.pages.live import Live, shows
from generator.pages.page import Page, link, render
from generator.pages.script import page_script
from generator.pages.stop_map import stop_map_blocks
from generator.pages.text import FOLDERS

INDEX = "drills.html"
SECTION = "Drills and reviews"


class Remark(Struct, frozen=True):
    """A note as shown: its words, and whether this machine has it."""

    note: Note
    says: Markup
    state: str
    shown: bool
    if_words: str


def drill_pages(course: Course) -> list[Page]:
    """The list of drills, and a page for each."""
    drills = list(course.library.drills.values())
    following = [*drills[1:], None]
    return [
        _index(drills, course),
        *(_page(drill, after, course) for drill, after in zip(drills, following, strict=True)),
    ]


def drill_path(drill: str) -> str:
    """Where a drill lies in the site."""
    return FOLDERS["drill"].format(drill)


def _index(drills: list[Drill], course: Course) -> Page:
    live = Live(course)
    rows = [(drill, live.state(drill.rule) if drill.rule else "yes") for drill in drills]
    html = render("drills.html.j2", rows=rows, course=course, link=link, path=INDEX, drill_path=drill_path)
    return Page(path=INDEX, title="Drills", html=html, section=SECTION, label="All drills", script=page_script(live))


def _page(drill: Drill, after: Drill | None, course: Course) -> Page:
    path, live = drill_path(drill.id), Live(course)
    nodes = {node.id: node for node in drill.nodes}
    lessons = [course.library.lessons[id_].head for id_ in drill.lessons]
    state = live.state(drill.rule) if drill.rule else "yes"
    html = render("drill.html.j2", drill=drill, live=live, path=path, link=link, lessons=lessons, after=after,
                  hazard=course.library.hazards[drill.hazard], here=[_remark(note, live) for note in drill.here],
                  first=_node(drill.nodes[0], nodes, live), drill_path=drill_path, stops=stop_map_blocks(course),
                  state=state, shown=shows(state, False), words=_words(drill, course))  # fmt: skip
    return Page(path=path, title=drill.title, html=html, section=SECTION, script=page_script(live))


def _words(drill: Drill, course: Course) -> str:
    return course.library.rules[drill.rule].words if drill.rule else ""


def _remark(note: Note, live: Live) -> Remark:
    rule = note.rule or note.unless or ""
    state, unless = live.state(rule), note.rule is None
    words = f"{'Unless' if unless else 'If'} {live.course.library.rules[rule].words}:"
    return Remark(note, live.words(note.says), state, shows(state, unless), words)


def _node(node: Node, nodes: dict[str, Node], live: Live) -> Markup:
    """One moment with its choices, each a fold that holds what comes of it and the next moment."""
    choices = [(choice, live.words(choice.says), live.words(choice.outcome), _after(choice, nodes, live))
               for choice in node.choices]  # fmt: skip
    return render("drill_node.html.j2", says=live.words(node.says), choices=choices)


def _after(choice: Choice, nodes: dict[str, Node], live: Live) -> Markup:
    if choice.to == DEBRIEF:
        return Markup('<p class="os-to-debrief" data-end><a href="#debrief">To the debrief</a></p>')
    return _node(nodes[choice.to], nodes, live)
