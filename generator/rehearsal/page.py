"""The rehearsal as one HTML file: data, styles and scripts inside, allowed by their SHA-256 and nothing else."""

from __future__ import annotations

import hashlib
import json
import math
from base64 import b64encode
from collections.abc import Iterator, Sequence
from itertools import pairwise
from pathlib import Path

from markupsafe import Markup
from msgspec.structs import asdict

from generator.pages.page import render
from generator.pages.words import limit_words
from generator.rehearsal.pack import pack, packed_track
from generator.rehearsal.scene import Scene
from generator.rehearsal.show import Mark, Show, TriedMistake, effect_marks, track_with
from generator.rehearsal.track import Track
from generator.rehearsal.words import clock_words, depth_words, duration_words, lesson_words, place_words, stage_words
from generator.units import show, show_number

# In the first bytes of every page, so that a later run knows its own work.
MARKER = '<meta name="generator" content="onionskin rehearse">'
STYLES = ("onionskin.css", "figures.css", "rehearsal/rehearsal.css", "rehearsal/plan.css")
SCRIPTS = (
    "unpack.js", "clock.js", "frame.js", "bed.js", "ink.js", "view.js", "marks.js", "stage.js", "controls.js",
    "readout.js", "moments.js", "mistakes.js", "begin.js",
)  # fmt: skip
NO_EFFECT = "Nothing would have gone wrong that this page can see. Luck is no method."
MOST_BANDS = 6
# Steps a person counts in (mm).
BAND_STEPS = (0.1, 0.2, 0.25, 0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 10.0, 20.0, 50.0)
# Codes the page follows while it plays.
FOLLOWED = frozenset({"M3", "M4", "M5", "S", "T", "M6"})


def page_of(shown: Show, assets: Path) -> str:
    """The whole page; `assets` is the folder of our styles and scripts."""
    style = "\n".join((assets / name).read_text(encoding="utf-8") for name in STYLES)
    script = "\n".join((assets / "rehearsal" / name).read_text(encoding="utf-8") for name in SCRIPTS)
    bands = bands_of(shown.scene, shown.track)
    return render(
        "rehearsal.html.j2", shown=shown, marker=Markup(MARKER), policy=_policy(style, script),
        style=Markup(style), script=Markup(script), data=_data(shown, bands), bands=_band_words(bands),
        show=show, show_number=show_number, clock_words=clock_words, depth_words=depth_words, stage_words=stage_words,
        place_words=place_words, lesson_words=lesson_words, limit_words=limit_words,
        unknown=list(shown.scene.unknown()), total=duration_words(shown.track.t[-1]), no_effect=NO_EFFECT,
    )  # fmt: skip


def _policy(style: str, script: str) -> str:
    return (
        f"default-src 'none'; script-src '{_hash(script)}'; style-src '{_hash(style)}'; img-src data:; "
        "base-uri 'none'; form-action 'none'"
    )


def _hash(text: str) -> str:
    return "sha256-" + b64encode(hashlib.sha256(text.encode("utf-8")).digest()).decode("ascii")


def bands_of(scene: Scene, track: Track) -> list[float]:
    """Lower ends of the depth bands below the top of the board, mm; at most MOST_BANDS, the last one the deepest.

    Without a known top the path is drawn in one colour and there are no bands.
    """
    top, bottom = scene.setup.stock_top, scene.setup.stock_bottom
    if top is None:
        return []
    deepest = top - min(track.z)
    depth = min(deepest, top - bottom) if bottom is not None else deepest
    if depth <= 0:
        return []
    step = next((step for step in BAND_STEPS if depth <= step * MOST_BANDS + 1e-9), depth / MOST_BANDS)
    count = max(1, math.ceil(depth / step - 1e-9))
    return [round(min(depth, step * number), 3) for number in range(1, count + 1)]


def _band_words(bands: Sequence[float]) -> list[str]:
    ends = [0.0, *bands]
    return [f"{show_number(low, 'mm')} to {show_number(high, 'mm')} mm deep" for low, high in pairwise(ends)]


def _data(shown: Show, bands: Sequence[float]) -> Markup:
    """The page's data as JSON that cannot end its script element."""
    data = {
        "track": _track(shown.track, shown),
        "scene": shown.scene.as_json(),
        "bands": list(bands),
        "events": list(_events(shown)),
        "lines": {str(line): text for line, text in shown.texts.items()},
        "spindleByHand": shown.header.spindle_by_hand,
        "findings": [_mark(mark) for mark in shown.marks],
        "moments": [{"point": moment.point, "answer": moment.answer} for moment in shown.moments],
        "mistakes": [_mistake(mistake, shown) for mistake in shown.mistakes if mistake.applies],
    }
    text = json.dumps(data, ensure_ascii=False, separators=(",", ":"))
    return Markup(text.replace("<", "\\u003c").replace("\u2028", "\\u2028").replace("\u2029", "\\u2029"))


def _track(track: Track, shown: Show, feeds: Sequence[float] | None = None) -> dict[str, object]:
    feeds = shown.program.moves.feed if feeds is None else feeds
    return packed_track(track) | {"feed": pack((feeds[move] for move in track.move), 1)}


def _events(shown: Show) -> Iterator[list[object]]:
    ends = shown.clock.ends
    for event in shown.program.events:
        if event.code in FOLLOWED:
            # A change without a number keeps its place but names no cutter.
            value = event.value if math.isfinite(event.value) else None
            yield [round(ends[event.move - 1], 3) if event.move else 0, event.code, value]


def _mark(mark: Mark) -> dict[str, object]:
    return asdict(mark)


def _mistake(mistake: TriedMistake, shown: Show) -> dict[str, object]:
    scene = mistake.scene or shown.scene
    lines = [line for effect in mistake.effects for line in effect.lines[:1]]
    track = shown.track if mistake.program is None else track_with(mistake.program, scene, lines)
    marks = effect_marks(track, mistake)
    points = [mark.point for mark in marks if mark.point is not None]
    return {
        "id": mistake.id,
        "title": mistake.title,
        "says": [effect.says for effect in mistake.effects] or [NO_EFFECT],
        "scene": scene.as_json(),
        "marks": [_mark(mark) for mark in marks],
        "point": min(points, default=None),
        "track": None if mistake.program is None else _track(track, shown, mistake.program.moves.feed),
        "firstStays": mistake.first_stays,
    }
