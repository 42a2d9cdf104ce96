"""Unit tags, quantities written with a unit, and the one rule for showing numbers.

Inside everything is mm, min, N and rev; a tag says in which unit a number is kept.
"""

from __future__ import annotations

import math
import re

from msgspec import Struct


class Unit(Struct, frozen=True):
    """A unit tag: what it measures, how it is written, and how many decimals are worth showing."""

    dimension: str
    label: str
    decimals: int


UNITS: dict[str, Unit] = {
    "1": Unit("number", "", 3),
    "%": Unit("share", "%", 1),
    "mm": Unit("length", "mm", 2),
    "mm/tooth": Unit("chip load", "mm per tooth", 3),
    "mm/rev": Unit("feed per turn", "mm per turn", 3),
    "mm/min": Unit("feed", "mm/min", 0),
    "mm/s": Unit("speed", "mm/s", 1),
    "m/s": Unit("cutting speed", "m/s", 2),
    "m/min": Unit("cutting speed", "m/min", 1),
    "mm/s2": Unit("acceleration", "mm/s²", 0),
    "rpm": Unit("spindle speed", "rpm", 0),
    "Hz": Unit("frequency", "Hz", 1),
    "min": Unit("time", "min", 2),
    "s": Unit("time", "s", 2),
    "h": Unit("time", "h", 2),
    "days": Unit("time", "days", 0),
    "N": Unit("force", "N", 0),
    "Nm": Unit("torque", "N m", 3),
    "W": Unit("power", "W", 0),
    "A": Unit("current", "A", 1),
    "V": Unit("voltage", "V", 0),
    "N/mm2": Unit("stress", "N/mm²", 1),
    "N/mm": Unit("force per width", "N/mm", 2),
    "kPa": Unit("pressure", "kPa", 1),
    "kg/m3": Unit("density", "kg/m³", 0),
    "mg/m3": Unit("dust in air", "mg/m³", 1),
    "mm2": Unit("area", "mm²", 0),
    "cm3/min": Unit("removal rate", "cm³/min", 1),
    "m3/h": Unit("air flow", "m³/h", 0),
    "deg": Unit("angle", "°", 1),
    "dB": Unit("sound level", "dB(A)", 1),
    "dB-C": Unit("sound level weighted C", "dB(C)", 1),
    "dB-less": Unit("difference of sound levels", "dB", 1),
    "mm/N": Unit("flexibility", "mm per N", 4),
    "degC": Unit("temperature", "°C", 0),
}

# Millimetres in an inch, by definition (1959).
INCH = 25.4
# Written unit -> (tag, exact factor to the tag's unit).
WRITTEN: dict[str, tuple[str, float]] = {
    "mm": ("mm", 1.0), "cm": ("mm", 10.0), "m": ("mm", 1000.0), "in": ("mm", INCH), '"': ("mm", INCH),
    "inch": ("mm", INCH), "ft": ("mm", 304.8),
    "mm/min": ("mm/min", 1.0), "mm/s": ("mm/min", 60.0), "m/min": ("mm/min", 1000.0),
    "in/min": ("mm/min", 25.4), "ipm": ("mm/min", 25.4),
    "mm/tooth": ("mm/tooth", 1.0), "in/tooth": ("mm/tooth", 25.4),
    "mm/s2": ("mm/s2", 1.0), "m/s2": ("mm/s2", 1000.0), "in/s2": ("mm/s2", 25.4),
    "rpm": ("rpm", 1.0), "1/min": ("rpm", 1.0), "r/min": ("rpm", 1.0),
    "min": ("min", 1.0), "s": ("s", 1.0), "h": ("h", 1.0), "days": ("days", 1.0), "day": ("days", 1.0),
    "N": ("N", 1.0), "kN": ("N", 1000.0), "lbf": ("N", 4.4482216152605),
    "N m": ("Nm", 1.0), "Nm": ("Nm", 1.0), "W": ("W", 1.0), "kW": ("W", 1000.0),
    "A": ("A", 1.0), "V": ("V", 1.0), "Hz": ("Hz", 1.0),
    "kPa": ("kPa", 1.0), "bar": ("kPa", 100.0), "mbar": ("kPa", 0.1),
    "kg/m3": ("kg/m3", 1.0), "N/mm2": ("N/mm2", 1.0), "MPa": ("N/mm2", 1.0),
    "m3/h": ("m3/h", 1.0), "mm2": ("mm2", 1.0), "cm2": ("mm2", 100.0),
    "deg": ("deg", 1.0), "°": ("deg", 1.0), "dB": ("dB", 1.0), "%": ("%", 1.0),
    "mm/N": ("mm/N", 1.0), "um/N": ("mm/N", 0.001), "degC": ("degC", 1.0),
}  # fmt: skip

_QUANTITY = re.compile(
    r"\s*([+-]?)(?:(\d+)\s+(?=\d+\s*/))?(\d+(?:\.\d+)?(?:[eE][+-]?\d+)?|\.\d+)(?:\s*/\s*(\d+))?"
    r"\s*([A-Za-z\"°%/][A-Za-z\"°%/23 ]*)?\s*$"
)


def written_units(tag: str) -> list[str]:
    """The unit words a person may write for `tag`, most usual first."""
    return [word for word, (meant, _) in WRITTEN.items() if meant == tag]


def offered(number: str, tag: str) -> str:
    """`number` as it may be written with a unit of `tag`, in the usual unit and in inches where there are some."""
    words = written_units(tag)
    inches = [word for word in words[1:] if word.partition("/")[0] == "in"]
    return " or ".join(f"'{number} {word}'" for word in [words[0], *inches])


def read_quantity(text: str, tag: str) -> float:
    """A number kept in `tag` from text such as '6.5 mm', '1/4 in' or '1 1/2 in'.

    Raises ValueError whose text says what was found, what is wanted and how to mend it.
    """
    wanted = " or ".join(written_units(tag)[:4])
    match = _QUANTITY.match(text)
    if not match:
        raise ValueError(f"'{text}' is not a number with a unit; write for example {offered('6', tag)}")
    sign, whole, number, below, word = match.groups()
    if not word:
        raise ValueError(f"'{text}' has no unit; write {offered(text.strip(), tag)}")
    meant, factor = WRITTEN.get(word.strip(), ("", 0.0))
    if meant != tag:
        raise ValueError(f"'{word}' is not a unit of {UNITS[tag].dimension}; wanted {wanted}")
    if below is not None and int(below) == 0:
        raise ValueError(f"'{text}' divides by zero")
    value = float(number) / (int(below) if below else 1) + (int(whole) if whole else 0)
    value *= -factor if sign == "-" else factor
    if not math.isfinite(value):
        raise ValueError(f"'{text}' is larger than any machine; check the number")
    return value


def fixed(value: float, decimals: int) -> str:
    """`value` with `decimals` places, ties away from zero, the same text as the browser's `fixed`.

    Past 2**53 no place after the point is left to round, and the whole number is shown as it is kept.
    """
    if not math.isfinite(value):
        return "no answer"
    size = abs(value) * 10.0**decimals
    if size >= 2.0**53:
        return str(int(value))
    scaled = math.floor(size + 0.5)
    digits = str(int(scaled)).rjust(decimals + 1, "0")
    text = f"{digits[:-decimals]}.{digits[-decimals:]}" if decimals else digits
    return "-" + text if value < 0 and scaled else text


def _places(value: float, digits: int) -> int:
    """Decimals that leave `digits` significant figures; below zero for tens and hundreds."""
    places, size = digits - 1, abs(value)
    while size >= 10:
        size, places = size / 10, places - 1
    while 0 < size < 1 and places < 9:
        size, places = size * 10, places + 1
    return places


def _significant(value: float, digits: int) -> str:
    places = _places(value, digits)
    if places >= 0:
        return fixed(value, places)
    step = 10.0**-places
    size = math.floor(abs(value) / step + 0.5) * step
    return fixed(-size if value < 0 else size, 0)


def show_number(value: float, tag: str, digits: int | None = None) -> str:
    """The number as shown on page, sheet and terminal, without its unit.

    `digits` asks for significant figures; without it the unit's own decimals are used.
    Trailing zeros go, whole thousands from 10 000 are grouped by a narrow no-break space.
    """
    if not math.isfinite(value):
        return "no answer"
    text = _significant(value, digits) if digits else fixed(value, UNITS[tag].decimals)
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    whole, _, rest = text.partition(".")
    if len(whole.lstrip("-")) > 4:
        whole = re.sub(r"(?<=\d)(?=(\d{3})+$)", "\u202f", whole)
    return whole + ("." + rest if rest else "")


def show(value: float, tag: str, digits: int | None = None) -> str:
    """The number with its unit, joined by a no-break space."""
    label = UNITS[tag].label
    text = show_number(value, tag, digits)
    if not label or not math.isfinite(value):
        return text
    return text + ("" if label in {"%", "°"} else "\u00a0") + label
