"""README and DEVELOPERS.md keep up with the code."""

from __future__ import annotations

import re
import tomllib
from collections import Counter
from pathlib import Path

import click
import pytest

from generator.cli import main
from generator.load_content import KINDS, content_folder, load_some

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]


def commands(group: click.Group, before: str = "onionskin") -> list[str]:
    """Every command, those of groups too."""
    found = []
    for name, command in group.commands.items():
        found += commands(command, f"{before} {name}") if isinstance(command, click.Group) else [f"{before} {name}"]
    return found


@pytest.mark.parametrize("command", commands(main))
def test_the_readme_names_every_command(command: str) -> None:
    """A command nobody can read about does not exist for a user."""
    *group, verb = command.split()
    assert command in README or (" ".join(group) in README and re.search(rf"\b{verb}\b", README))


@pytest.mark.parametrize("command", commands(main))
def test_every_command_helps(command: str) -> None:
    """`--help` works everywhere and says something."""
    from click.testing import CliRunner

    result = CliRunner().invoke(main, [*command.split()[1:], "--help"])
    assert result.exit_code == 0
    assert len(result.output.splitlines()) > 4


def dependencies() -> list[str]:
    extras = PROJECT["optional-dependencies"].values()
    listed = [*PROJECT["dependencies"], *(item for extra in extras for item in extra)]
    return sorted({re.split(r"[<>=!\[ ]", item)[0] for item in listed})


@pytest.mark.parametrize("package", dependencies())
def test_every_dependency_has_its_reason(package: str) -> None:
    """DEVELOPERS.md says why each package is there."""
    assert package.lower() in DEVELOPERS.lower()


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_every_kind_of_content_is_explained(kind: str) -> None:
    """DEVELOPERS.md mentions each folder of content."""
    assert kind.removesuffix("s") in DEVELOPERS


def test_the_readme_opens_with_the_job_in_one_paragraph() -> None:
    """The first paragraph says who it is for and what it makes."""
    first = README.split("\n\n")[1]
    assert "router" in first
    assert "\n#" not in first


def test_pictures_of_the_readme_exist() -> None:
    """Every picture shown is in the repository."""
    pictures = re.findall(r"!\[[^\]]+\]\(([^)]+)\)", README)
    assert pictures
    for path in pictures:
        assert (ROOT / path).is_file(), path


def test_the_command_is_made_known_before_it_is_first_called() -> None:
    """`make course` leaves it in .venv, where no shell looks."""
    learner = README.split("## Five minutes as a learner")[1].split("## Five minutes as an inductor")[0]
    block = learner.split("```")[1].strip().splitlines()
    assert block[0].startswith(". .venv/bin/activate")
    assert block[1].startswith("onionskin new")
    assert ".venv/bin/onionskin" in learner.split("```")[0]


def test_the_examples_write_nothing_into_the_checkout() -> None:
    """Whoever tries them has no strange files in git afterwards."""
    for line in README.splitlines():
        if line.startswith("onionskin") and "$demo" in line:
            assert " -o ~/" in line
    assert "cd content" not in README


@pytest.mark.parametrize("page", ["README.md", "content/pages/index.md"])
def test_how_many_questions_a_lesson_ends_in_is_said_as_it_is(page: str) -> None:
    """At least five, since some have more."""
    questions = load_some([content_folder()], ("questions",)).questions.values()
    counts = Counter(question.lesson for question in questions)
    assert min(counts.values()) == 5 < max(counts.values())
    assert "ends in at least five questions" in (ROOT / page).read_text(encoding="utf-8")


def test_what_ends_with_0_is_said_where_people_look() -> None:
    """An open question ends with 0 and is no leave to cut: README, the program's help and that of the check say so."""
    from click.testing import CliRunner

    whole, check = (CliRunner().invoke(main, [*words, "--help"]).output for words in ([], ["check"]))
    assert "open questions end with 0" in " ".join(whole.split())
    assert "PASS and ASK end with 0, and ASK is no leave to cut" in " ".join(check.split())
    assert "verdict *ask* end with 0" in " ".join(README.split())
    assert "all is well" not in README
