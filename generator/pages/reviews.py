"""Reviews: which quiz to take again, and when, after it was passed."""

from __future__ import annotations

from itertools import groupby

from generator.course import Course
from generator.library import MODULES
from generator.pages.drill import SECTION
from generator.pages.page import Page, link, render
from generator.quiz import REVIEW_DAYS, quiz_digests

PATH = "reviews.html"


def review_page(course: Course) -> Page:
    """The list of lessons with what is due, filled from the results this browser keeps."""
    heads = [lesson.head for id_, lesson in course.library.lessons.items() if course.library.questions_of(id_)]
    groups = [(MODULES[module], list(items)) for module, items in groupby(heads, key=lambda head: head.module)]
    html = render("reviews.html.j2", groups=groups, digests=quiz_digests(course.library), days=REVIEW_DAYS,
                  link=link, path=PATH)  # fmt: skip
    return Page(path=PATH, title="Reviews", html=html, section=SECTION, label="Reviews: what is due")
