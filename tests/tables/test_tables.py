"""The tables say what the database holds: counted again with plain SQL, and by hand on a small crew."""

from __future__ import annotations

import inspect
import re
import sqlite3
import subprocess
import sys
from contextlib import closing
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import numpy as np
import pandas as pd
import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

import kit
from kit import tables
from kit.basics.errors import OutOfRange, UnknownName
from kit.criteria.knowledge import Bounds
from kit.exercises.catalogue import Catalogue
from kit.files import Book, signing
from kit.practice import Session, create
from kit.process.physics.trace import Phase, Trace
from kit.records import take_in
from kit.records.competence.deciding import bring_in
from kit.records.competence.observations import Observation, observe
from kit.records.evidence.kept_files import attach
from kit.records.ledger import acts
from kit.records.people import keys, staff
from kit.records.upkeep import backup
from kit.records.upkeep.erase import erase_person
from kit.tables import answers, bank_and_traces, seen_and_decided
from kit.tables.frames import Words

NOW = datetime(2026, 3, 2, 9, tzinfo=UTC)
TODAY = date(2026, 3, 20)
EXERCISE = "salt-for-brine"
OF_RECORDS = ("people", "attempts", "slips", "practice", "observations", "decisions", "verdicts")
COLUMNS = {
    "people": seen_and_decided.PEOPLE,
    "attempts": answers.ATTEMPTS,
    "slips": answers.SLIPS,
    "practice": answers.PRACTICE,
    "observations": seen_and_decided.OBSERVATIONS,
    "decisions": seen_and_decided.DECISIONS,
    "verdicts": seen_and_decided.VERDICTS,
    "bank": bank_and_traces.BANK,
    "trace": bank_and_traces.TRACE,
}


def write_book(home, name, days):
    """A book with one first try a day: True is right, False is the first slip, None is right after a hint."""
    now = [NOW]
    person = create(name, home=home, clock=lambda: now[0])
    session = Session(person, Book(person.book_path, clock=lambda: now[0]))
    for day, right in days:
        now[0] = NOW + timedelta(days=day)
        task = session.current(EXERCISE)
        if task.attempts:
            task = session.next_variant(EXERCISE)
        if right is None:
            session.hint(EXERCISE)
        value = task.question.slips[0].value if right is False else task.question.answer
        session.check(EXERCISE, f"{value:.8g} {task.question.kind.unit}")
    return person


@pytest.fixture(scope="module")
def crew(tmp_path_factory):
    """Two who practised, one who never did; two observations, one decision from before, one kept log."""
    home = tmp_path_factory.mktemp("crew")
    ana = write_book(home, "Ana Lind", [(0, True), (3, False), (5, True), (6, None)])
    tam = write_book(home, "Tam Ferris", [(1, False)])
    records = kit.open_records(home / "records.db")
    manager = staff.begin(records, "Hedda Quill", lambda: NOW + timedelta(days=10))
    take_in(records, [ana.book_path, tam.book_path], now=NOW + timedelta(days=9))
    for who in (ana, tam):
        staff.take_on(manager, "apprentice", person=who.id)
    new = staff.take_on(manager, "apprentice", name="Ola Brandt")
    tutor = staff.take_on(manager, "tutor", name="Osric Vane")
    staff.note_assessor(manager, tutor, "Assessor course", date(2026, 1, 1), date(2027, 1, 1))
    key = signing.Signer(Ed25519PrivateKey.from_private_bytes(bytes(32)))
    keys.add_key(manager, tutor, key.key_id, key.public)
    hand = replace(manager, person=tutor, key=key)
    seen = Observation(
        ana.id,
        "cook",
        date(2026, 3, 11),
        {"COK-P01": "met", "COK-P02": "not met"},
        batch="C-1",
        declared=True,
        measures={"core_temp_c": 72.4},
    )
    observe(hand, seen)
    bring_in(hand, tam.id, "HAS-P03", day=date(2025, 4, 1), who="A chef", paper="Folder 3", reason="Seen it.")
    log = home / "cook.csv"
    log.write_text("time (min);Core (C)\n" + "".join(f"{minute};72.0\n" for minute in range(60)))
    attach(hand, log, ana.id, "logger", "us-processor", cook=(0, 59))
    yield records, {"ana": ana.id, "tam": tam.id, "new": new, "tutor": tutor}
    records.close()


def count(records, sql):
    with closing(sqlite3.connect(records.path)) as connection:
        return connection.execute(sql).fetchone()[0]


@pytest.mark.slow
def test_there_is_a_row_for_each_row_of_the_database(crew):
    records, _ = crew
    assert len(tables.attempts(records)) == count(records, "select count(*) from marks") == 5
    assert len(tables.observations(records)) == count(records, "select count(*) from points") == 2
    assert len(tables.decisions(records)) == count(records, "select count(*) from decided") == 1
    assert len(tables.practice(records)) == count(records, "select count(*) from standings") > 0
    assert tables.attempts(records)["points"].sum() == count(records, "select sum(score) from marks") == 3


def test_attempts_say_what_was_done(crew):
    records, _ = crew
    ana = tables.attempts(records, names=True).query("person == 'Ana Lind'")
    assert ana["right_first_time"].tolist() == [True, False, True, False]
    assert ana["with_help"].tolist() == [False, False, False, True]
    assert ana["day"].dt.date.tolist()[0] == NOW.astimezone().date()
    assert ana["at_utc"].iloc[0] == NOW
    slip = kit.question(EXERCISE, 1).slips[0].name
    assert ana["slip"].tolist() == ["", slip, "", ""]


def test_slips_count_attempts_and_people(crew):
    (row,) = tables.slips(crew[0]).itertuples()
    assert (row.exercise, row.times, row.people, row.share_of_misses_pct) == (EXERCISE, 2, 2, 100)
    assert row.lesson == 2


def test_practice_says_how_long_it_took_until_shown(crew, monkeypatch):
    monkeypatch.setattr(Catalogue, "ordinary", Bounds(shown=0.1, kept=0.05, lowest=0, highest=2, days=2))
    monkeypatch.setattr(Catalogue, "kinds_needed", {})
    found = tables.practice(crew[0], names=True)
    known = found[(found["kind"] == "knowledge") & ~found["safety_critical"]].set_index("person")
    assert len(known) >= 2
    assert (known.loc[["Ana Lind"], "days_until_shown"] == 5).all()  # right on day 0 and day 5
    assert (
        known.loc[["Ana Lind"], "first_shown_day"].dt.date == NOW.astimezone().date() + timedelta(5)
    ).all()
    assert known.loc[["Tam Ferris"], "first_shown_day"].isna().all()
    assert not known.loc[["Tam Ferris"], "shown"].any()


def test_observations_and_decisions_carry_their_facts(crew):
    records, _ = crew
    seen = tables.observations(records, names=True)
    assert seen[["person", "criterion", "outcome", "observer"]].to_numpy().tolist() == [
        ["Ana Lind", "COK-P01", "met", "Osric Vane"],
        ["Ana Lind", "COK-P02", "not met", "Osric Vane"],
    ]
    assert seen["core_temp_c"].tolist() == [72.4, 72.4]
    assert (seen["entered_day"] >= seen["day"]).all()
    with records.reading() as connection:
        at = next(acts.read(connection, kind="observed")).at
    assert seen["entered_day"].dt.date.iloc[0] == at.astimezone().date()
    assert seen["weight_before_g"].isna().all()
    (ruled,) = tables.decisions(records, names=True, today=TODAY).itertuples()
    assert (ruled.person, ruled.criterion, ruled.brought_in) == ("Tam Ferris", "HAS-P03", True)
    assert (ruled.second_signature, ruled.decided_by) == ("wanted", "Osric Vane")
    assert ruled.review_day.date() - TODAY == timedelta(days=int(ruled.days_to_review))
    assert ruled.holds == (ruled.days_to_review >= 0)
    (later,) = tables.decisions(records, today=date(2030, 1, 1)).itertuples()
    assert not later.holds and later.days_to_review < 0 and "has passed" in later.stands


def test_verdicts_are_those_of_the_kept_log_and_of_one_that_is_only_judged(crew, tmp_path):
    kept = tables.verdicts(crew[0], names=True)
    assert set(kept["person"]) == {"Ana Lind"} and kept["file"].str.len().eq(12).all()
    rows = b"time (min);Core (C)\n" + b"".join(b"%d;72.0\n" % minute for minute in range(60))
    checked = kit.check_log(rows, kit.load_rules("us-processor"), cook=(0, 59))
    judged = tables.verdicts(checked)
    same = ["rule", "outcome", "measured", "limit", "unit", "source", "source_read", "extrapolated"]
    numbered = judged["rule"].isin([each.rule for each in checked.verdicts if not each.for_person])
    pd.testing.assert_frame_equal(judged[numbered][same].reset_index(drop=True), kept[same])
    assert judged[["person", "act", "day", "file"]].isna().all(axis=None)
    assert dict(zip(judged["rule"], judged["outcome"], strict=True)) == {
        verdict.rule: verdict.outcome for verdict in checked.verdicts
    }


def test_a_trace_keeps_its_gaps_and_names_the_phase_that_began_last():
    made = Trace(
        np.array([0.0, 1.0, 2.0]),
        np.array([4.0, np.nan, 7.0]),
        phases=(Phase("cook", 0.0, 2.0), Phase("hold", 1.0, 2.0)),
    )
    found = tables.trace(made)
    assert found["core_c"].isna().tolist() == [False, True, False]
    assert found["phase"].tolist() == ["cook", "hold", "hold"]
    assert found["air_c"].isna().all()


def test_everybody_who_learns_is_there_also_without_a_book(crew):
    found = tables.people(crew[0], names=True)
    assert found["person"].tolist() == ["Ana Lind", "Ola Brandt", "Tam Ferris"]
    assert found["learns_here"].all()


@pytest.mark.parametrize("name", OF_RECORDS)
def test_no_name_and_no_id_leaves_unless_asked_for(crew, name):
    records, ids = crew
    text = getattr(tables, name)(records).to_csv()
    assert text.strip()
    for secret in ("Ana", "Tam", "Ola", "Osric", *ids.values()):
        assert secret not in text


def test_a_pseudonym_stands_for_one_person_in_every_table_and_in_a_backup(crew, tmp_path):
    records, _ = crew
    everyone = set(tables.people(records)["person"])
    assert len(everyone) == 3
    for name in ("attempts", "practice", "observations", "decisions", "verdicts"):
        assert set(getattr(tables, name)(records)["person"]) <= everyone, name
    by_name = tables.attempts(records, names=True)["person"]
    by_word = tables.attempts(records)["person"]
    assert pd.crosstab(by_name, by_word).gt(0).sum().eq(1).all()
    backup.backup(records, tmp_path / "copy")
    backup.restore(tmp_path / "copy", tmp_path / "there" / "records.db")
    again = kit.open_records(tmp_path / "there" / "records.db")
    assert set(tables.people(again)["person"]) == everyone
    again.close()


@pytest.mark.slow
def test_an_erased_person_keeps_the_pseudonym_and_loses_the_name(crew, tmp_path):
    records, ids = crew
    before = tables.decisions(records)["person"].tolist()
    backup.backup(records, tmp_path / "copy")
    backup.restore(tmp_path / "copy", tmp_path / "there" / "records.db")
    again = kit.open_records(tmp_path / "there" / "records.db")
    boss = staff.find(again, "Hedda Quill").person
    manager = staff.Hand(again, boss, clock=lambda: NOW + timedelta(days=11))
    staff.leave(manager, ids["tam"], "apprentice")
    erase_person(manager, ids["tam"], "Asked for it in writing.")
    assert tables.decisions(again)["person"].tolist() == before
    assert "Tam" not in tables.decisions(again, names=True).to_csv()
    for name in OF_RECORDS:
        assert getattr(tables, name)(again) is not None
    again.close()


def test_another_records_file_calls_the_same_person_something_else(crew, tmp_path):
    records, ids = crew
    other = kit.open_records(tmp_path / "other.db")
    manager = staff.begin(other, "Hedda Quill")
    staff.take_on(manager, "apprentice", name="Ana Lind", person=ids["ana"])
    assert not set(tables.people(other)["person"]) & set(tables.people(records)["person"])
    other.close()


@pytest.mark.parametrize("name", tables._LARGE)
def test_parts_make_up_the_whole(crew, name):
    records, _ = crew
    whole = getattr(tables, name)(records)
    parts = list(tables.in_chunks(name, records, rows=2))
    assert all(len(part) <= 2 for part in parts)
    pd.testing.assert_frame_equal(pd.concat(parts, ignore_index=True), whole)


def test_a_wrong_table_and_a_wrong_size_are_said(crew):
    with pytest.raises(UnknownName, match="attempts"):
        tables.in_chunks("attempt", crew[0])
    with pytest.raises(OutOfRange, match="1 or more"):
        tables.in_chunks("attempts", crew[0], rows=0)


@pytest.mark.parametrize("name", COLUMNS)
def test_the_docstring_names_each_column_and_its_type(name):
    said = inspect.getdoc(getattr(tables, name)).split("Returns")[1]
    for column, kind in COLUMNS[name].items():
        word = "category" if isinstance(kind, Words) else kind.split("64[")[0]
        told = re.search(rf"``{column}``.*?\b(string|Int64|Float64|boolean|category|datetime)\b", said, re.S)
        assert told and told[1] == word, f"{name} says of {column}: {told and told[1]}, not {word}"


@pytest.mark.parametrize("name", OF_RECORDS)
def test_an_empty_table_has_its_columns_and_types(tmp_path, crew, name):
    empty = kit.open_records(tmp_path / "records.db")
    nothing, full = getattr(tables, name)(empty), getattr(tables, name)(crew[0])
    empty.close()
    assert nothing.empty and not full.empty
    assert nothing.dtypes.to_dict() == full.dtypes.to_dict()
    assert list(nothing.columns) == list(COLUMNS[name])


def test_the_bank_is_the_bank():
    bank = tables.bank()
    from kit import exercises

    assert set(bank["exercise"]) == {*exercises.ids(), *exercises.explain_ids()}
    one = bank[bank["exercise"] == EXERCISE]
    assert set(one.query("serves == 'evidence'")["criterion"]) == set(exercises.info(EXERCISE).criteria)
    assert set(one.query("serves == 'preparation'")["criterion"]) == set(
        exercises.info(EXERCISE).prepares_for
    )


def test_the_front_door_offers_what_it_says_and_no_more():
    assert set(kit.__all__) == {
        "load_rules",
        "judge",
        "check_log",
        "question",
        "mark",
        "open_records",
        "tables",
    }
    for name in kit.__all__:
        assert getattr(kit, name) is not None
        assert name in kit.__doc__ and name in dir(kit)
    with pytest.raises(AttributeError, match="it offers check_log"):
        kit.tabels  # noqa: B018  # asking is the test


@pytest.mark.slow
def test_a_type_checker_sees_the_front_door(tmp_path):
    file = tmp_path / "uses.py"
    file.write_text(
        "import kit\n"
        "reveal_type(kit.tables.attempts(kit.open_records()))\n"
        "reveal_type(kit.mark(kit.question('a', 1), '2 g').verdict)\n"
        "reveal_type(kit.judge({}, kit.load_rules('ie'))[0].rule)\n"
        "reveal_type(kit.check_log('a.csv', kit.load_rules('ie')).verdicts[0].outcome)\n"
    )
    run = subprocess.run(
        [sys.executable, "-m", "mypy", "--strict", "--cache-dir", str(tmp_path / "cache"), str(file)],
        capture_output=True,
        text=True,
        timeout=280,
    )
    assert run.returncode == 0, run.stdout
    for kind in ("DataFrame", "'right'", 'is "str"', "'cannot tell'"):
        assert kind in run.stdout


def test_the_share_shown_is_that_of_statsmodels():
    """The estimate of Kaplan and Meier, as statsmodels works it out, on 80 drawn waits."""
    from statsmodels.duration.survfunc import SurvfuncRight

    rng = np.random.default_rng(8)
    waits, shown = rng.integers(0, 30, 80), rng.random(80) < 0.6
    began = pd.Timestamp("2026-03-02")
    made = pd.DataFrame(
        {
            "kind": "knowledge",
            "safety_critical": True,
            "first_day": began,
            "last_day": began + pd.to_timedelta(waits, unit="D"),
            "days_until_shown": pd.Series(waits, dtype="Int64").where(shown),
        }
    )
    found, theirs = tables.shown_by_day(made), SurvfuncRight(waits, shown)
    assert found["days"].tolist() == theirs.surv_times.tolist()
    assert found["trying"].tolist() == theirs.n_risk.tolist()
    assert found["shown_pct"].astype(float).to_numpy() == pytest.approx(100 * (1 - theirs.surv_prob))
    assert found["safety_critical"].all()


def test_doing_the_work_is_never_counted_as_shown(crew):
    found = tables.practice(crew[0])
    assert (found["kind"] == "performance").any()
    assert tables.shown_by_day(found[found["kind"] == "performance"]).empty
