"""Quizzes on paper: a form without answers and a key on a page of its own, by module and for the end."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from markupsafe import Markup
from msgspec import Struct

from generator.course import Course
from generator.expr import Scope
from generator.library import MODULES
from generator.model.question import Question
from generator.pages.page import Page, link, render
from generator.pages.stamp import sheet_digest, stamp_of
from generator.pages.stop_map import OWN, for_each
from generator.pages.words import DEFERS
from generator.quiz import Put, can_be_asked, choose, needed, put

INDEX = "papers.html"
SECTION = "Lists and sheets"
FINAL = "final"
SHEETS = "AB"
ITEMS = 10
# Three in ten come from earlier modules: mixing helps to tell alike things apart (our proposal).
EARLIER = 3
# Two papers of n out of p questions share 2n - p at least; up to three fifths of p that is a third of a paper or less.
MOST_OF_POOL = 0.6
FINAL_ITEMS = 24
FINAL_CRITICAL = 10
LETTERS = "abcdefgh"


class Paper(Struct, frozen=True):
    """One paper: the module it closes, or the end of the course, and which of the two parallel sheets it is."""

    id: str
    title: str
    sheet: str

    @property
    def form(self) -> str:
        """Where the form lies."""
        return f"papers/{self.id}-{self.sheet.lower()}.html"

    @property
    def key(self) -> str:
        """Where its key lies."""
        return f"papers/{self.id}-{self.sheet.lower()}-key.html"


def paper_pages(course: Course) -> list[Page]:
    """The list of papers, each form, and each key, which no menu and no search shows."""
    pools = {id_: askable(course, view.facts) for id_, view in course.views.items()}
    return [_index(course), *(page for paper in papers(course) for page in _pages(paper, course, pools))]


def papers(course: Course) -> list[Paper]:
    """Two parallel sheets for each module that has questions, and two for the end."""
    used = {lesson.head.module for id_, lesson in course.library.lessons.items() if course.library.questions_of(id_)}
    titles = {module: words for module, words in MODULES.items() if module in used} | {FINAL: "The whole course"}
    return [Paper(id_, title, sheet) for id_, title in titles.items() for sheet in SHEETS]


def askable(course: Course, facts: Scope) -> list[Question]:
    """Every question that a paper for this machine may ask, in course order."""
    found = [question for lesson in course.library.lessons for question in course.library.questions_of(lesson)]
    return [question for question in found if can_be_asked(question, course.library.rules, facts)]


def questions_for(paper: Paper, course: Course, pool: Sequence[Question]) -> list[Question]:
    """What the paper asks of a machine's `askable`, in course order; sheet B repeats of sheet A as little as it can."""
    chosen: list[Question] = []
    for sheet in SHEETS[: SHEETS.index(paper.sheet) + 1]:
        seed = f"{paper.id}-{sheet}"
        avoid = {question.id for question in chosen}
        chosen = (
            _final(course, pool, seed, avoid) if paper.id == FINAL else _module(paper.id, course, pool, seed, avoid)
        )
    return chosen


def _module_of(question: Question, course: Course) -> str:
    return course.library.lessons[question.lesson].head.module


def _module(module: str, course: Course, pool: Sequence[Question], seed: str, avoid: set[str]) -> list[Question]:
    earlier_modules = list(MODULES)[: list(MODULES).index(module)]
    before = [question for question in pool if _module_of(question, course) in earlier_modules]
    own = [question for question in pool if _module_of(question, course) == module]
    wanted = min(ITEMS - EARLIER if before else ITEMS, int(MOST_OF_POOL * len(own)))
    earlier = choose(before, EARLIER, seed, group=lambda q: q.lesson, avoid=avoid)
    return earlier + choose(own, wanted, seed, group=lambda q: q.lesson, avoid=avoid)


def _final(course: Course, pool: Sequence[Question], seed: str, avoid: set[str]) -> list[Question]:
    hazards = {drill.hazard for drill in course.library.drills.values()}

    def module(question: Question) -> str:
        return _module_of(question, course)

    return choose(pool, FINAL_ITEMS, seed, group=module, hazards=hazards, critical=FINAL_CRITICAL, avoid=avoid)


def _index(course: Course) -> Page:
    html = render("papers.html.j2", papers=papers(course), link=link, path=INDEX, defers=DEFERS)
    return Page(path=INDEX, title="Papers", html=html, section=SECTION)


def _pages(paper: Paper, course: Course, pools: Mapping[str, Sequence[Question]]) -> list[Page]:
    asked = {id_: _asked(paper, course, view.facts, pools[id_]) for id_, view in course.views.items()}
    title = f"{paper.title}, paper {paper.sheet}"
    form, key = (_html(template, paper, course, asked) for template in ("paper.html.j2", "paper_key.html.j2"))
    return [
        Page(path=paper.form, title=title, html=form, section=SECTION, in_menu=False, in_search=False),
        Page(path=paper.key, title=f"Key: {title}", html=key, section=SECTION, in_menu=False, in_search=False),
    ]


def _asked(paper: Paper, course: Course, facts: Scope, pool: Sequence[Question]) -> list[Put]:
    form = SHEETS.index(paper.sheet)
    return [put(question, form, facts, paper.form) for question in questions_for(paper, course, pool)]


def _html(template: str, paper: Paper, course: Course, asked: dict[str, list[Put]]) -> Markup:
    """The paper of each machine; one's own machine is told to use one of the workshop's."""
    path = paper.key if "key" in template else paper.form
    shared = {"paper": paper, "letters": LETTERS, "needed": needed, "link": link, "path": path, "index": INDEX,
              "defers": DEFERS, "lessons": course.library.lessons}  # fmt: skip
    parts = {id_: render(template, stamp=stamp_of(course, id_, sheet_digest(course, id_, items)), items=items, **shared)
             for id_, items in asked.items()}  # fmt: skip
    return for_each(course, parts | {OWN: render("paper_own.html.j2", path=path, link=link, index=INDEX)})
