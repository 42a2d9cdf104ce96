"""What one family of controllers accepts; the tables themselves are content/dialects/*.yml."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from msgspec import Struct

TREATMENTS = ("accept", "note", "warn", "refuse")

# Habits of real programs that controllers treat differently. A dialect says for each: accept it silently,
# accept it with a note or a warning, or refuse the line.
PECULIARITIES = frozenset({
    "semicolon-comment", "comment-not-closed", "line-too-long", "line-number-too-long", "line-number-inside",
    "program-number", "percent-inside", "percent-not-closed", "no-program-end", "block-delete",
    "several-g-codes", "motion-with-cancel", "axis-after-cancel", "bare-motion-code", "unused-word",
    "circle-without-end", "third-offset-not-wanted", "radius-arc-delicate", "units-by-old-code",
    "dwell-by-other-letter", "rotary-word", "feed-and-units-together", "not-plain-text",
})  # fmt: skip

CHOICES: dict[str, tuple[str, ...]] = {
    "arc_centres": ("incremental", "absolute"),
    "dwell_unit": ("s", "ms"),
    "peck_retract": ("clear-level", "r-level"),
    "home_moves": ("all-axes", "named-axes"),
    "tool_word": ("selects", "changes"),
    "length_offsets": ("table", "none"),
}


class Dialect(Struct, frozen=True, kw_only=True):
    """One dialect. Codes are kept times ten (G38.2 is 382); lengths in mm.

    An arc is taken when start and end radius differ by no more than `arc_tolerance_mm` (programs in mm),
    `arc_tolerance_inch` (programs in inches, the value still in mm) or `arc_tolerance_share` of the radius.
    `origin_ways` are the L values G10 knows; where 20 is among them, P0 means the system in force.
    `parameters` is the highest parameter number, 0 where the controller knows no parameters or expressions.
    """

    id: str
    name: str
    about: str
    g_codes: frozenset[int]
    m_codes: frozenset[int]
    allows: Mapping[str, str]
    arc_centres: str
    arc_tolerance_mm: float
    arc_tolerance_inch: float
    arc_tolerance_share: float
    dwell_unit: str
    dwell_letters: str
    peck_gap: float
    peck_retract: str
    line_length: int
    line_number_digits: int
    g_per_line: int
    m_per_line: int
    systems: int
    parameters: int
    origin_ways: frozenset[int]
    home_moves: str
    tool_word: str
    length_offsets: str


def code_number(written: object) -> int:
    """38.2 -> 382; the one place where a code becomes a whole number. ValueError if it has more decimals."""
    tenths = round(float(str(written)) * 10)
    if abs(float(str(written)) * 10 - tenths) > 1e-6:
        raise ValueError(f"'{written}' is not a code with at most one decimal")
    return tenths


def code_name(letter: str, tenths: int) -> str:
    """('G', 382) -> 'G38.2'."""
    return f"{letter}{tenths // 10}" if tenths % 10 == 0 else f"{letter}{tenths // 10}.{tenths % 10}"


def dialect_from(table: Mapping[str, Any]) -> Dialect:
    """A dialect from plain data; keys are the field names, others (`mark`, `sources`) are left alone.

    ValueError names every fault at once, so that a content linter can show them.
    """
    names = Dialect.__struct_fields__
    faults = [f"'{name}' is missing" for name in names if name not in table]
    faults += _choice_faults(table) + _treatment_faults(table.get("allows", {}))
    if faults:
        raise ValueError(f"dialect {table.get('id', '?')}: " + "; ".join(faults))
    values = {name: table[name] for name in names}
    values["g_codes"], values["m_codes"] = _codes(table["g_codes"]), frozenset(int(code) for code in table["m_codes"])
    values["origin_ways"] = frozenset(int(way) for way in table["origin_ways"])
    return Dialect(**values)


def _codes(written: Iterable[object]) -> frozenset[int]:
    return frozenset(code_number(code) for code in written)


def _choice_faults(table: Mapping[str, Any]) -> list[str]:
    return [
        f"'{name}: {table[name]}' is not one of {', '.join(choices)}"
        for name, choices in CHOICES.items()
        if name in table and table[name] not in choices
    ]


def _treatment_faults(allows: Mapping[str, str]) -> list[str]:
    faults = [f"'allows' does not say '{name}'" for name in sorted(PECULIARITIES - set(allows))]
    faults += [f"'allows' has the unknown entry '{name}'" for name in sorted(set(allows) - PECULIARITIES)]
    return faults + [
        f"'allows: {name}: {how}' is not one of {', '.join(TREATMENTS)}"
        for name, how in allows.items()
        if how not in TREATMENTS
    ]
