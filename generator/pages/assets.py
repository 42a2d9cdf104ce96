"""The styles and classic scripts a page loads, in order of need."""

from __future__ import annotations

FOLDER = "onionskin"
STYLES = (
    "onionskin.css",
    "work.css",
    "learning.css",
    "figures.css",
    "print.css",
    "record.css",
    "sheets.css",
    "bench.css",
)
# On every page: operators, data, storage and machine first.
SCRIPTS = (
    "primitives.js", "course.js", "figures.js", "redraw.js", "store.js", "facts.js", "machine.js", "adapt.js",
    "picker.js", "variants.js", "page.js", "offline.js",
)  # fmt: skip
_CALCULATOR = ("data-calculator", "data-worked-example", "data-figure-of")
# One behaviour each, and the marks in a page's HTML that ask for it; in order of need.
BEHAVIOURS = {
    "inputs.js": _CALCULATOR,
    "calculator.js": _CALCULATOR,
    "checklist.js": ("data-checklist",),
    "order.js": ("data-quiz=",),
    "question.js": ("data-quiz=",),
    "schedule.js": ("data-quiz", "data-review", "data-record"),
    "result.js": ("data-quiz", "data-review", "data-record"),
    "quiz.js": ("data-quiz=",),
    "reviews.js": ("data-review",),
    "overdue.js": ("data-overdue",),
    "drill.js": ("data-drill",),
    "stop_map.js": ("data-stop-map",),
    "stop_test.js": ("data-stop-test",),
    "document.js": ("data-profile",),
    "numbers.js": ("data-profile",),
    "fields.js": ("data-profile",),
    "profile.js": ("data-profile",),
    "digest.js": ("data-record", "data-base"),
    "stamp.js": ("data-base",),
    "qr.js": ("data-record",),
    "record.js": ("data-record",),
    "grip.js": ("data-bench",),
    "bench_places.js": ("data-bench",),
    "bench_map.js": ("data-bench",),
    "bench_marks.js": ("data-bench",),
    "bench_exercises.js": ("data-bench",),
    "bench.js": ("data-bench",),
}


def styles() -> list[str]:
    """Style addresses relative to the site."""
    return [f"{FOLDER}/{name}" for name in STYLES]


def scripts() -> list[str]:
    """Script addresses relative to the site, in loading order."""
    return [f"{FOLDER}/{name}" for name in SCRIPTS]


def behaviours(html: str) -> list[str]:
    """Addresses of the scripts that only pages with certain marks need, in loading order."""
    return [f"{FOLDER}/{name}" for name, marks in BEHAVIOURS.items() if any(mark in html for mark in marks)]
