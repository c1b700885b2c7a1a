"""From an empty file to a verified decision and a settled appeal, on the command line alone."""

from __future__ import annotations

import pytest

from kit.cli import main
from kit.cli.acting import PASSWORD_VARIABLE
from kit.cli.manager import staff
from kit.cli.tutor import record
from kit.files import signing
from tests.cli.typed import run


def observe(*more, day="2026-11-01", code=0):
    facts = ("--met", "RIN-P01", "--batch", f"B-{day}", "--day", day, "--declared", "--as", "Osric")
    facts += ("--despite", "The sheets lay at the bench.")
    return run(record.command, "observe", "Tam", "rinse", *facts, *more, code=code)


@pytest.mark.slow
def test_a_decision_from_the_first_manager_to_the_second_signature(desk):
    listed = run(staff.command, "list")
    assert "Osric Vane" in listed and "2099-01-01" in listed
    reason = ("--reason", "Seen on two batches.")
    for day in ("2026-10-30", "2026-11-01", "2026-11-02"):
        assert "Recorded as act" in observe(day=day)
    said = run(record.command, "decide", "Tam", "RIN-P01", "competent", *reason, "--as", "Osric")
    number = said.split("act ")[1].split(".")[0]
    assert f"smokehouse record verify {number}" in said
    run(record.command, "verify", number, "--agree", "--reason", "Read the sheets.", "--as", "Ines")
    opened = run(record.command, "appeal", number, "--words", "I was rushed.", "--as", "Osric")
    appeal = opened.split("act ")[1].split(".")[0]
    run(record.command, "settle", appeal, "stands", "--reason", "Both sheets are clear.", "--as", "Wilma")
    assert "the chain is whole" in run(record.command, "check")


def test_the_command_says_one_line_and_records_nothing(desk, capsys):
    before = run(record.command, "check")
    told = ["record", "decide", "Tam", "RIN-P01", "competent", "--reason", "Trust me.", "--as", "Osric"]
    with pytest.raises(SystemExit) as ended:
        main(told)
    assert ended.value.code == 2
    error = capsys.readouterr().err
    assert error.count("\n") == 1 and "observed and met on 0 of 2 days" in error
    assert run(record.command, "check") == before


def test_a_wrong_password_and_a_missing_key_are_told(desk, monkeypatch):
    monkeypatch.setenv(PASSWORD_VARIABLE, "something else")
    with pytest.raises(signing.WrongPassword):
        observe()
    for path in (desk / "tutor" / "keys").glob("*.json"):
        path.unlink()
    with pytest.raises(Exception, match="is not on this machine"):
        observe()


def test_a_changed_record_makes_the_check_end_with_1(desk):
    import sqlite3

    path = desk / "tutor" / "records.db"
    database = sqlite3.connect(path)
    database.execute("DROP TRIGGER acts_keep_every_word")
    database.execute("UPDATE acts SET facts = '{}' WHERE number = 1")
    database.commit()
    database.close()
    assert "act 1 was changed after it was recorded" in run(record.command, "check", code=1)


@pytest.mark.slow
def test_the_same_name_is_not_taken_on_twice_by_mistake(desk):
    with pytest.raises(Exception, match="taken on as apprentice already"):
        run(staff.command, "take-on", "tam ferris", "apprentice", "--as", "Osric")
    run(staff.command, "take-on", "Tam Ferris", "apprentice", "--as", "Osric", "--same-name-is-new")
    with pytest.raises(Exception, match="one person, but several"):
        observe()


def test_a_deviation_and_its_corrective_action_stand_on_record(desk):
    told = ("--happened", "Door open for 12 min", "--action", "Held again from the start", "--as", "Osric")
    assert "Recorded as act" in run(record.command, "correct", "B-77", *told)


@pytest.mark.slow
def test_a_file_that_was_changed_or_lost_makes_the_check_end_with_1(desk, tmp_path):
    from kit.cli.tutor.attach import command as attach

    paper = tmp_path / "weights.csv"
    paper.write_text("batch,before_g,after_g\nB-1,1200,1130\n", encoding="utf-8")
    run(attach, str(paper), "--person", "Tam", "--kind", "weights", "--as", "Osric")
    kept = next(path for path in (desk / "tutor" / "evidence").rglob("*") if path.is_file())
    assert "the chain is whole" in run(record.command, "check")
    kept.chmod(0o600)
    kept.write_bytes(kept.read_bytes() + b"B-2,1,1\n")
    assert "was changed after it was kept" in run(record.command, "check", code=1)
    kept.unlink()
    assert "is missing" in run(record.command, "check", code=1)
