"""`smokehouse desk` on bad days: one clear line, and nothing half done."""

from __future__ import annotations

import socket
from pathlib import Path

import pytest

from kit.basics.places import records_file
from kit.cli import main
from kit.cli.tutor.desk import nobody_began, who
from kit.records import open_records
from kit.records.people import staff


def told(capfd: pytest.CaptureFixture[str], *arguments: str) -> str:
    with pytest.raises(SystemExit) as stopped:
        main(["desk", *arguments])
    assert stopped.value.code == 2
    shown = capfd.readouterr().err.strip()
    assert "\n" not in shown and "Traceback" not in shown
    return shown


@pytest.fixture
def staffed(throw_away_home: Path) -> None:
    records = open_records(records_file())
    manager = staff.begin(records, "Hedda Quill")
    staff.take_on(manager, "tutor", name="Osric Vane")
    staff.take_on(manager, "apprentice", name="Tam Ferris")
    records.close()


def test_without_records_it_says_what_to_do_first(capfd, throw_away_home: Path):
    line = told(capfd, "--as", "Hedda Quill", "--no-browser")  # with no name, the page begins them
    assert "no records" in line and "smokehouse take-in" in line
    assert not (throw_away_home / "tutor").exists()


def test_who_sits_there_must_be_said_if_several_may(capfd, staffed):
    line = told(capfd, "--no-browser")
    assert "Hedda Quill (manager), Osric Vane (tutor)" in line and "Tam" not in line


def test_a_name_that_nobody_bears_is_refused(capfd, staffed):
    assert "Nemo" in told(capfd, "--as", "Nemo", "--no-browser")


def test_an_apprentice_has_no_seat_at_the_desk(capfd, staffed, throw_away_home: Path):
    assert "Tam Ferris is apprentice here" in told(capfd, "--as", "Tam", "--no-browser")
    assert not (throw_away_home / "tutor" / "desk").exists()


def test_the_only_one_need_not_be_named(throw_away_home: Path):
    records = open_records(records_file())
    staff.begin(records, "Hedda Quill")
    records.close()
    assert who(None).name == "Hedda Quill"


def test_where_nobody_began_the_desk_opens_on_its_first_day(throw_away_home: Path):
    assert nobody_began()
    open_records(records_file()).close()
    assert nobody_began()


def test_where_a_manager_began_it_does_not(staffed):
    assert not nobody_began()


def test_a_port_that_is_taken_is_said_before_anything_is_written(capfd, staffed, throw_away_home: Path):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        line = told(capfd, "--as", "Osric", "--port", str(taken.getsockname()[1]), "--no-browser")
    assert "taken by another program" in line
    assert not (throw_away_home / "tutor" / "desk").exists()
