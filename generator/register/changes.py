"""What a course was made of when someone was signed off, and what has changed in it since."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from typing import Literal

from msgspec import Struct

from generator.course_parts import Part
from generator.register.entries import canonical


class Change(Struct, frozen=True):
    """One part of the course that is not what it was."""

    part: str
    title: str
    how: Literal["changed", "new", "gone"]


def contents_text(parts: Mapping[str, Part]) -> str:
    """The parts as the one text that is kept and hashed."""
    return canonical({key: [part.title, part.digest] for key, part in parts.items()})


def contents_digest(text: str) -> str:
    """The SHA-256 of a contents text; records name the contents by it."""
    return hashlib.sha256(text.encode()).hexdigest()


def parts_of(text: str) -> Mapping[str, Part]:
    """The parts in a contents text; none where it is not one that `contents_text` wrote."""
    try:
        return {key: Part(title, digest) for key, (title, digest) in json.loads(text).items()}
    except (AttributeError, TypeError, ValueError):
        return {}


def changes(then: Mapping[str, Part], now: Mapping[str, Part], machine: str) -> tuple[Change, ...]:
    """Parts that differ, in the order of the course as it is now; of the machines only `machine` counts.

    None where nothing is known of `then`: all would be new.
    """
    if not then:
        return ()
    found = [
        _change(key, then.get(key), now.get(key)) for key in dict.fromkeys([*now, *then]) if _concerns(key, machine)
    ]
    return tuple(change for change in found if change)


def _concerns(key: str, machine: str) -> bool:
    kind, _, id_ = key.partition(":")
    return kind != "machine" or id_ == machine


def _change(key: str, then: Part | None, now: Part | None) -> Change | None:
    if then is None or now is None:
        part = now or then
        return Change(key, part.title, "new" if now else "gone") if part else None
    return Change(key, now.title, "changed") if then.digest != now.digest else None
