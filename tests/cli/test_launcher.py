"""The launcher: what is written for each system, and that the command in it opens the door."""

from __future__ import annotations

import configparser
import os
import plistlib
import re
import shlex
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import pytest
from click.testing import CliRunner

from kit.cli import smokehouse
from kit.cli.apprentice.launcher import launcher_files

ODD = '/home/o "k" $HOME `x` 50%/bin/py\\thon'
PROGRAM = [ODD, "-m", "kit.cli", "open", "--door"]


def argv_of(entry: str) -> list[str]:
    """Read an Exec line back by the two rules of the Desktop Entry Specification: values, then arguments."""
    parser = configparser.RawConfigParser()
    parser.optionxform = str  # type: ignore[assignment,method-assign]  # keys there know capitals
    parser.read_string(entry)
    section = parser["Desktop Entry"]
    assert section["Type"] == "Application" and section["Terminal"] == "false" and section["Name"]
    value = section["Exec"].replace("\\\\", "\\")  # a string value writes one backslash as two
    # an argument in double quotes escapes the same four signs as in a POSIX shell
    said = subprocess.run(["sh", "-c", f"printf '%s\\0' {value}"], capture_output=True, text=True, check=True)
    return [part.replace("%%", "%") for part in said.stdout.split("\0")[:-1]]


def test_on_linux_the_entry_runs_the_program_whatever_is_in_its_path(tmp_path: Path):
    entry, icon = launcher_files("linux", PROGRAM, tmp_path, {})
    assert argv_of(entry.data.decode()) == PROGRAM
    assert entry.path == tmp_path / ".local/share/applications/smokehouse-workbook.desktop"
    assert ElementTree.fromstring(icon.data).tag.endswith("svg")
    other, _ = launcher_files("linux", PROGRAM, tmp_path, {"XDG_DATA_HOME": str(tmp_path / "x")})
    assert other.path.is_relative_to(tmp_path / "x")


def test_the_place_of_everybodys_work_goes_with_it(tmp_path: Path):
    variables = {"SMOKEHOUSE_HOME": "/srv/the kitchen"}
    entry, _ = launcher_files("linux", PROGRAM, tmp_path, variables)
    assert argv_of(entry.data.decode()) == ["env", "SMOKEHOUSE_HOME=/srv/the kitchen", *PROGRAM]
    (script,) = launcher_files("win32", ["C:\\Py thon\\pythonw.exe", "-m", "kit.cli"], tmp_path, variables)
    assert b'set "SMOKEHOUSE_HOME=/srv/the kitchen"\r\n' in script.data


def test_on_macos_it_is_a_small_app(tmp_path: Path):
    script, facts = launcher_files("darwin", PROGRAM, tmp_path, {})
    assert script.runs and shlex.split(script.data.decode().splitlines()[1])[1:] == PROGRAM
    assert plistlib.loads(facts.data)["CFBundleExecutable"] == script.path.name
    assert script.path.parents[1] == facts.path.parent


def test_on_windows_it_is_a_line_in_the_start_menu(tmp_path: Path):
    program = ["C:\\Program Files\\50% Py\\pythonw.exe", "-m", "kit.cli", "open", "--door"]
    (script,) = launcher_files("win32", program, tmp_path, {"APPDATA": str(tmp_path / "Roaming")})
    assert script.path.suffix == ".cmd" and "Start Menu" in script.path.parts
    assert b'start "" "C:\\Program Files\\50%% Py\\pythonw.exe" -m kit.cli open --door\r\n' in script.data


@pytest.mark.slow
@pytest.mark.skipif(sys.platform != "linux", reason="the menu of a Linux system")
def test_what_it_writes_opens_the_door_and_goes_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "share"))
    monkeypatch.setenv("SMOKEHOUSE_HOME", str(tmp_path / "the home"))
    done = CliRunner().invoke(smokehouse, ["install-launcher"])
    assert done.exit_code == 0, done.output
    entry = tmp_path / "share/applications/smokehouse-workbook.desktop"
    variables = {**os.environ, "PYTHONUNBUFFERED": "1"}
    del variables["SMOKEHOUSE_HOME"]
    process = subprocess.Popen(
        [*argv_of(entry.read_text("utf-8")), "--no-browser"],
        env=variables,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        text=True,
    )
    assert process.stdout is not None
    assert re.match(r"Who works: http://127\.0\.0\.1:\d+/\S+/$", process.stdout.readline())
    process.terminate()
    assert process.wait(30) == 0
    process.stdout.close()
    assert (tmp_path / "the home").is_dir() is False  # nobody entered, so nothing was written there
    assert CliRunner().invoke(smokehouse, ["install-launcher", "--remove"]).exit_code == 0
    assert not entry.exists()
