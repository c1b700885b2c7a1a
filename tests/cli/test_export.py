"""`smokehouse export`: what each file holds is said first, and bad input gets one line."""

from __future__ import annotations

import pytest
from click.testing import CliRunner

from kit import criteria
from kit.basics.errors import OutOfRange, UnknownName
from kit.cli import smokehouse
from kit.files.criteria_package import read_criteria
from kit.files.question_package import read_questions
from kit.records import open_records
from kit.records.people import staff


def run(*words: object):
    return CliRunner().invoke(smokehouse, ["export", *map(str, words)])


def test_criteria(tmp_path):
    out = tmp_path / "criteria.json"
    assert "nothing about a person" in run("criteria", "--creator", "Skerry", "--out", out).output
    assert read_criteria(out.read_bytes()) == criteria.load()


def test_questions_of_a_lesson_and_what_stays(tmp_path):
    out = tmp_path / "questions.zip"
    done = run("questions", "--lesson", 1, "--variants", 2, "--out", out)
    found = read_questions(out.read_bytes())
    assert f"{len(found)} questions" in done.output and "it has a picture: where-the-bones-sit" in done.output
    assert len({each.exercise for each in found}) * 2 == len(found)


@pytest.mark.parametrize(("words", "error"), [(["questions", "--lesson", 99], UnknownName)])
def test_bad_input(words, error):
    assert isinstance(run(*words).exception, error)


def test_nothing_goes_of_who_did_not_agree_and_what_it_holds_is_said_first(tmp_path):
    records = open_records(tmp_path / "records.db")
    manager = staff.begin(records, "Berit Falk")
    staff.take_on(manager, "apprentice", name="Tam Ferris")
    records.close()
    out, where = tmp_path / "statements.json", ("--records", tmp_path / "records.db")
    done = run("attempts", "--out", out, *where)
    assert done.output.startswith("The file will hold an opaque word in place of the name")
    assert "Left out: 1 who did not agree." in done.output and out.read_bytes() == b"[]\n"
    refused = run("attempts", "--person", "Tam", "--out", out, *where)
    assert "Tam Ferris has not agreed" in str(refused.exception)
    bad = run("attempts", "--home", "ftp://x", *where)
    assert isinstance(bad.exception, OutOfRange)
