"""The styles and classic scripts every page loads, in order of need."""

from __future__ import annotations

FOLDER = "onionskin"
STYLES = ("onionskin.css", "work.css", "figures.css", "print.css")
# Operators, data, storage and machine first, then one behaviour each.
SCRIPTS = (
    "primitives.js", "course.js", "figures.js", "redraw.js", "store.js", "facts.js", "machine.js", "adapt.js",
    "picker.js", "inputs.js", "calculator.js", "checklist.js", "order.js", "question.js", "result.js", "quiz.js",
    "document.js", "fields.js", "profile.js", "page.js",
)  # fmt: skip


def styles() -> list[str]:
    """Style addresses relative to the site."""
    return [f"{FOLDER}/{name}" for name in STYLES]


def scripts() -> list[str]:
    """Script addresses relative to the site, in loading order."""
    return [f"{FOLDER}/{name}" for name in SCRIPTS]
