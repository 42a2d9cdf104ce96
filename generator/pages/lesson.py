"""Lesson pages: objective, text, at the machine, quiz, sources."""

from __future__ import annotations

from collections.abc import Callable

from markupsafe import Markup

from generator.calc import solve
from generator.course import Course
from generator.figures import draw
from generator.library import MODULES
from generator.model.lesson import Lesson, Place
from generator.pages.calculator import block, drawing, faded, worked
from generator.pages.live import Live
from generator.pages.page import Page, link, render
from generator.pages.quiz import quiz
from generator.pages.script import page_script
from generator.pages.text import Writer, with_own_ids
from generator.pages.words import MARKS, OUTSIDE


def lesson_pages(course: Course) -> list[Page]:
    """One page for each lesson, in course order."""
    lessons = list(course.library.lessons.values())
    following = [*lessons[1:], None]
    return [_page(lesson, after, course) for lesson, after in zip(lessons, following, strict=True)]


def _page(lesson: Lesson, after: Lesson | None, course: Course) -> Page:
    head = lesson.head
    live = Live(course)
    path = f"lessons/{head.id}.html"
    writer = Writer(path, live, filler(live, path))
    body = with_own_ids(writer.body(lesson.body))
    sources = [course.library.sources[id_] for id_ in head.sources]
    html = render("lesson.html.j2", head=head, body=body, module=MODULES[head.module], link=link, path=path,
                  figure=_head_figure(lesson, live), caution=live.words(head.caution), marks=MARKS, sources=sources,
                  at_the_machine=live.words(head.at_the_machine), quiz=quiz(head.id, live, path), after=after,
                  needs=[course.library.lessons[id_].head for id_ in head.needs],
                  calculator=course.library.calculators.get(head.calculator or ""))  # fmt: skip
    return Page(path=path, title=head.title, html=html, section=MODULES[head.module], script=page_script(live))


def _head_figure(lesson: Lesson, live: Live) -> Markup:
    """The lesson's own figure, unless its text already places one."""
    placed = any(isinstance(block, Place) and block.kind == "figure" for block in lesson.body.every())
    return Markup("") if placed or lesson.head.figure is None else figure(lesson.head.figure, live)


def figure(id_: str, live: Live) -> Markup:
    """A drawing with the default machine's numbers; the browser redraws it for another."""
    course = live.course
    live.figures.add(id_)
    found = course.library.figures[id_]
    owner = next((item for item in course.library.calculators.values() if item.figure == id_), None)
    if owner is None:
        html = Markup(draw(found, course.view.facts))
        return Markup('<figure class="os-figure" data-figure-id="{}">{}</figure>').format(id_, html)
    live.calculators.add(owner.id)
    answer = solve(owner, course.view.facts)
    return render("figure_of.html.j2", calculator=owner, id=id_, drawing=drawing(found, answer),
                  covered=answer.covered, outside=OUTSIDE)  # fmt: skip


def filler(live: Live, path: str) -> Callable[[Place], Markup]:
    """How a figure, calculator or example stands in a text of page `path`."""

    def fill(place: Place) -> Markup:
        if place.kind == "figure":
            return figure(place.id, live)
        calculator = live.course.library.calculators[place.id]
        if place.kind == "calculator":
            return block(calculator, live)
        if place.kind == "worked":
            return worked(calculator, live, place, path)
        return faded(calculator, live.course, place)

    return fill
