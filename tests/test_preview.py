"""`onionskin preview`: a saved file of the workshop shows on the served page."""

from __future__ import annotations

import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

from generator.course import demo_folder


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def text_of(address: str) -> str:
    try:
        with urllib.request.urlopen(address, timeout=5) as answer:
            return str(answer.read().decode("utf-8"))
    except OSError:
        return ""


def waited_for(address: str, words: str, seconds: float) -> bool:
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if words in text_of(address):
            return True
        time.sleep(0.3)
    return False


def test_a_saved_machine_file_rebuilds_the_served_course(tmp_path: Path) -> None:
    """The served page follows an edit of a machine file without a restart."""
    folder = tmp_path / "workshop"
    shutil.copytree(demo_folder(), folder)
    port = free_port()
    address = f"http://127.0.0.1:{port}/index.html"
    command = [sys.executable, "-m", "generator", "preview", str(folder), "--address", f"127.0.0.1:{port}"]
    server = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        assert waited_for(address, "Heron", 60)
        machine = folder / "machines" / "heron.yml"
        machine.write_text(machine.read_text().replace("name: Heron", "name: Grey Heron", 1))
        assert waited_for(address, "Grey Heron", 60)
    finally:
        server.terminate()
        server.wait(timeout=10)
