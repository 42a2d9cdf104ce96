"""The styles and classic scripts every page loads, in order of need."""

from __future__ import annotations

FOLDER = "onionskin"
STYLES = ("onionskin.css", "work.css", "learning.css", "figures.css", "print.css", "record.css", "sheets.css", "bench.css")
# Operators, data, storage and machine first, then one behaviour each.
SCRIPTS = (
    "primitives.js", "course.js", "figures.js", "redraw.js", "store.js", "facts.js", "machine.js", "adapt.js",
    "picker.js", "variants.js", "inputs.js", "calculator.js", "checklist.js", "order.js", "question.js", "schedule.js",
    "result.js", "quiz.js", "reviews.js", "drill.js", "stop_map.js", "stop_test.js",
    "document.js", "fields.js", "profile.js", "page.js", "offline.js",
    "digest.js", "qr.js", "record.js",
)  # fmt: skip


def styles() -> list[str]:
    """Style addresses relative to the site."""
    return [f"{FOLDER}/{name}" for name in STYLES]


def scripts() -> list[str]:
    """Script addresses relative to the site, in loading order."""
    return [f"{FOLDER}/{name}" for name in SCRIPTS]
