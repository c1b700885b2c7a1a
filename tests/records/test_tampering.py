"""Whatever is changed, added or taken out behind the kit's back is named: every table, every column.

The schema itself is walked, so a new column fails here until the check reaches it.
"""

import shutil
import sqlite3
from contextlib import contextmanager
from datetime import timedelta

import pytest
from sqlalchemy import select, text, update

from kit.basics.errors import BadData
from kit.records import open_records, take_in
from kit.records.competence import deciding
from kit.records.competence.standings import refresh
from kit.records.evidence.kept_files import attach, check_files
from kit.records.intake import review
from kit.records.ledger import acts
from kit.records.ledger.projection import check_since
from kit.records.people import staff
from kit.records.storage import schema
from kit.records.upkeep.erase import erase_person
from kit.records.upkeep.whole_check import check_all
from tests.records.conftest import NOW, lift
from tests.records.test_golden import GOLDEN

TABLES = schema.metadata.sorted_tables
CELLS = [(table.name, column.name) for table in TABLES for column in table.columns]

IN_A_FILE = pytest.mark.file_only("it edits copies of the file; test_on_a_server changes a server's rows")


@pytest.fixture
def full(kitchen, write, bank, tmp_path):
    """Records in which every table holds rows."""
    kitchen.clock.on(0)
    ana, bo = write("p-ana", "Ana Lind"), write("p-bo", "Bo Rask")
    for day in range(4):
        ana.attempt("salt-sum", day != 1, day=day)
        ana.attempt("core-hold", day != 2, day=day)
        bo.attempt("salt-sum", True, day=day)
    edited = tmp_path / "torn.book"
    edited.write_bytes(ana.path.read_bytes() + b'{"half": ')
    take_in(kitchen.records, [edited, bo.path], now=kitchen.clock(), catalogue=bank)
    for day in (1, 2, 3):
        kitchen.see(day, notes="Held the probe well.")
    deciding.decide(kitchen.tutor, kitchen.apprentice, "COK-P01", "competent", "Seen on 3 batches.")
    log = tmp_path / "cook.csv"
    log.write_text("time (min);Core (°C)\n" + "".join(f"{i};{40 + i}\n" for i in range(40)))
    attach(kitchen.tutor, log, kitchen.apprentice, "logger", "ie")
    other = tmp_path / "old.csv"
    other.write_text("time (min);Core (°C)\n0;60\n1;61\n")
    gone = staff.take_on(kitchen.manager, "apprentice", name="Gone Soon")
    attach(kitchen.tutor, other, gone, "logger", "ie")
    staff.leave(kitchen.manager, gone, "apprentice", "Moved away.")
    erase_person(kitchen.manager, gone, "Asked for it.")
    return kitchen


def test_whole_records_are_whole_and_nothing_is_left_unchecked(full, bank):
    report = check_all(full.records, bank)
    assert report.problems == () and report.not_checked == ()
    with full.records.reading() as connection:
        empty = [table.name for table in TABLES if connection.execute(table.select()).first() is None]
    assert empty == [], "a table without rows would not be tried below"


@contextmanager
def editing(path):
    """Give a plain connection to a file, keep what was done, and close it."""
    db = sqlite3.connect(path)
    try:
        yield db
        db.commit()
    finally:
        db.close()


def other_value(value, column):
    if value is None:
        return "2026-01-01 00:00:00" if "at" in column or column in ("until", "since") else 7
    if isinstance(value, int | float):
        return value + 1 if column not in ("held", "right", "assisted", "counts") else 1 - value
    if isinstance(value, str) and value[:4].isdigit() and "-" in value[:10]:
        return value.replace(value[:4], str(int(value[:4]) - 1), 1)
    if isinstance(value, str):
        return value[:-1] + ("x" if value[-1:] != "x" else "y") if value else "x"
    return b"x"


class Edited:
    """Copies of closed records, edited without the triggers, which are put back byte for byte."""

    def __init__(self, source, bank, folder):
        self.source, self.bank, self.folder = source, bank, folder
        with editing(source) as db:
            db.execute("PRAGMA wal_checkpoint(TRUNCATE)")

    def after(self, *statements):
        """Return what the check finds after some statements; None if the database refused them."""
        shutil.rmtree(self.folder, ignore_errors=True)
        path = self.folder / "records.db"
        self.folder.mkdir(parents=True)
        shutil.copy(self.source, path)
        if (self.source.parent / "evidence").exists():
            shutil.copytree(self.source.parent / "evidence", path.parent / "evidence")
        with editing(path) as db:
            db.execute("PRAGMA foreign_keys = OFF")
            triggers = db.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
            for name, _ in triggers:
                db.execute(f'DROP TRIGGER "{name}"')
            try:
                for sql, values in statements:
                    if db.execute(sql, values).rowcount == 0:
                        return None
            except sqlite3.IntegrityError:
                return None
            for _, sql in triggers:
                db.execute(sql)
        records = open_records(path)
        try:
            files = check_files(records)
            lost = (*files.missing, *files.changed, *files.not_erased)
            return (*check_all(records, self.bank).problems, *lost)
        finally:
            records.close()

    def rows(self, table):
        """Return the columns of a table and its rows, each with its rowid before it."""
        with editing(self.source) as db:
            names = [row[1] for row in db.execute(f'PRAGMA table_info("{table}")')]
            found = db.execute(f'SELECT rowid, * FROM "{table}"').fetchall()
        return names, found


@pytest.fixture
def edited(full, bank, tmp_path):
    full.records.close()
    return Edited(full.records.path, bank, tmp_path / "edited")


@pytest.mark.slow
@IN_A_FILE
def test_a_copy_that_nobody_edited_is_whole(edited):
    assert edited.after() == (), "else nothing below proves anything"


@pytest.mark.slow
@pytest.mark.parametrize("table", [table.name for table in TABLES])
@IN_A_FILE
def test_any_cell_that_is_changed_is_named(edited, table):
    names, rows = edited.rows(table)
    unnamed = []
    for number, name in enumerate(names):
        for row in {rows[0][0]: rows[0], rows[-1][0]: rows[-1]}.values():
            new = other_value(row[number + 1], name)
            found = edited.after((f'UPDATE "{table}" SET "{name}" = ? WHERE rowid = ?', (new, row[0])))
            if found == ():
                unnamed.append((name, row[number + 1], new))
    assert unnamed == []


@pytest.mark.parametrize("table", [table.name for table in TABLES])
@IN_A_FILE
def test_any_row_that_is_taken_out_or_put_in_is_named(edited, table):
    names, rows = edited.rows(table)
    for row in {rows[0][0]: rows[0], rows[-1][0]: rows[-1]}.values():
        found = edited.after((f'DELETE FROM "{table}" WHERE rowid = ?', (row[0],)))
        assert found != (), ("taken out", row)
    keys = {column.name for column in schema.metadata.tables[table].primary_key}
    last = dict(zip(names, rows[-1][1:], strict=True))
    unique = {"person_id", "exercise_id", "hash", "position"}
    new = {
        name: other_value(value, name) if name in keys | unique and name not in ("person", "entry") else value
        for name, value in last.items()
    }
    columns = ", ".join(f'"{name}"' for name in new)
    marks = ", ".join("?" for _ in new)
    found = edited.after((f'INSERT INTO "{table}" ({columns}) VALUES ({marks})', tuple(new.values())))
    assert found != (), ("put in", new)


@IN_A_FILE
def test_two_names_swapped_are_named(edited):
    names, rows = edited.rows("names")
    (first, *_), (second, *_) = rows[0], rows[1]
    place = names.index("name") + 1
    found = edited.after(
        ("UPDATE names SET name = ? WHERE rowid = ?", (rows[1][place], first)),
        ("UPDATE names SET name = ? WHERE rowid = ?", (rows[0][place], second)),
    )
    assert found and sum("the name of" in one for one in found) == 2


@IN_A_FILE
def test_marks_set_right_with_their_first_tries_and_standings_are_named(edited):
    found = edited.after(
        ("UPDATE marks SET verdict = 'right', score = of", ()),
        ('UPDATE first_tries SET "right" = true', ()),
    )
    assert any("a mark" in one for one in found)


@pytest.mark.slow
@IN_A_FILE
def test_a_trigger_or_an_index_taken_out_or_added_is_named(full, bank):
    for sql in (
        "CREATE TRIGGER quiet AFTER INSERT ON acts BEGIN SELECT 1; END",
        "DROP INDEX ix_acts_at",
        "CREATE VIEW spare AS SELECT 1",
    ):
        path = full.records.path.with_name("changed.db")
        full.records.close()
        shutil.copy(full.records.path, path)
        with editing(path) as db:
            db.execute(sql)
        records = open_records(path)
        assert check_all(records, bank).problems
        records.close()
        path.unlink()


def test_records_of_before_are_whole_and_say_what_no_seal_reaches(tmp_path):
    file = tmp_path / "tutor" / "records.db"
    file.parent.mkdir()
    shutil.copy(GOLDEN / "records.sqlite", file)
    shutil.copytree(GOLDEN / "evidence", file.parent / "evidence")
    records = open_records(file, make=False)
    report = check_all(records)
    records.close()
    assert report.problems == ()
    assert any("of books from before such rows were sealed" in one for one in report.not_checked)
    assert any("names of" in one for one in report.not_checked)


@IN_A_FILE
def test_a_head_written_down_tells_a_tail_cut_off_and_another_history(full, edited):
    with full.records.reading() as connection:
        told = list(acts.read(connection))
        seen = acts.head(connection)
        assert acts.follows(connection, seen.short) == "" == acts.follows(connection, told[3].hash)
        assert "no act" in acts.follows(connection, "0123 4567 89ab cdef 0123 4567")
        for text in ("", "12", "not hex at all, no"):
            with pytest.raises(BadData):
                acts.follows(connection, text)
    with editing(edited.source) as db:
        for (name,) in db.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            db.execute(f'DROP TRIGGER "{name}"')
        db.execute("DELETE FROM acts WHERE number = ?", (seen.number,))
    with full.records.reading() as connection:
        assert "no act" in acts.follows(connection, seen.short), "the tail was cut off"


def test_erasing_and_a_ruling_leave_the_records_whole(full, bank):
    kitchen = full
    staff.leave(kitchen.manager, kitchen.apprentice, "apprentice", "Left.")
    erase_person(kitchen.manager, kitchen.apprentice, "Asked for it.")
    report = check_all(kitchen.records, bank)
    assert report.problems == () == report.not_checked


def test_a_mark_ruled_wrong_leaves_the_records_whole_and_an_unruled_one_does_not(kitchen, write, bank):
    kitchen.clock.on(0)
    ana = write("p-ana", "Ana Lind")
    wrong = ana.attempt("salt-sum", False, day=0)
    told = {"fingerprint": wrong.fingerprint, "score": 0.0, "of": 1.0, "verdict": "not yet"}
    ana.note("dispute", text="It was right.", **told)
    take_in(kitchen.records, [ana.path], now=NOW, catalogue=bank)
    with kitchen.records.reading() as connection:
        line = connection.exec_driver_sql("SELECT position + 1 FROM entries WHERE what = 'dispute'").scalar()
    kitchen.clock.now = NOW + timedelta(hours=1)
    review.look_at(kitchen.tutor, "p-ana", "dispute", line, "mark was wrong", "The task was wrong.")
    assert check_all(kitchen.records, bank).problems == ()
    with kitchen.records.writing() as connection:
        connection.exec_driver_sql("DELETE FROM marks")
    assert check_all(kitchen.records, bank).problems


def test_a_first_try_counted_right_without_a_ruling_is_named(kitchen, write, bank):
    kitchen.clock.on(0)
    ana = write("p-ana", "Ana Lind")
    ana.attempt("salt-sum", False, day=0)
    take_in(kitchen.records, [ana.path], now=NOW, catalogue=bank)
    with kitchen.records.writing() as connection:
        connection.exec_driver_sql('UPDATE first_tries SET "right" = true')
        people = [row[0] for row in connection.exec_driver_sql("SELECT key FROM people")]
        refresh(connection, people, bank)  # so that the standings follow, too
    assert any("counts otherwise" in one for one in check_all(kitchen.records, bank).problems)


@pytest.mark.slow
def test_a_signature_is_found_wrong_in_whatever_lot_it_lies(kitchen, monkeypatch):
    """Lots of signatures are checked on the side, the last one here: none may fall between."""
    for day in range(5):
        kitchen.see(day)
    with kitchen.records.reading() as connection:
        signed = list(connection.scalars(select(schema.acts.c.number).where(schema.acts.c.signature != "")))
    with kitchen.records.engine.begin() as connection:
        lift(connection, "acts_keep_every_word")
        for number in (signed[0], signed[-1]):
            connection.execute(
                update(schema.acts).where(schema.acts.c.number == number).values(signature="ab" * 64)
            )
    for lot in (1, 2, len(signed), 2000):
        monkeypatch.setattr("kit.records.ledger.projection._Signatures.LOT", lot)
        for processes in (1, 2) if lot == 2 else (1,):
            found = check_all(kitchen.records, kitchen.tutor.catalogue, processes)
            assert found.problems == tuple(f"act {n} {acts.MISFIT}" for n in (signed[0], signed[-1]))


def test_a_check_since_a_code_finds_what_came_after_it_and_says_what_it_leaves_out(kitchen):
    kitchen.see(1)
    with kitchen.records.reading() as connection:
        seen = acts.head(connection)
    for day in (2, 3, 4):
        kitchen.see(day)
    found = check_since(kitchen.records, seen.short)
    assert found.whole and found.acts == seen.number + 3 and f"the {seen.number} acts" in found.not_checked[0]
    assert check_since(kitchen.records, found.head.short).whole, "nothing new is no fault"
    gone = check_since(kitchen.records, "0123 4567 89ab cdef 0123 4567")
    assert "cut off" in gone.problems[0]
    with kitchen.records.writing() as connection:
        lift(connection, "acts_keep_every_word")
        connection.execute(text(f"UPDATE acts SET batch = 'B999' WHERE number = {seen.number + 2}"))
    assert any(f"act {seen.number + 2}" in one for one in check_since(kitchen.records, seen.short).problems)
    assert check_since(kitchen.records, found.head.short).whole, "what stood before is not looked at"
