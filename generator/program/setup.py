"""What surrounds the program: stock, clamps, cutter and machine limits. None is unknown; lengths in mm."""

from __future__ import annotations

from msgspec import Struct

from generator.program.state import UNKNOWN, Place

Outline = tuple[float, float, float, float]


class Clamp(Struct, frozen=True, kw_only=True):
    """A solid thing on the table: outline (x low, y low, x high, y high) and top, in job coordinates."""

    name: str
    outline: Outline
    top: float


class Setup(Struct, frozen=True, kw_only=True):
    """Stock and clamps in job coordinates; `travel_low` and `travel_high` in machine coordinates.

    Feeds in mm/min, `acceleration` in mm/s2, `run_up` in s. `hand_speed` is the speed a person sets at the
    machine; where it is given it counts instead of the program's S words. A nut of unknown size is taken as the widest.
    """

    stock: Outline | None = None
    stock_top: float | None = None
    stock_bottom: float | None = None
    safe_height: float | None = None
    clamps: tuple[Clamp, ...] = ()
    cutter_diameter: float | None = None
    flutes: int | None = None
    flute_length: float | None = None
    stick_out: float | None = None
    nut_diameter: float | None = None
    hand_speed: float | None = None
    run_up: float | None = None
    speed_min: float | None = None
    speed_max: float | None = None
    travel_low: Place = UNKNOWN
    travel_high: Place = UNKNOWN
    feed_max_xy: float | None = None
    feed_max_z: float | None = None
    rapid: float | None = None
    acceleration: float | None = None


def travel_box(travel: Place, signs: str) -> tuple[Place, Place]:
    """Lowest and highest machine coordinates for travels x, y, z (mm).

    `signs` is 'positive' (0 to travel) or 'negative' (-travel to 0); anything else leaves both unknown.
    """
    x, y, z = travel
    nought: Place = (_scaled(x, 0.0), _scaled(y, 0.0), _scaled(z, 0.0))
    if signs == "positive":
        return nought, travel
    if signs == "negative":
        return (_scaled(x, -1.0), _scaled(y, -1.0), _scaled(z, -1.0)), nought
    return UNKNOWN, UNKNOWN


def _scaled(value: float | None, factor: float) -> float | None:
    return None if value is None else value * factor
