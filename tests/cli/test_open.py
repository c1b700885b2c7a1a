"""`smokehouse open` on bad days: one clear line, and nothing half done."""

from __future__ import annotations

import socket
from pathlib import Path

import pytest

from kit.cli import main


def told(capfd: pytest.CaptureFixture[str], *arguments: str) -> str:
    with pytest.raises(SystemExit) as stopped:
        main(["open", *arguments])
    assert stopped.value.code == 2
    shown = capfd.readouterr().err.strip()
    assert "Traceback" not in shown
    return shown.splitlines()[-1]


def test_a_port_that_is_taken_is_said_before_anything_is_written(capfd, throw_away_home: Path):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        line = told(capfd, "--as", "Ana Lind", "--port", str(port), "--no-browser")
    assert str(port) in line
    assert not (throw_away_home / "people").exists()


def test_a_lesson_that_is_not_there_names_those_that_are(capfd):
    line = told(capfd, "--as", "Ana Lind", "--lesson", "42", "--no-browser")
    assert "42" in line and "5" in line


def test_a_wrong_number_is_refused(capfd):
    assert "--port" in told(capfd, "--port", "70000")


def test_a_home_that_cannot_be_written_is_one_line(capfd, tmp_path: Path, monkeypatch):
    blocked = tmp_path / "file"
    blocked.write_text("not a folder")
    monkeypatch.setenv("SMOKEHOUSE_HOME", str(blocked / "home"))
    line = told(capfd, "--as", "Ana Lind", "--no-browser")
    assert "NOT saved" in line
