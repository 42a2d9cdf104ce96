"""What the entries of tests/data/rs274_checks.yml want found, as verdicts and findings of the whole check.

The entries and their sources (T. R. Kramer, F. M. Proctor, E. Messina, NISTIR 6556, 2000, and our own reasoning where
an entry says so) are the same as in tests/program; there the facts are held to them, here the words people get.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

from generator.program_check.cases import check_on_bench
from generator.program_check.run import Checked

CHECKS: list[dict[str, Any]] = yaml.safe_load(
    (Path(__file__).parent.parent / "data" / "rs274_checks.yml").read_text(encoding="utf-8")
)["checks"]
WANTED = {entry["id"]: entry for entry in CHECKS if entry["expected"].get("findings") is not None}
# "X0..200 Y0..100, thickness 18, top Z0; travel 600 x 400 x 80, work zero at (50,50), Z0 30 above the lowest point".
JOB = {
    "stock.thickness_nominal": "18 mm", "stock.thicknesses": ["18 mm"], "stock.size_x": "200 mm",
    "stock.size_y": "100 mm", "safe_height": "5 mm", "operations": [], "zero.bed_x": "50 mm", "zero.bed_y": "50 mm",
    "hold_downs": [], "program": "unknown",
}  # fmt: skip
CLAMP = {"kind": "t-slots", "name": "clamp", "x": "100 mm", "y": "-2.5 mm", "size_x": "20 mm", "size_y": "35 mm",
         "height": "12 mm"}  # fmt: skip
MACHINE = {
    "travel": {"x": "600 mm", "y": "400 mm", "z": "80 mm", "start_x": "0 mm", "start_y": "0 mm", "z_clear": "100 mm"},
    "limits.margin": "0 mm", "spindle.run_up": "3 s", "spindle.nut_diameter": "unknown",
    "controller": {"dialect": "nist", "units_default": "as-last-left"}, "tool_change.kind": "skipped",
}  # fmt: skip

# Entry -> verdict, and the findings that must be among what is said. 'ask': the entries do not say what the job cuts.
SAID: dict[str, tuple[str, set[str]]] = {
    "nist-c1-hello-world": ("stop", {"distance-not-said", "feed-absurdly-low", "spindle-left-on", "state-taken-over"}),
    "nist-table-12-contour-as-programmed": ("stop", {"compensation", "no-feed", "no-program-end"}),
    "err-g1-no-feed": ("stop", {"no-feed"}),
    "err-arc-no-centre": ("stop", {"arc-no-centre"}),
    "err-absolute-centre-read-as-incremental": ("stop", {"arc-centre-fits-otherwise"}),
    "err-no-end": ("stop", {"truncated"}),
    "err-percent-only-at-start": ("ask", {"percent-not-closed"}),
    "units-inch-then-mm": ("stop", {"units-change-late", "truncated"}),
    "incremental-square": ("stop", {"cuts-only-air"}),
    "offsets-g54-g53-g55": ("stop", {"second-zero", "zero-overwritten"}),
    "g28-through-a-point": ("stop", {"home-used"}),
    "g28-absolute-z0-stops-at-the-surface": ("stop", {"home-used"}),
    "cycle-g81-four-holes-g98-g99": ("stop", {"rapid-low"}),
    "cycle-g83-three-pecks": ("stop", {"truncated"}),
    "cycle-start-below-r": ("stop", {"truncated"}),
    "cycle-left-by-g0": ("stop", {"spindle-never-started"}),
    "order-m5-on-a-cutting-line": ("stop", {"spindle-off-in-cut", "spindle-stopped-in-cut", "ends-in-the-work"}),
    "tool-change-stops-the-spindle": ("stop", {"spindle-off-in-cut"}),
    "nothing-runs-after-m2": ("ask", {"motion-after-end"}),
    "find-clean": ("ask", set()),
    "find-spindle-never": ("stop", {"spindle-never-started"}),
    "find-spindle-s-zero": ("stop", {"spindle-no-speed"}),
    "find-no-run-up": ("stop", {"no-run-up"}),
    "find-plunge-at-rapid": ("stop", {"rapid-plunge"}),
    "find-rapid-through-stock": ("stop", {"rapid-through-stock"}),
    "find-diagonal-rapid-into-stock": ("stop", {"rapid-through-stock"}),
    "find-clamp": ("stop", {"rapid-into-clamp"}),
    "find-too-deep": ("stop", {"step-far-too-deep", "drilling-into-bed"}),
    "find-no-retract": ("stop", {"ends-in-the-work", "spindle-stopped-in-cut"}),
    "find-travel": ("stop", {"z-too-high"}),
    "find-arc-travel": ("stop", {"outside-stock-far"}),
    "find-tool-change-without-stop": ("stop", {"tool-change-skipped", "z-after-change"}),
    "find-inch-in-mm-job": ("stop", {"unit-too-large"}),
    "find-units-missing": ("stop", {"units-not-said"}),
    "find-left-incremental": ("ask", {"incremental-at-end", "ends-low"}),
    "find-feed-per-tooth": ("ask", {"chip-rubbing"}),
    "find-plunge-at-cutting-feed": ("ask", {"plunge-at-cutting-feed"}),
    "find-ramp": ("ask", set()),
    "find-beam-file": ("wrong-kind", {"beam-program"}),
    "find-extruder-file": ("wrong-kind", {"extruder-program"}),
    "find-truncated": ("stop", {"truncated", "number-missing"}),
    "find-percent-and-rest": ("ask", {"text-after-end"}),
    "find-block-delete": ("ask", {"block-delete-matters"}),
    "find-unset-parameter": ("stop", {"cannot-judge-parameter"}),
    "find-semicolon-comments": ("stop", {"semicolon-comment"}),
    "find-written-out-pecks-clean": ("ask", set()),
    "find-written-out-pecks-too-far": ("stop", {"rapid-plunge"}),
    "find-zero-on-the-table": ("pass", {"step-too-deep"}),
}  # fmt: skip
# Clean in the language and in their geometry. Two of them feed slower than a careful chip load: another matter.
CLEAN = ("find-clean", "find-ramp", "find-written-out-pecks-clean")
OTHER_MATTERS = {"chip-rubbing", "plunge-fast"}


def checked(entry: dict[str, Any], folder: Path) -> Checked:
    job = JOB | ({"hold_downs": [CLAMP]} if entry["id"] == "find-clamp" else {})
    if "table" in str(entry.get("assume", {}).get("stock")):
        job |= {"zero.z": "bed"}
    path = folder / "program.nc"
    path.write_text(entry["program"], encoding="utf-8", newline="")
    return check_on_bench(path, job, MACHINE)


@pytest.mark.parametrize("id_", SAID)
def test_what_an_entry_wants_found_is_said(id_: str, tmp_path: Path) -> None:
    """Verdict and findings come out as the entry wants them."""
    verdict, ids = SAID[id_]
    judged = checked(WANTED[id_], tmp_path).judged
    assert ids <= {finding.id for finding in judged.findings}
    assert judged.verdict == verdict


@pytest.mark.parametrize("id_", CLEAN)
def test_clean_entries_bring_neither_stop_nor_warning(id_: str, tmp_path: Path) -> None:
    """What the table calls clean is left in peace."""
    findings = checked(WANTED[id_], tmp_path).judged.findings
    assert {finding.id for finding in findings if finding.severity != "note"} <= OTHER_MATTERS


def test_a_cut_below_the_stock_is_told_in_millimetres(tmp_path: Path) -> None:
    """0.6 mm below the stock, in one pass of 18.6 mm."""
    result = checked(WANTED["find-too-deep"], tmp_path)
    assert result.facts["fit.bed_bite"] == pytest.approx(0.6)
    assert any("18.6" in finding.says for finding in result.judged.findings)


def test_every_entry_that_wants_findings_is_asked() -> None:
    """None is forgotten."""
    assert set(SAID) == set(WANTED)
