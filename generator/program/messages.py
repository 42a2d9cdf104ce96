"""What the reader says about a program: one entry per kind of finding, in one place.

Faults of the language follow the error list of NISTIR 6556 (2000); the words and the mends are our own.
"""

from __future__ import annotations

from typing import NamedTuple

from generator.finding import Severity

STOP, WARN, NOTE = Severity.STOP, Severity.WARN, Severity.NOTE


class Message(NamedTuple):
    """Severity, what is said (with named places for details) and what to do about it."""

    severity: Severity
    says: str
    mend: str


_REPOST = "Write the program out again for your controller, and check the new file from the start."
_DRAW = "Look at this place in the drawing program and write the program out again."
_ASK = "Do not run it on trust: ask whoever keeps the machine, or write the program out without it."
_HAND = "If the line was typed by hand, put it right; if not, write the program out again."
_UNROLL = "Write the program out as plain moves, without parameters, loops or subprograms."

MESSAGES: dict[str, Message] = {
    # The file as a whole
    "wrong-kind-of-file": Message(STOP, "This file is not a program: it looks like {kind}.", "Choose another file."),
    "nothing-in-file": Message(STOP, "The file is empty.", "Write the program out again; the stick may be full."),
    "no-motion": Message(STOP, "No line of the file moves the machine.", "Check that this is the right file."),
    "no-program-end": Message(STOP, "The program just stops: no M2 or M30. It may be cut off.", _REPOST),
    "percent-not-closed": Message(NOTE, "The file opens with % and has no second % at its end.", _REPOST),
    "percent-inside": Message(WARN, "A line with % alone ends the program here, with no % at its start.", _REPOST),
    "text-after-end": Message(NOTE, "Text after the closing % is never read.", "Nothing, if you expected it."),
    "motion-after-end": Message(
        WARN, "Moves after the end of the program are never carried out.", "Find out which program they belong to."
    ),
    "byte-order-mark": Message(NOTE, "The file starts with an invisible mark that some controllers refuse.", _REPOST),
    "cannot-judge-length": Message(
        STOP, "Reading stopped: more than {lines} lines, {moves} moves or 2 GB.", "Split the job into shorter programs."
    ),
    # Characters, numbers and comments
    "line-beyond-reading": Message(STOP, "The line is longer than {longest} characters; it was not read.", _REPOST),
    "line-too-long": Message(NOTE, "The line is longer than the {longest} characters the controller takes.", _REPOST),
    "not-plain-text": Message(NOTE, "The line has letters outside plain text; some controllers stop there.", _HAND),
    "control-character": Message(STOP, "The line holds the character number {code}, which is not text.", _REPOST),
    "character-not-allowed": Message(STOP, "The sign {sign} does not belong in a program.", _HAND),
    "decimal-comma": Message(STOP, "A comma stands where a decimal point belongs.", "Write 12.5, not 12,5."),
    "exponent-number": Message(STOP, "A number is written with an exponent, which controllers misread.", _REPOST),
    "number-missing": Message(STOP, "A letter has no number behind it, after {before}.", _REPOST),
    "number-too-large": Message(STOP, "A number is larger than any machine.", _REPOST),
    "whole-number-wanted": Message(STOP, "The number of {letter} must be whole.", _HAND),
    "negative-not-allowed": Message(STOP, "The number of {letter} must not be negative.", _HAND),
    "comment-nested": Message(STOP, "A comment opens inside a comment.", "Take out the inner brackets."),
    "comment-not-closed": Message(STOP, "A comment is opened and never closed.", "Close it with a bracket."),
    "comment-not-opened": Message(STOP, "A comment is closed and was never opened.", _HAND),
    "semicolon-comment": Message(NOTE, "A comment starts with a semicolon; strict controllers refuse that.", _REPOST),
    "line-number-too-long": Message(NOTE, "A line number has more than {digits} digits.", _REPOST),
    "line-number-inside": Message(NOTE, "A line number stands behind other words.", _REPOST),
    "program-number": Message(NOTE, "The program has a number; some controllers refuse that.", _REPOST),
    "block-delete": Message(
        WARN,
        "Lines marked / run or not, as a switch at the machine says.",
        "Know where that switch stands before you start.",
    ),
    # Words and codes
    "unknown-letter": Message(STOP, "The letter {letter} means nothing on this machine.", _REPOST),
    "unknown-g-code": Message(STOP, "{code} is not a code of your controller.", _REPOST),
    "unknown-m-code": Message(STOP, "{code} is not a code of your controller.", _REPOST),
    "letter-twice": Message(STOP, "The letter {letter} stands twice on one line.", _HAND),
    "two-of-a-group": Message(STOP, "{one} and {two} contradict each other on one line.", _HAND),
    "too-many-m-codes": Message(STOP, "More than {most} M codes on one line.", _HAND),
    "several-g-codes": Message(NOTE, "More than {most} G codes on one line.", _REPOST),
    "unused-word": Message(NOTE, "No code of the line uses the word {letter}.", _HAND),
    "rotary-word": Message(STOP, "The word {letter} turns an axis your machine does not have.", _REPOST),
    "two-codes-want-axes": Message(STOP, "{one} and {two} both want the axis words of the line.", _HAND),
    "axis-with-cancel": Message(STOP, "G80 ends motion, yet its line has axis words.", _HAND),
    "axis-after-cancel": Message(
        WARN, "After G80 a line has axis words and no G code; here it is taken as {code}.", "Put G0 or G1 on that line."
    ),
    "motion-with-cancel": Message(NOTE, "G80 stands with a motion code; strict controllers refuse that.", _REPOST),
    "motion-inherited": Message(
        STOP, "Axis words without G0 or G1: the machine does what the last program left in force.", _REPOST
    ),
    "bare-motion-code": Message(NOTE, "{code} stands without axis words; strict controllers refuse that.", _REPOST),
    "units-by-old-code": Message(
        WARN, "{code} sets the units by a code many controllers do not know.", "Use G20 or G21 on a line of its own."
    ),
    "feed-and-units-together": Message(
        WARN, "F and a change of units share a line: controllers differ in which unit F counts.", _REPOST
    ),
    "dwell-without-time": Message(STOP, "{code} waits, but for how long is not said.", "Add P and the time."),
    "dwell-by-other-letter": Message(NOTE, "The time of the wait stands behind {letter}, not P.", _REPOST),
    "machine-move-not-straight": Message(STOP, "G53 goes with G0 or G1 only.", _HAND),
    "machine-move-incremental": Message(STOP, "G53 under G91 has no meaning.", "Set G90 before it."),
    "machine-move-compensated": Message(STOP, "G53 is not allowed while G41 or G42 is on.", "Set G40 before it."),
    "machine-move-without-axes": Message(STOP, "G53 has no axis words.", _HAND),
    "units-with-compensation": Message(STOP, "Units change while G41 or G42 is on.", "Set G40 first."),
    "system-with-compensation": Message(STOP, "The zero changes while G41 or G42 is on.", "Set G40 first."),
    "compensation-outside-xy": Message(STOP, "G41 and G42 work in the plane G17 only.", _HAND),
    "compensation-already-on": Message(STOP, "G41 or G42 is on already.", "Set G40 between the two."),
    "radius-compensation-on": Message(
        WARN,
        "The controller is to shift the path by the cutter's radius; here the path is judged unshifted.",
        "Let the drawing program shift the path, and leave G41 and G42 out.",
    ),
    "length-offset-without-h": Message(STOP, "G43 does not say which tool length.", "Add H and the tool number."),
    "length-offset-not-there": Message(
        STOP, "G43 H{index} reads a tool table your controller does not have.", "Write the program out without G43."
    ),
    "length-offset-not-known": Message(
        WARN,
        "G43 H{index} shifts Z by a length this check does not know; Z is judged as if it were right.",
        "See in the tool table that H{index} is the cutter you will fit, and was measured.",
    ),
    "origin-way-unknown": Message(STOP, "G10 needs {ways}.", _HAND),
    "origin-system-out-of-range": Message(STOP, "G10 names no zero from P1 to P{systems}.", _HAND),
    "shift-without-axes": Message(STOP, "G92 has no axis words.", _HAND),
    "zero-set-where-cutter-stands": Message(
        WARN,
        "G92 makes the place where the cutter stands the zero; here that is taken to be the job's zero.",
        "Put the cutter exactly there before every start, or take G92 out and use the stored zero.",
    ),
    "home-stored-anew": Message(WARN, "{code} overwrites a stored place of the machine.", _ASK),
    # Feed
    "no-feed": Message(STOP, "{code} has no feed: no F before it, or F0.", "Put F on the first cutting line."),
    "inverse-time-without-feed": Message(STOP, "Under G93 every cutting line needs its own F.", _REPOST),
    # Arcs
    "arc-no-centre": Message(STOP, "An arc has neither centre nor radius; a G1 may be missing here.", _DRAW),
    "arc-mixed-forms": Message(STOP, "An arc has both a radius and a centre.", _DRAW),
    "arc-end-is-start": Message(STOP, "An arc with R ends where it starts: its centre could be anywhere.", _DRAW),
    "arc-radius-too-small": Message(
        STOP, "The radius {radius} mm is too small: half the way across is {half} mm.", _DRAW
    ),
    "arc-zero-radius": Message(STOP, "The arc has no radius.", _DRAW),
    "arc-radius-mismatch": Message(
        STOP,
        "The arc starts {start} mm and ends {end} mm from its centre; no more than {limit} mm may lie between.",
        "Check start point, plane and centre; the line before it may be missing.",
    ),
    "arc-centre-fits-otherwise": Message(
        STOP,
        "Centre read your controller's way, the radii are {start} and {end} mm; read the other way it fits.",
        "The program was written for another setting of arc centres (G90.1 or G91.1): write it out again.",
    ),
    "arc-slightly-off": Message(NOTE, "Start and end radius differ a little; strict controllers refuse it.", _REPOST),
    "wrong-offset-letter": Message(STOP, "The centre word {letter} does not fit the plane of the arc.", _DRAW),
    "third-offset-not-wanted": Message(NOTE, "{letter}0 on an arc line; strict controllers refuse it.", _REPOST),
    "circle-without-end": Message(NOTE, "A full circle without {one} or {two}; strict controllers refuse it.", _REPOST),
    "radius-arc-delicate": Message(
        WARN, "An R arc near a half or full circle: the last digit moves its centre far.", "Write arcs with I and J."
    ),
    # Canned cycles
    "cycle-without-axes": Message(STOP, "A drilling cycle has no axis words.", _HAND),
    "cycle-without-r": Message(STOP, "The drilling cycle has no R to start from.", _HAND),
    "cycle-without-bottom": Message(STOP, "The drilling cycle has no depth {letter}.", _HAND),
    "cycle-r-below-bottom": Message(STOP, "The R of the drilling cycle lies below its depth.", _HAND),
    "cycle-without-dwell": Message(STOP, "{code} needs a dwell time P.", _HAND),
    "cycle-without-peck": Message(STOP, "{code} needs the depth of one peck, Q.", _HAND),
    "peck-not-positive": Message(STOP, "The peck Q must be more than zero.", _HAND),
    "cycle-without-repeats": Message(STOP, "A drilling cycle is to be repeated no times.", _HAND),
    "cycle-in-inverse-time": Message(STOP, "A drilling cycle stands under G93.", "Set G94 before it."),
    "cycle-with-compensation": Message(STOP, "A drilling cycle runs while G41 or G42 is on.", "Set G40 before it."),
    "cycle-needs-spindle": Message(STOP, "{code} needs a turning spindle.", _HAND),
    "cycle-too-long": Message(STOP, "The drilling cycle asks for more than {most} strokes.", "Check Q and L."),
    "back-bore-incomplete": Message(STOP, "G87 needs I, J and K.", _HAND),
    # Expressions
    "unknown-function": Message(STOP, "{name} is not a function of the language.", _HAND),
    "unknown-operator": Message(STOP, "No sum can go on with {at}.", _HAND),
    "expression-not-closed": Message(STOP, "A square bracket is not closed.", _HAND),
    "atan-without-second-part": Message(STOP, "ATAN needs two parts, as in ATAN[1]/[2].", _HAND),
    "no-answer": Message(STOP, "{name} has no answer here (division by zero, or too large).", _HAND),
    "nested-too-deeply": Message(STOP, "Brackets stand more than {depth} deep.", _UNROLL),
    "equals-missing": Message(STOP, "Behind #{number} an = is missing.", _HAND),
    "parameter-number-out-of-range": Message(STOP, "#{number} is not a parameter from 1 to {highest}.", _HAND),
    # What this reader cannot judge
    "cannot-judge-expression": Message(
        STOP, "Parameters and sums: your controller does not know them, nothing behind can be judged.", _UNROLL
    ),
    "cannot-judge-parameter": Message(
        STOP, "#{number} is never set here: where this leads hangs on what the controller remembers.", _UNROLL
    ),
    "cannot-judge-parameter-number": Message(STOP, "Which parameter is meant cannot be told.", _UNROLL),
    "cannot-judge-stored-place": Message(
        STOP, "#{number} holds a stored zero of the machine; what follows cannot be judged.", _ASK
    ),
    "cannot-judge-subprogram": Message(STOP, "A subprogram: what it does is not in this line. Not judged.", _UNROLL),
    "cannot-judge-loop": Message(STOP, "A loop or a jump: this check follows none. Not judged.", _UNROLL),
    "cannot-judge-code": Message(STOP, "{code}: your controller may know it, this check cannot follow it.", _ASK),
    "cannot-judge-machine-coordinates": Message(
        WARN,
        "G53 {letter} is counted from the machine's own zero, and where the job lies from there is not known.",
        "Give the job's zero in machine coordinates, or look where G53 goes in an air run.",
    ),
    "cannot-judge-home": Message(
        WARN, "Where the stored place lies is not known; the moves after it cannot be judged.", _ASK
    ),
    "cannot-judge-origin": Message(
        STOP, "{system} is set to a place this check does not know; what follows cannot be judged.", _ASK
    ),
    "cannot-judge-system": Message(
        STOP, "{system} is a second zero, and where it lies is not known; its moves cannot be judged.", _ASK
    ),
    "cannot-judge-arc": Message(STOP, "Where the arc starts is not known, so neither is where it goes.", _REPOST),
    "cannot-judge-cycle": Message(STOP, "Where the drilling cycle starts or ends is not known.", _REPOST),
    "cannot-judge-manual-retract": Message(
        STOP, "G88 waits for someone to lift the cutter by hand; what follows hangs on that.", _UNROLL
    ),
}  # fmt: skip
