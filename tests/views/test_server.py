"""The server's folders and command, without starting it (tests/browser starts it)."""

from __future__ import annotations

import json
import re
import shutil
import socket
import subprocess
import sys
from pathlib import Path

import pytest

from kit.basics.errors import BadData
from kit.views.front import LAB
from kit.views.workbook.server import ENGINE, LOCAL, Workbook, free_port


@pytest.fixture
def book(tmp_path: Path) -> Workbook:
    lessons = tmp_path / "lessons"
    lessons.mkdir()
    empty = {"cells": [], "metadata": {}, "nbformat": 4, "nbformat_minor": 5}
    (lessons / "05_cook.ipynb").write_text(json.dumps(empty))
    (lessons / "06_torn.ipynb").write_text('{"cells": [')
    room = tmp_path / "room"
    room.mkdir()
    return Workbook(lessons, room, port=8765)


def test_the_server_listens_on_this_machine_only_and_shows_one_folder(book: Workbook):
    command = book.command()
    assert f"--ServerApp.ip={LOCAL}" in command
    assert f"--ServerApp.root_dir={book.lessons}" in command
    assert "--ServerApp.port_retries=0" in command


def test_the_token_is_random_and_not_in_the_command(book: Workbook):
    assert book.token not in " ".join(book.command())
    assert book.token != Workbook(book.lessons, book.room).token
    assert len(book.token) >= 30
    assert book.address("05_cook.ipynb").startswith("http://127.0.0.1:8765/doc/tree/05_cook.ipynb?token=")


@pytest.mark.slow
def test_the_kernel_is_this_python_and_comes_before_any_other_of_its_name(book: Workbook):
    book.furnish()
    kernel = json.loads((book.room / "data" / "kernels" / "python3" / "kernel.json").read_text())
    assert kernel["argv"][:3] == [sys.executable, "-c", ENGINE]
    assert book.variables()["JUPYTER_PATH"] == str(book.room / "data")


@pytest.mark.slow
def test_the_package_is_copied_from_and_never_written_to(book: Workbook):
    before = {path: path.stat().st_mtime_ns for path in LAB.rglob("*")}
    book.furnish()
    shutil.rmtree(book.room / "config" / "custom")
    book.furnish()  # a second start brings back what is ours
    assert (book.room / "config" / "custom" / "custom.css").is_file()
    assert {path: path.stat().st_mtime_ns for path in LAB.rglob("*")} == before


def test_a_taken_port_is_one_clear_line():
    with socket.socket() as other:
        other.bind((LOCAL, 0))
        other.listen()
        port = other.getsockname()[1]
        with pytest.raises(BadData, match=f"port {port}: it is taken by another program"):
            free_port(port)
    assert free_port() > 0


@pytest.mark.slow
def test_the_engine_loads_a_lesson_and_a_file_of_the_person_shadows_nothing(tmp_path: Path):
    (tmp_path / "json.py").write_text("raise SystemExit('shadowed')")
    code = ENGINE.replace("main()", "load('05_cook_by_temperature.ipynb')").replace(
        "import main", "import load"
    )
    code += (
        "; print(sorted(m for m in sys.modules if m.startswith(('kit.exercises.lesson_', 'scipy.integ'))))"
    )
    run = subprocess.run(
        [sys.executable, "-c", code], cwd=tmp_path, capture_output=True, text=True, check=True, timeout=120
    )
    assert "kit.exercises.lesson_05" in run.stdout and "scipy.integrate" in run.stdout


def test_the_page_of_a_lesson_asks_nothing_of_the_outside():
    front = LAB.parent
    for path in [*front.rglob("*.js"), *front.rglob("*.css"), *front.rglob("*.json")]:
        found = re.findall(r"(?:https?:)?//[\w.-]+\.\w+", path.read_text(encoding="utf-8"))
        assert [address for address in found if "www.w3.org" not in address] == [], path
