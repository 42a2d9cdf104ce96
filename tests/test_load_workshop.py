"""A workshop folder as a whole: what is read, how its files refer to each other, and what is refused."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from generator.errors import InputFaults
from generator.load_content import content_folder, load_some
from generator.load_workshop import Known, home_of_job, load_job, load_workshop

DEMO = Path(__file__).parent.parent / "content" / "demo" / "millrace"

JOB = """\
name: A job
machine: small
stock: {material: mdf}
cutters: [{id: six, kind: straight, diameter: 6 mm}]
operations:
  - {name: hole, cutter: six, kind: bore, depth: 2 mm, shape: {form: circle, x: 9 mm, y: 9 mm, diameter: 8 mm}}
"""


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """A small workshop without fault."""
    (tmp_path / "machines").mkdir()
    (tmp_path / "jobs").mkdir()
    (tmp_path / "workshop.yml").write_text("name: Shop\ndefault_machine: small\n")
    (tmp_path / "machines" / "small.yml").write_text("id: small\nname: Small\n")
    (tmp_path / "jobs" / "a.yml").write_text(JOB)
    return tmp_path


def faults(folder: Path, known: Known | None = None) -> list[str]:
    with pytest.raises(InputFaults) as caught:
        load_workshop(folder, known)
    return [str(fault).replace(f"{folder}/", "") for fault in caught.value.faults]


def test_the_demo_workshop_loads_without_fault() -> None:
    """Three machines, a job for each, Heron first."""
    home = load_workshop(DEMO)
    assert set(home.machines) == {"wren", "heron", "bittern"}
    assert {job.machine for job in home.jobs.values()} == set(home.machines)
    assert home.default_machine.id == home.jobs["dibber-board"].machine == "heron"
    assert home.content is None
    assert home.documents["wren"]["spindle"]["power"] == "650 W"


def test_every_shank_of_the_demo_fits_a_collet_and_every_nut_clears_its_clamps() -> None:
    """The demo sets no bad example: collets exist, flutes reach, nuts stay above the clamps at full depth."""
    home = load_workshop(DEMO)
    for job in home.jobs.values():
        spindle = home.machines[job.machine].spindle
        cutter, thickest = job.main_cutter, job.stock.thickness_max
        assert cutter.shank in (spindle.collets or ())
        assert thickest is not None
        assert (cutter.flute_length or 0) > thickest
        tallest = max(spot.height or 0 for spot in job.hold_downs or ())
        assert (cutter.stick_out or 0) - thickest > tallest
        assert (job.safe_height or 0) > tallest


def test_content_of_the_workshop_is_found(shop: Path) -> None:
    """A content folder beside workshop.yml is handed on; files that are no data are passed over."""
    (shop / "content").mkdir()
    (shop / "machines" / "notes.txt").write_text("dear diary")
    (shop / "machines" / ".hidden.yml").write_text("nonsense: [")
    assert load_workshop(shop).content == shop / "content"


def test_without_a_default_the_first_machine_by_id_is_it(shop: Path) -> None:
    """default_machine may be unknown."""
    (shop / "workshop.yml").write_text("name: Shop\ndefault_machine: unknown\n")
    (shop / "machines" / "big.yml").write_text("id: big\nname: Big\n")
    assert load_workshop(shop).default_machine.id == "big"


def test_a_machine_may_come_as_json(shop: Path) -> None:
    """A profile saved by the browser goes into machines/ as it is."""
    (shop / "machines" / "other.json").write_text('{"id": "other", "name": "Other", "travel": {"x": "400 mm"}}')
    assert load_workshop(shop).machines["other"].travel.x == 400


@pytest.mark.parametrize(
    ("file", "text", "says"),
    [
        ("workshop.yml", "name: S\ndefault_machine: smal",
         "workshop.yml:2:18: default_machine: there is no machine 'smal'; wanted 'small' (did you mean 'small'?)"),
        ("workshop.yml", "name: S\nrules: [{id: a, text: b, owner: x, reason: c, review: 2027-01-01, machines: [z]}]",
         "workshop.yml:2:78: rules[1].machines[1]: there is no machine 'z'"),
        ("workshop.yml", "name: S\npeople: [{id: k, name: keeper}]\n"
         "rules: [{id: a, text: b, owner: keper, reason: c, review: 2027-01-01}]",
         "workshop.yml:3:33: rules[1].owner: there is no role 'keper'; wanted 'k' or 'keeper' (did you mean 'keep"),
        ("workshop.yml", "name: S\npeople: [{id: k, name: a}, {id: k, name: b}]",
         "workshop.yml:2:33: 'k' is used on line 2 already; rename one"),
        ("jobs/a.yml", JOB.replace("machine: small", "machine: smaller"),
         "jobs/a.yml:2:10: machine: there is no machine 'smaller'"),
        ("jobs/a.yml", JOB.replace("cutter: six", "cutter: sicks"),
         "jobs/a.yml:6:26: operations[1].cutter: there is no cutter of this job 'sicks'; wanted 'six'"),
        ("jobs/a.yml", JOB.replace("{id: six", "{id: six}, {id: six"), "'six' is used on line 4 already; rename one"),
        ("jobs/a.yml", JOB.replace("diameter: 8 mm", "diameter: 5 mm"),
         "jobs/a.yml:6:63: hole: a 5 mm opening is narrower than its 6 mm cutter; check both"),
        ("jobs/a.json", JOB, "jobs/a.json:1:1: this is not JSON"),
        ("jobs/a.yaml", JOB, "is named like a.yaml but for its ending; rename one"),
        ("machines/small.json", '{"id": "small", "name": "Again"}',
         "machines/small.yml:1:5: id: another machine is called 'small' too; rename one"),
        ("machines/other.yml", "id: other\nname: [\n", "machines/other.yml:3:1: a value is missing here"),
        ("machines/other.yml", "", "machines/other.yml: is empty"),
    ],
)  # fmt: skip
def test_faults_between_files_name_the_place_and_the_mend(shop: Path, file: str, text: str, says: str) -> None:
    """Ids that do not exist, that exist twice, and cuts that cannot be are told with their line."""
    (shop / file).write_text(text)
    assert says in "\n".join(faults(shop))


def test_ids_of_the_course_are_checked_where_they_are_given(shop: Path) -> None:
    """Materials, cutter kinds, dialects and countries are compared with what the course knows."""
    (shop / "workshop.yml").write_text("name: Shop\ncountry: atlantis\n")
    (shop / "machines" / "small.yml").write_text(
        "id: small\nname: S\ncontroller: {dialect: klingon}\ntooling: [{id: a, kind: spoon}]"
    )
    known = Known(materials={"plywood", "mdf-board"}, cutters={"upcut"}, dialects={"plain"}, overlays={"uk"})
    told = "\n".join(faults(shop, known))
    wanted = ["country 'atlantis'", "dialect 'klingon'", "cutter 'spoon'", "cutter 'straight'", "material 'mdf'"]
    assert [words for words in wanted if f"there is no {words}" not in told.replace("kind of ", "")] == []
    assert "there is no material 'mdf'; wanted 'mdf-board' or 'plywood'" in told
    assert load_workshop_quietly(shop)


def test_a_cutter_that_is_called_otherwise_gets_the_list_and_no_guess(shop: Path) -> None:
    """'endmill' is like 'drill' in letters only."""
    kinds = set(load_some([content_folder()], ("cutters",)).cutters)
    (shop / "jobs" / "a.yml").write_text(JOB.replace("kind: straight", "kind: endmill"))
    told = "\n".join(faults(shop, Known(cutters=kinds)))
    assert "did you mean" not in told
    assert [kind for kind in kinds if f"'{kind}'" not in told] == []


def load_workshop_quietly(folder: Path) -> bool:
    """Without known ids the same folder is fine."""
    return bool(load_workshop(folder).machines)


def test_a_machine_with_faults_is_not_reported_missing_as_well(shop: Path) -> None:
    """One slip is one fault: jobs that use the machine stay silent."""
    (shop / "machines" / "small.yml").write_text("id: small\nname: Small\ntravel: {x: 0 mm}\n")
    assert len(faults(shop)) == 1


def test_faults_of_all_files_come_together(shop: Path) -> None:
    """One run names the faults of workshop, machines and jobs."""
    (shop / "workshop.yml").write_text("nam: Shop\n")
    (shop / "machines" / "small.yml").write_text("id: small\nname: S\nbed: 3\n")
    (shop / "jobs" / "a.yml").write_bytes(b"\0\1\2")
    files = [fault.split(":")[0] for fault in faults(shop)]
    assert files == ["jobs/a.yml", "machines/small.yml", "workshop.yml", "workshop.yml"]


def test_a_folder_that_is_no_workshop_is_told_what_it_lacks(tmp_path: Path) -> None:
    """A missing folder, a file, and an empty folder each get their own sentence."""
    assert "there is no such folder" in faults(tmp_path / "none")[0]
    (tmp_path / "file").write_text("x")
    assert "is a file; name the workshop's folder" in faults(tmp_path / "file")[0]
    (tmp_path / "empty").mkdir()
    assert faults(tmp_path / "empty") == [
        "machines: holds no machine; add machines/NAME.yml",
        "workshop.yml: there is no such file",
    ]


def test_a_job_brings_its_machine_and_workshop(shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The workshop is found from the job's place, also by a bare file name from inside jobs/."""
    case = load_job(shop / "jobs" / "a.yml")
    assert (case.id, case.machine.name, case.home.workshop.name) == ("a", "Small", "Shop")
    monkeypatch.chdir(shop / "jobs")
    assert load_job(Path("a.yml")).machine == case.machine


def test_faults_of_other_jobs_do_not_stop_this_one(shop: Path) -> None:
    """Planning one job reads no other."""
    (shop / "jobs" / "broken.yml").write_text("[")
    assert load_job(shop / "jobs" / "a.yml").job.name == "A job"


def test_a_job_outside_a_workshop_is_told_where_to_go(shop: Path, tmp_path: Path) -> None:
    """A job file elsewhere, or none at all, is refused in words."""
    elsewhere = tmp_path / "elsewhere.yml"
    shutil.copy(shop / "jobs" / "a.yml", elsewhere)
    with pytest.raises(InputFaults, match="jobs/ folder of a workshop; move it there"):
        load_job(elsewhere)
    with pytest.raises(InputFaults, match="there is no such file"):
        load_job(shop / "jobs" / "none.yml")


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("", "is a folder; name a job file in its jobs/ folder, it has: a.yml"),
        ("jobs", "is a folder; name a job file in its jobs/ folder, it has: a.yml"),
        ("workshop.yml", "is the workshop's file; name a job file in its jobs/ folder, it has: a.yml"),
        ("machines/small.yml", "is the file of a machine; name a job file in its jobs/ folder, it has: a.yml"),
        ("programs/a.nc", "is no job file; name one in its jobs/ folder, it has: a.yml"),
        ("jobs/b.yml", "there is no such file"),
    ],
)
def test_what_is_given_for_a_job_and_is_none_leads_to_the_jobs(shop: Path, name: str, says: str) -> None:
    """A folder, the workshop's own file, a machine or a program: each is told for what it is."""
    (shop / "programs").mkdir()
    (shop / "programs" / "a.nc").write_text("G21\n")
    with pytest.raises(InputFaults) as caught:
        home_of_job(shop / name)
    assert str(caught.value) == f"{shop / name}: {says}"
