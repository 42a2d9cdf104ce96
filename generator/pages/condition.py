"""When a line or block of a sheet is there: by a rule, by the opposite of one, or always."""

from __future__ import annotations

from msgspec import Struct

from generator.pages.live import Live, shows


class Condition(Struct, frozen=True):
    """The state for the default machine: `state` is yes, no or unknown, `if_words` leads in where it is unknown."""

    rule: str
    unless: bool
    state: str
    shown: bool
    if_words: str


ALWAYS = Condition("", False, "yes", True, "")


def condition(live: Live, rule: str | None, unless: str | None) -> Condition:
    """The condition of an item of content that names a rule, or an unless, or neither."""
    named = rule or unless
    if named is None:
        return ALWAYS
    opposite = rule is None
    state, words = live.state(named), live.course.library.rules[named].words
    return Condition(named, opposite, state, shows(state, opposite), f"{'Unless' if opposite else 'If'} {words}:")
