"""Slips as the page 'My record' makes them, drawn for tests."""

from __future__ import annotations

import json
from datetime import date, timedelta
from typing import Any

from hypothesis import strategies as st

from generator.register.slip import Slip, digest_of, line_of

TODAY = date(2026, 11, 25)
SLUGS = st.from_regex(r"[a-z0-9]+(-[a-z0-9]+){0,3}", fullmatch=True).filter(lambda text: len(text) <= 40)
QUIZZES = st.none() | st.from_regex(r"[0-9a-f]{6}", fullmatch=True)
DAYS = st.integers(0, 400).map(lambda back: (TODAY - timedelta(back)).isoformat())


@st.composite
def results(draw: st.DrawFn, lesson: str) -> dict[str, Any]:
    """One quiz whose marks fit."""
    of = draw(st.integers(1, 12))
    right = draw(st.integers(0, of))
    missed = draw(st.integers(0, of - right))
    passed = missed == 0 and draw(st.booleans())
    return {"lesson": lesson, "machine": draw(SLUGS), "form": draw(st.sampled_from("ABCDEF")), "right": right, "of": of,
            "missed": missed, "passed": passed, "date": draw(DAYS), "questions": draw(QUIZZES)}  # fmt: skip


@st.composite
def slips(draw: st.DrawFn) -> dict[str, Any]:
    """A good slip as plain data."""
    lessons = draw(st.lists(SLUGS, max_size=8, unique=True))
    drills = draw(st.lists(SLUGS, max_size=4, unique=True))
    data: dict[str, Any] = {
        "onionskin": "slip",
        "version": 1,
        "made": TODAY.isoformat(),
        "course": draw(st.from_regex(r"[0-9a-f]{8}", fullmatch=True)),
        "results": [draw(results(lesson)) for lesson in lessons],
        "drills": [{"drill": drill, "date": draw(DAYS)} for drill in drills],
    }
    return data | {"digest": digest_of(line_of(Slip.model_validate(data | {"digest": "0" * 16})))}


def one_slip(**changes: Any) -> dict[str, Any]:
    """A slip with one quiz and one drill; its digest fits unless it is among the changes."""
    quiz = {"lesson": "chip-load", "machine": "heron", "form": "A", "right": 5, "of": 5, "missed": 0, "passed": True,
            "date": "2026-11-24"}  # fmt: skip
    data: dict[str, Any] = {"onionskin": "slip", "version": 1, "made": "2026-11-25", "course": "3f2a9b1c",
            "results": [quiz], "drills": [{"drill": "work-shifts", "date": "2026-11-25"}]} | changes  # fmt: skip
    if "digest" not in data:
        data["digest"] = digest_of(line_of(Slip.model_validate(data | {"digest": "0" * 16})))
    return data


def whole_line(data: dict[str, Any]) -> str:
    """The line a scanner reads."""
    slip = Slip.model_validate(data)
    return f"{line_of(slip)}/{slip.digest.upper()}"


def as_file(data: dict[str, Any]) -> str:
    """The file's text."""
    return json.dumps(data)
