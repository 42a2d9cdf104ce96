"""What a clamp tightened by hand can be relied on to press with.

Planning values. Torque: 0.5 N m on a wing nut, 1.0 on a knob of 25 to 40 mm, 1.5 on a star knob of about 50 mm are
our proposals, below the weaker hands of the studies read (Kreifeldt, Proc. Human Factors Society, 1985: mean
4.07 N m, SD 0.81, men on one product knob; Proc. Human Factors Society 27, 1983: women about 40 % of men).
"""

from __future__ import annotations

from generator.finding import Finding, Severity
from generator.hold.given import Band, HoldInputError, demand_number

HAND_TORQUE_NM = {"wing-nut": 0.5, "small-knob": 1.0, "star-knob": 1.5}

# Nut factors from a fastener maker's chart (zinc 0.17-0.35, dry steel about 0.20); 0.30 expected is our proposal,
# because a torque and nut-factor note (2020) shows the factor higher at low torque.
NUT_FACTOR = Band(0.20, 0.30, 0.35)
# preload set by feel scatters by 35 %: Machinery's Handbook, quoted by a note on preload methods (second-hand)
SCATTER_BY_FEEL = 0.35


def bolt_preload(torque_nm: float, nut_factor: float, diameter: float) -> float:
    """Preload F = T/(K d) in N of a bolt of `diameter` mm."""
    for name, value in (("torque", torque_nm), ("nut factor", nut_factor), ("bolt diameter", diameter)):
        demand_number(f"the {name}", value, above=0.0)
    return torque_nm * 1000 / (nut_factor * diameter)


def hand_preload(knob: str, diameter: float) -> Band:
    """Preload in N by hand: the low end is what can be relied on. Raises HoldInputError for an unknown knob."""
    if knob not in HAND_TORQUE_NM:
        raise HoldInputError(f"'{knob}' is not a knob we know; wanted {', '.join(HAND_TORQUE_NM)}")
    torque = HAND_TORQUE_NM[knob]
    sure = bolt_preload(torque, NUT_FACTOR.high, diameter) * (1 - SCATTER_BY_FEEL)
    expected = bolt_preload(torque, NUT_FACTOR.expected, diameter)
    return Band(sure, expected, bolt_preload(torque, NUT_FACTOR.low, diameter))


def strap_press(stud: Band, heel_to_stud: float, stud_to_work: float) -> Band:
    """Press on the work in N of a strap whose stud lies between heel and work: F a/(a + b)."""
    demand_number("the distance from heel to stud", heel_to_stud, above=0.0)
    demand_number("the distance from stud to work", stud_to_work, above=0.0)
    return stud.times(heel_to_stud / (heel_to_stud + stud_to_work))


def clamp_press(
    knob: str | None, bolt_diameter: float | None, heel_to_stud: float = 1.0, stud_to_work: float = 1.0
) -> tuple[Band, tuple[Finding, ...]]:
    """Press in N of a hand-tightened strap; what is not known is taken at its weakest, and said so."""
    unknown = [name for name, value in (("knob", knob), ("bolt diameter", bolt_diameter)) if value is None]
    # the weakest knob, and the thickest usual bolt because the same hand stretches it least
    stud = hand_preload(knob or "wing-nut", bolt_diameter or 8.0)
    if unknown:
        stud = Band(stud.low, stud.low, stud.expected)
    press = strap_press(stud, heel_to_stud, stud_to_work)
    return press, (_unknown_force(unknown, press),) if unknown else ()


def _unknown_force(unknown: list[str], press: Band) -> Finding:
    return Finding(
        id="hold-clamp-force-unknown", severity=Severity.WARN,
        says=f"the clamp's {' and '.join(unknown)} is not known; {press.low:.0f} N per clamp is taken, "
        "what a weak hand gives a wing nut on an M8 bolt",
        mend="write down the knob and the bolt diameter in the machine's profile",
    )  # fmt: skip
