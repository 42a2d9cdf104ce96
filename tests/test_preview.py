"""`onionskin preview`: where it is, at once; a saved file shows on the served page, and so does what is wrong in one."""

from __future__ import annotations

import shutil
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner

from generator.cli import main
from generator.course import demo_folder

# No page of ours is slower to come than this while nothing is being built; before, it never came.
AT_ONCE = 5


@pytest.fixture
def port() -> int:
    """A port that nobody uses."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The demo workshop, free to be changed."""
    return Path(shutil.copytree(demo_folder(), tmp_path / "workshop"))


@pytest.fixture
def server(folder: Path, port: int) -> Iterator[subprocess.Popen[str]]:
    """A preview of `folder` with its output in pipes, as a script would start it."""
    command = [sys.executable, "-m", "generator", "preview", str(folder), "--address", f"127.0.0.1:{port}"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as running:
        yield running
        running.terminate()
        running.communicate(timeout=10)


def page_at(port: int) -> str:
    """The start page as a browser shows it, whatever its status; empty where nothing answers in time."""
    try:
        with urllib.request.urlopen(f"http://127.0.0.1:{port}/index.html", timeout=AT_ONCE) as answer:
            return str(answer.read().decode("utf-8"))
    except urllib.error.HTTPError as answer:
        return answer.read().decode("utf-8")
    except OSError:
        return ""


def waited_for(port: int, words: str, seconds: float = 60) -> bool:
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if words in page_at(port):
            return True
        time.sleep(0.3)
    return False


def test_a_saved_machine_file_rebuilds_the_served_course(
    server: subprocess.Popen[str], folder: Path, port: int
) -> None:
    """The address comes first, a page at once, then the course; it follows an edit of a machine without a restart."""
    assert server.stdout is not None
    assert f"http://127.0.0.1:{port}/" in server.stdout.readline()
    assert "The course is being built" in page_at(port)
    assert waited_for(port, "Heron")
    machine = folder / "machines" / "heron.yml"
    machine.write_text(machine.read_text().replace("name: Heron", "name: Grey Heron", 1))
    assert waited_for(port, "Grey Heron")


def test_a_fault_answers_in_place_of_every_page_until_it_is_mended(
    server: subprocess.Popen[str], folder: Path, port: int
) -> None:
    """File, line and mend stand on the page and at the terminal, and no restart is needed afterwards."""
    assert waited_for(port, "Heron")
    machine = folder / "machines" / "heron.yml"
    good = machine.read_text()
    machine.write_text(good + "nonsense: 1\n")
    assert waited_for(port, "nonsense: there is no such setting")
    assert "heron.yml:" in page_at(port)
    assert 'http-equiv="refresh"' in page_at(port)
    machine.write_text(good)
    assert waited_for(port, "Read the")
    server.terminate()
    _, said = server.communicate(timeout=10)
    assert "heron.yml:" in said
    assert "Traceback" not in said
    assert "code 503" not in said


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--address", "127.0.0.1:99999"], "a port from 1 to 65535"),
        (["--address", "127.0.0.1:0"], "a port from 1 to 65535"),
        (["--address", "foo"], "write a host and a port"),
        (["--address", "no..host:8000"], "nothing can be served there"),
        (["--address", "192.0.2.1:8000"], "nothing can be served there"),  # RFC 5737: nobody's own address
        (["no-such-folder"], "there is no such folder"),
        ([__file__], "is a file; name the workshop's folder"),
    ],
)
def test_what_cannot_be_served_is_refused_in_one_line(words: list[str], says: str) -> None:
    """Exit code 2, one line with the mend, nothing on stdout, no traceback."""
    done = CliRunner().invoke(main, ["preview", *words])
    assert done.exit_code == 2
    assert says in done.stderr
    assert len(done.stderr.splitlines()) == 1
    assert done.stdout == ""


def test_a_port_that_is_taken_is_refused_with_another(port: int) -> None:
    """The line says what may be there and how to choose another port."""
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", port))
        taken.listen()
        done = CliRunner().invoke(main, ["preview", "--address", f"127.0.0.1:{port}"])
    assert done.exit_code == 2
    assert done.stderr.startswith(f"127.0.0.1:{port}: something is served there already")
    assert "--address" in done.stderr
    assert len(done.stderr.splitlines()) == 1
