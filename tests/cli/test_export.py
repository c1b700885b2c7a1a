"""`smokehouse export`: what each file holds is said first, and bad input gets one line."""

from __future__ import annotations

import csv
from datetime import UTC, datetime, timedelta

import pytest
from click.testing import CliRunner

from kit import criteria
from kit.basics.errors import OutOfRange, UnknownName
from kit.cli import smokehouse
from kit.cli.demo.crew import make_crew
from kit.cli.demo.desk_story import PASSWORD, make_desk
from kit.files.criteria_package import read_criteria
from kit.files.question_package import read_questions
from kit.records import open_records, take_in
from kit.records.competence import certifying
from kit.records.people import staff
from kit.records.people.keys import open_key

NOW = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)


def run(*words: object):
    return CliRunner().invoke(smokehouse, ["export", *map(str, words)])


def test_criteria(tmp_path):
    out = tmp_path / "criteria.json"
    assert "nothing about a person" in run("criteria", "--creator", "Skerry", "--out", out).output
    assert read_criteria(out.read_bytes()) == criteria.load()


@pytest.mark.slow
def test_questions_of_a_lesson_and_what_stays(tmp_path):
    out = tmp_path / "questions.zip"
    done = run("questions", "--lesson", 1, "--variants", 2, "--out", out)
    found = read_questions(out.read_bytes())
    assert f"{len(found)} questions" in done.output and "it has a picture: where-the-bones-sit" in done.output
    assert len({each.exercise for each in found}) * 2 == len(found)


@pytest.mark.parametrize(("words", "error"), [(["questions", "--lesson", 99], UnknownName)])
def test_bad_input(words, error):
    assert isinstance(run(*words).exception, error)


@pytest.mark.slow
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


@pytest.mark.slow
def test_progress_goes_by_name_of_those_alone_who_agreed_to_that(throw_away_home, tmp_path):
    home = throw_away_home
    books = make_crew(home, NOW - timedelta(hours=3))
    records = open_records(home / "tutor" / "records.db")
    take_in(records, books, now=NOW - timedelta(hours=2))
    make_desk(records, NOW - timedelta(hours=1), home / "tutor" / "keys")
    person = staff.find(records, "Niamh Shevlin").person
    tutor = staff.find(records, "Osric Vane").person
    key = open_key(records, tutor, "Osric Vane", lambda: PASSWORD)
    hand = staff.Hand(records, tutor, key, clock=lambda: NOW)
    certifying.consent(hand, person, True, certifying.STATEMENTS)  # to something else
    out, where = tmp_path / "progress.csv", ("--records", home / "tutor" / "records.db")
    assert "The file will hold the name" in run("progress", "--out", out, *where).output
    assert len(out.read_text("utf-8-sig").splitlines()) == 1
    certifying.consent(hand, person, True, certifying.PROGRESS)
    records.close()
    weeks = tmp_path / "weeks.csv"
    run("progress", "--out", out, "--weeks", weeks, *where)
    rows = list(csv.DictReader(out.read_text("utf-8-sig").splitlines()))
    assert {row["person"] for row in rows} == {"Niamh Shevlin"}
    assert [row["step"] for row in rows] == list(criteria.steps())
    assert all((row["left"] == "") == (row["mastered_day"] != "") for row in rows)
    assert weeks.read_text("utf-8-sig").splitlines()[0] == "person,week,new,so_far"
    held = [row for row in rows if row["next_review_day"]]
    assert all(row["hold"] != "0" and "." not in row["hold"] for row in held)
