"""What controllers differ in, and what each of our dialects makes of it."""

from __future__ import annotations

import pytest
import yaml
from msgspec.structs import replace

from generator.finding import Severity
from generator.program.dialect import CHOICES, PECULIARITIES, dialect_from
from generator.program.messages import MESSAGES
from generator.program.modal import G_GROUP, M_GROUP
from tests.program.make import AT_ZERO, DIALECTS, ROOT, dialect, ends, ids, read

# One line per peculiarity that shows it, behind a plain start; every other word of it is known everywhere.
SHOWN_BY = {
    "semicolon-comment": "G0 X1 ; a remark",
    "comment-not-closed": "G0 X1 (a remark",
    "line-too-long": "G0 X1 (" + "x" * 300 + ")",
    "line-number-too-long": "N123456789 G0 X1",
    "line-number-inside": "G0 N12 X1",
    "program-number": "O1234",
    "block-delete": "/G0 X1",
    "motion-with-cancel": "G0 G80",
    "bare-motion-code": "G0",
    "unused-word": "G0 X1 P2",
    "radius-arc-delicate": "G2 X12 Y3 R5",
    "rotary-word": "G0 A90",
    "feed-and-units-together": "G21 F100",
    "not-plain-text": "G0 X1 (caf\xe9)",
    "circle-without-end": "G2 I5",
    "third-offset-not-wanted": "G2 X12 Y3 I5 K0",
    "axis-after-cancel": "G80\nX5",
}
START = "G21 G90 G17 G94 G54 G40 G49\nG0 X2 Y3 Z5\nG1 Z4 F100\n"


@pytest.mark.parametrize("name", DIALECTS)
def test_a_dialect_says_what_it_does_with_every_peculiarity(name: str) -> None:
    """Every file loads, names itself as its file does, and leaves no peculiarity open."""
    assert dialect(name).id == name
    assert set(dialect(name).allows) == PECULIARITIES


@pytest.mark.parametrize("name", DIALECTS)
@pytest.mark.parametrize("habit", SHOWN_BY)
def test_peculiarities_are_treated_as_the_dialect_says(name: str, habit: str) -> None:
    """Accepted habits are silent, noted ones tell, refused ones stop the job and carry nothing out."""
    how = dialect(name).allows[habit]
    program = read(START + SHOWN_BY[habit] + "\nM2\n", in_dialect=name)
    found = [finding for finding in program.findings if finding.id == habit]
    if how == "accept":
        assert not found
    else:
        assert [finding.severity for finding in found] == [Severity.STOP if how == "refuse" else Severity(how)]
        assert found[0].line == START.count("\n") + 1 + SHOWN_BY[habit].count("\n")
        assert found[0].text


def test_every_peculiarity_and_message_has_words() -> None:
    """No finding can come without words and a mend; each peculiarity has an entry."""
    assert set(MESSAGES) >= PECULIARITIES
    assert all(message.says and message.mend for message in MESSAGES.values())


def test_all_faults_of_a_dialect_are_told_at_once() -> None:
    """A dialect with a missing key, a wrong choice and an unknown habit names all three."""
    table = yaml.safe_load((ROOT / "content" / "dialects" / "nist.yml").read_text(encoding="utf-8"))
    del table["systems"]
    table["arc_centres"] = "guessed"
    table["allows"]["sings"] = "accept"
    table["allows"]["block-delete"] = "perhaps"
    with pytest.raises(ValueError, match="systems") as fault:
        dialect_from(table)
    for word in ("guessed", "sings", "perhaps"):
        assert word in str(fault.value)


@pytest.mark.parametrize("name", DIALECTS)
def test_known_codes_are_followed_or_said_to_be_unjudged(name: str) -> None:
    """A code the dialect knows and this reader cannot follow ends with 'cannot judge', not with 'unknown'."""
    for code in dialect(name).g_codes - G_GROUP.keys():
        found = ids(read(START + f"G{code / 10:g}\nM2\n", in_dialect=name))
        assert "cannot-judge-code" in found
        assert "unknown-g-code" not in found
    for code in dialect(name).m_codes - M_GROUP.keys():
        assert "cannot-judge-code" in ids(read(START + f"M{code}\nM2\n", in_dialect=name))


def test_a_cycle_the_controller_does_not_know_is_refused() -> None:
    """G81 on the small streaming controller is a stop."""
    program = read(START + "G81 X5 Y5 Z-3 R2\nM2\n", in_dialect="small-streaming")
    assert "unknown-g-code" in ids(program)


def test_parameters_of_a_controller_without_them_cannot_be_judged() -> None:
    """An expression on a controller that has none is 'cannot judge', and the place is not known afterwards."""
    program = read(START + "G1 X[1+2]\nM2\n", in_dialect="small-streaming")
    assert "cannot-judge-expression" in ids(program)
    assert program.final.at[0] != program.final.at[0]


def test_pecks_come_up_to_the_level_of_the_dialect() -> None:
    """Between pecks the published language goes to the clear level, others only to R (Z10 and Z2 here)."""
    text = "G21 G90 G17 G94 G98\nG0 X0 Y0 Z10\nG1 Z10 F100\nG83 X5 Y5 Z-10 R2 Q6\nG80\nM2\n"
    assert [end[2] for end in ends(read(text))[4:8]] == [-4, 10, -3.746, -10]
    assert [end[2] for end in ends(read(text, in_dialect="hand-held"))[4:8]] == [-4, 2, -3.5, -10]


def test_dwell_is_counted_in_the_dialects_unit() -> None:
    """P500 is 500 s in the published language and half a second on the hand-held controller; X is a time there."""
    text = "G4 P500\nM2\n"
    assert next(iter(read(text).events)).value == 500
    assert next(iter(read(text, in_dialect="hand-held").events)).value == 0.5
    assert next(iter(read("G4 X500\nM2\n", in_dialect="hand-held").events)).value == 0.5


@pytest.mark.parametrize(("gap", "found"), [(0.0015, None), (0.005, "arc-slightly-off"), (0.2, "arc-radius-mismatch")])
def test_a_forgiving_controller_still_tells_of_a_sloppy_arc(gap: float, found: str | None) -> None:
    """Between the published limit of 0.002 mm and the controller's own an arc is cut, with a note."""
    program = read(START + f"G0 X0 Y0\nG2 X{10 + gap} Y0 I5 J0\nM2\n", in_dialect="computer-run")
    wanted = {found} if found else set()
    assert ids(program) & {"arc-slightly-off", "arc-radius-mismatch"} == wanted
    assert len(program.moves.arc_move) == (found != "arc-radius-mismatch")


@pytest.mark.parametrize("name", ["hand-held", "unknown"])
def test_the_older_unit_codes_are_understood_with_a_warning(name: str) -> None:
    """G70 is inch and G71 millimetre in the older numbering of ISO 6983 (from memory): read so, and told."""
    program = read("G70 G90 G94\nG0 X1 Y0 Z1\nM2\n", in_dialect=name)
    assert program.final.at[0] == 25.4
    assert [f.severity for f in program.findings if f.id == "units-by-old-code"] == [Severity.WARN]


def test_home_takes_all_axes_or_the_named_ones() -> None:
    """G28 Z0 sends every axis home in the published language, only Z in others."""
    start = replace(AT_ZERO, position=(10.0, 20.0, -5.0), home_28=(0.0, 0.0, 40.0))
    text = "G21 G90 G91\nG28 Z0\nM2\n"
    assert ends(read(text, start))[-1] == (0, 0, 40)
    assert ends(read(text, start, in_dialect="small-streaming"))[-1] == (10, 20, 40)


def test_absolute_arc_centres_where_the_dialect_has_them() -> None:
    """G90.1 makes I and J a place; the same arc fails when they are read as distances, and the finding says so."""
    arc = "G3 X10 Y20 I10 J10 F100\nM2\n"
    assert not [f for f in read(f"G21 G90 G17 G94\nG90.1\nG0 X20 Y10\n{arc}", in_dialect="computer-run").findings
                if f.severity is Severity.STOP]  # fmt: skip
    assert "arc-centre-fits-otherwise" in ids(read(f"G21 G90 G17 G94\nG0 X20 Y10\n{arc}", in_dialect="computer-run"))


def test_the_choices_are_all_in_use() -> None:
    """No choice of the table is a word that no dialect uses, apart from those a workshop may need."""
    used = {getattr(dialect(name), field) for name in DIALECTS for field in CHOICES}
    assert {"clear-level", "r-level", "all-axes", "named-axes", "s", "ms", "table", "none"} <= used


def test_g10_l20_sets_what_the_present_place_reads() -> None:
    """G10 L20 P1 X0 at X25 moves the zero to X25, where the dialect knows L20."""
    program = read("G21 G90 G94\nG0 X25 Y0 Z5\nG10 L20 P1 X0\nG0 X10\nM2\n", in_dialect="small-streaming")
    assert program.final.at[0] == 35
    assert program.final.reading(0) == 10


def test_findings_about_many_lines_are_one_finding_with_all_of_them() -> None:
    """The same note on 500 lines is one finding that lists the first lines and counts the rest."""
    program = read("G21 G90 G94\n" + "G0 X1 ; note\n" * 500 + "M2\n", in_dialect="hand-held")
    found = [finding for finding in program.findings if finding.id == "semicolon-comment"]
    assert len(found) == 1
    assert found[0].lines[:3] == (2, 3, 4)
    assert "500 lines" in found[0].says
