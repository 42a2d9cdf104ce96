"""What stands still while the program runs: stock, bed, clamps, cutters, nut; and what of it is not known."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from generator.program.setup import Outline, Setup
from generator.program.state import Place

# Drawn where the job does not give a diameter (mm); the page says so.
ASSUMED_DIAMETER = 6.0
# A bite into the bed up to this counts as meant (mm): a through cut has to go a little deeper than the board.
MEANT_BITE = 1.0


class SceneCutter(Struct, frozen=True, kw_only=True):
    """A cutter of the job; lengths in mm, None is unknown."""

    name: str
    number: int | None = None
    diameter: float | None = None
    stick_out: float | None = None


class Scene(Struct, frozen=True, kw_only=True):
    """The set-up with what only a drawing needs; lengths in mm, places in job coordinates.

    `zero` is the job's zero in machine coordinates; the first cutter is the one in the collet at the start.
    """

    setup: Setup
    cutters: tuple[SceneCutter, ...] = ()
    nut_length: float | None = None
    bed_thickness: float | None = None
    zero: Place = (None, None, None)

    def travel(self) -> Outline | None:
        """What the machine can reach in X and Y, in job coordinates; None where travel or zero is unknown."""
        (x0, y0, _), (x1, y1, _), (zero_x, zero_y, _) = self.setup.travel_low, self.setup.travel_high, self.zero
        if x0 is None or y0 is None or x1 is None or y1 is None or zero_x is None or zero_y is None:
            return None
        return x0 - zero_x, y0 - zero_y, x1 - zero_x, y1 - zero_y

    def as_json(self) -> dict[str, object]:
        """Plain data for the page."""
        setup = self.setup
        return {
            "stock": setup.stock,
            "top": setup.stock_top,
            "bottom": setup.stock_bottom,
            "safe": setup.safe_height,
            "bed": self.bed_thickness,
            "bite": MEANT_BITE,
            "clamps": [{"name": c.name, "box": c.outline, "top": c.top} for c in setup.clamps],
            "cutters": [
                {
                    "name": cutter.name,
                    "number": cutter.number,
                    "diameter": cutter.diameter or ASSUMED_DIAMETER,
                    "stickOut": cutter.stick_out,
                }
                for cutter in self.cutters or (SceneCutter(name="cutter"),)
            ],
            "nut": {"diameter": setup.nut_diameter, "length": self.nut_length},
            "travel": self.travel(),
        }

    def unknown(self) -> Iterator[str]:
        """A sentence for everything the drawing lacks, with what would settle it."""
        setup = self.setup
        if setup.stock is None:
            yield "The stock is not drawn: the job does not give its size in X and Y, or the corner of its zero."
        if setup.stock_top is None or setup.stock_bottom is None:
            yield "Depths are not drawn against the board: its measured thickness or its Z zero is not in the job file."
        if setup.cutter_diameter is None:
            yield f"The cutter is drawn {ASSUMED_DIAMETER:g} mm wide, a guess: the job does not give its diameter."
        if setup.nut_diameter is None or setup.stick_out is None:
            yield "The collet nut is not drawn: its diameter or the cutter's stick-out is not known. Measure both."
        if self.travel() is None:
            yield "The reach of the machine is not drawn: its travel, or where zero lies on the bed, is not known."
