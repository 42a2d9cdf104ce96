"""'My record': what a learner has passed on this device, to save, print and scan."""

from __future__ import annotations

from generator.course import Course
from generator.pages.page import Page, link, render
from generator.pages.reviews import PATH as REVIEWS
from generator.quiz import quiz_digests

PATH = "my-record.html"


def record_page(course: Course) -> Page:
    """The page 'My record'; without script it says what it would hold."""
    html = render("record.html.j2", lessons=course.library.lessons, digests=quiz_digests(course.library),
                  drills=course.library.drills, path=PATH, link=link,
                  reviews=REVIEWS, revision=course.revision, workshop=course.home.workshop)  # fmt: skip
    return Page(path=PATH, title="My record", html=html, section="Your machine")
