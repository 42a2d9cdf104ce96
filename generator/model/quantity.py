"""Numbers with a unit as people write them, each kind with the range no real machine leaves.

A quantity is text such as '6.5 mm', '1/4 in' or '18000 rpm' in the file and a float in the unit of its
tag inside. The ranges only catch slips of the pen (a wrong unit, a lost point); they judge nothing.
"""

from __future__ import annotations

import re
from typing import Annotated, Any

from msgspec import Struct
from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from generator.units import offered, read_quantity, written_units

_LONGEST = 60
_GROUPED = re.compile("(?<=\\d)\u202f(?=\\d{3})")  # as units.show_number groups thousands
_COMMA = re.compile(r"\d,\d")
_THOUSANDS = re.compile(r"\d,\d{3}(?!\d)")
_SPLIT = re.compile(r"\d\s+\d+(?!\d|\s*/)")
_GAP = re.compile(r"(?<=\d)\s+(?=\d)")
# Spellings that people read as different numbers, by what they have; the page of one's own machine refuses the same.
MISREAD = {"comma": _COMMA.pattern, "thousands": _THOUSANDS.pattern, "space": _SPLIT.pattern}


class Quantity(Struct, frozen=True):
    """A float kept in `tag` (see units.UNITS), `low` to `high` both allowed."""

    tag: str
    low: float
    high: float

    @property
    def range_words(self) -> str:
        unit = written_units(self.tag)[0]
        return f"{_plain(self.low)} {unit} to {_plain(self.high)} {unit}"

    def read(self, given: object) -> float:
        """The number in `tag`. Raises PydanticCustomError whose text says what was found and wanted."""
        if not isinstance(given, str):
            raise _refusal(self._bare(given))
        try:
            value = read_quantity(_one_number(given), self.tag)
        except ValueError as error:
            raise _refusal(str(error)) from None
        if not self.low <= value <= self.high:
            raise _refusal(f"found '{given}', wanted {self.range_words}; check the number and its unit")
        return value

    def _bare(self, given: object) -> str:
        if isinstance(given, bool) or not isinstance(given, (int, float)):
            return f"wanted a number with its unit, such as '{_plain(max(self.low, 1.0))} {written_units(self.tag)[0]}'"
        return f"found {given} without a unit; write {offered(str(given), self.tag)}"

    def write(self, value: float) -> str:
        return f"{_plain(value)} {written_units(self.tag)[0]}"

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        written = core_schema.plain_serializer_function_ser_schema(self.write, when_used="json")
        return core_schema.no_info_plain_validator_function(self.read, serialization=written)

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        units = "|".join(re.escape(word) for word in written_units(self.tag))
        pattern = rf"^\s*[-+]?[0-9.][0-9./eE+ -]*\s*({units})\s*$"
        return {"type": "string", "pattern": pattern, "description": f"From {self.range_words}."}


class Count(Struct, frozen=True):
    """A whole number without a unit, `low` to `high` both allowed."""

    low: int
    high: int

    def read(self, given: object) -> int:
        if isinstance(given, bool) or not isinstance(given, int):
            raise _refusal(f"wanted a whole number from {self.low} to {self.high}, without a unit")
        if not self.low <= given <= self.high:
            raise _refusal(f"found {given}, wanted a whole number from {self.low} to {self.high}")
        return given

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        return {"type": "integer", "minimum": self.low, "maximum": self.high}


def _one_number(text: str) -> str:
    """The text with our own pages' digit grouping taken out. Raises ValueError where it may be misread."""
    text = _GROUPED.sub("", text)
    if len(text) > _LONGEST or not text.replace("°", "").replace("\u00a0", " ").isascii():
        raise ValueError(f"'{text[:_LONGEST]}' is not a number with a unit; write it in plain figures")
    if _COMMA.search(text):
        raise ValueError(f"'{text}' has a comma; write {_without_comma(text)}")
    if _SPLIT.search(text):
        mend = "a fraction as in '1 1/2 in'" if "/" in text else f"'{_GAP.sub('', text)}' in one piece"
        raise ValueError(f"'{text}' has a space inside the number; write {mend}")
    return text


def _without_comma(text: str) -> str:
    """The ways `text` may have been meant: its comma as the point, and, before three figures, as the thousands."""
    whole = f"'{text.replace(',', '')}' in one piece"
    if text.count(",") > 1 or "." in text.partition(",")[2]:
        return whole
    point = f"'{text.replace('.', '').replace(',', '.')}' with a point"
    return f"{point} or {whole}, whichever you mean" if _THOUSANDS.search(text) else point


def _refusal(says: str) -> PydanticCustomError:
    return PydanticCustomError("quantity", "{says}", {"says": says})


def _plain(value: float) -> str:
    """The shortest figures that read back as the same number."""
    return f"{value:.0f}" if value == round(value) and abs(value) < 1e15 else repr(value)


# Sizes of wood routers run from a hand's width to a few metres; each bound leaves room on both sides.
Position = Annotated[float, Quantity("mm", -10_000, 10_000)]
Travel = Annotated[float, Quantity("mm", 10, 10_000)]
SheetSize = Annotated[float, Quantity("mm", 1, 10_000)]
Thickness = Annotated[float, Quantity("mm", 0.1, 500)]
Depth = Annotated[float, Quantity("mm", 0.01, 500)]
Diameter = Annotated[float, Quantity("mm", 0.1, 200)]
HoleDiameter = Annotated[float, Quantity("mm", 0.1, 5_000)]
SmallLength = Annotated[float, Quantity("mm", 0.1, 500)]
SmallError = Annotated[float, Quantity("mm", 0, 50)]
Gap = Annotated[float, Quantity("mm", 0, 500)]
Feed = Annotated[float, Quantity("mm/min", 1, 200_000)]
Acceleration = Annotated[float, Quantity("mm/s2", 1, 50_000)]
SpindleSpeed = Annotated[float, Quantity("rpm", 100, 100_000)]
Power = Annotated[float, Quantity("W", 10, 50_000)]
Current = Annotated[float, Quantity("A", 0.1, 400)]
Voltage = Annotated[float, Quantity("V", 10, 700)]
Seconds = Annotated[float, Quantity("s", 0, 600)]
Minutes = Annotated[float, Quantity("min", 0.1, 1_440)]
Days = Annotated[float, Quantity("days", 1, 10_000)]
Force = Annotated[float, Quantity("N", 1, 100_000)]
# A vacuum can never pull harder than the air presses: 101.325 kPa (standard atmosphere, ISO 2533:1975).
VacuumPressure = Annotated[float, Quantity("kPa", 0.1, 101.325)]
Flexibility = Annotated[float, Quantity("mm/N", 0.00001, 1)]
Angle = Annotated[float, Quantity("deg", -360, 360)]
HelixAngle = Annotated[float, Quantity("deg", 0, 70)]
