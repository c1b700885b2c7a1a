"""The file itself: private, migrated in whole steps, and named plainly when something is wrong with it."""

import os
import signal
import sqlite3
import stat
import subprocess
import sys
import textwrap
import threading
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from sqlalchemy import event, func, select
from sqlalchemy.exc import OperationalError

from kit.basics.errors import BadData, KitError
from kit.records import DiskTrouble, RecordsBusy, open_records, take_in
from kit.records.storage import schema
from kit.records.storage.migrate import FOLDER, bring_up_to_date, changes, version
from kit.records.storage.store import engine_for, said_plainly
from tests.records.conftest import reopened

posix_only = pytest.mark.skipif(os.name != "posix", reason="permission bits and signals are POSIX")


@posix_only
@pytest.mark.file_only("the server keeps its own files")
def test_only_the_owner_can_read_file_and_folder(records):
    assert stat.S_IMODE(records.path.stat().st_mode) == 0o600
    assert stat.S_IMODE(records.path.parent.stat().st_mode) == 0o700
    with records.writing() as connection:
        connection.execute(schema.basis.insert().values(name="x", value="y"))
        for beside in records.path.parent.iterdir():
            assert stat.S_IMODE(beside.stat().st_mode) == 0o600, beside


@pytest.mark.file_only("PRAGMA is a word of SQLite")
def test_pragmas_are_as_promised(records):
    with records.reading() as connection:
        found = {
            p: connection.exec_driver_sql(f"PRAGMA {p}").scalar()
            for p in ("journal_mode", "synchronous", "foreign_keys")
        }
    assert found == {"journal_mode": "wal", "synchronous": 2, "foreign_keys": 1}


def test_foreign_keys_hold(records):
    with pytest.raises(KitError), records.writing() as connection:
        connection.execute(schema.names.insert().values(person=99, name="x", folded="x", since=None))


@pytest.mark.slow
def test_the_changes_make_exactly_the_tables_the_code_speaks_of(records):
    with records.reading() as connection:
        assert compare_metadata(MigrationContext.configure(connection), schema.metadata) == []


def test_changes_are_numbered_without_a_gap():
    assert [c.revision for c in changes()] == [f"{i:04d}" for i in range(1, len(changes()) + 1)]


def test_each_change_leaves_a_note_in_the_same_file(records):
    with records.reading() as connection:
        noted = connection.scalars(select(schema.upgrades.c.change)).all()
        assert noted == [c.revision for c in changes()]
        assert version(connection) == noted[-1]


def _with_a_second_change(tmp_path: Path, body: str) -> Path:
    folder = tmp_path / "changes"
    (folder / "versions").mkdir(parents=True)
    for file in (FOLDER / "versions").glob("r*.py"):
        (folder / "versions" / file.name).write_bytes(file.read_bytes())
    last = changes()[-1].revision
    (folder / "versions" / "r9999_next.py").write_text(
        "import sqlalchemy as sa\nfrom alembic import op\nrevision = '9999'\n"
        f"down_revision = '{last}'\n"
        f"def upgrade():\n    op.create_table('more', sa.Column('x', sa.Integer()))\n"
        f"{textwrap.indent(body, '    ')}\n"
    )
    return folder


def test_an_interrupted_change_leaves_the_version_before(records, tmp_path):
    folder = _with_a_second_change(tmp_path, "raise RuntimeError('power cut')")
    with pytest.raises(RuntimeError, match="power cut"):
        bring_up_to_date(records.engine, folder)
    with records.reading() as connection:
        assert version(connection) == changes()[-1].revision
        assert not connection.dialect.has_table(connection, "more")
    (folder / "versions" / "r9999_next.py").unlink()
    assert bring_up_to_date(records.engine, _with_a_second_change(tmp_path / "again", "pass")) == ["9999"]
    with records.reading() as connection:
        assert connection.dialect.has_table(connection, "more")


def test_records_from_a_newer_kit_are_refused(records, tmp_path):
    bring_up_to_date(records.engine, _with_a_second_change(tmp_path, "pass"))
    with pytest.raises(BadData, match=r"newer kit \(change 9999\).*Update the kit"):
        reopened(records)


def test_two_programs_may_make_the_file_at_once(tmp_path):
    path, opened, trouble = tmp_path / "t" / "records.db", [], []

    def go():
        try:
            opened.append(open_records(path))
        except Exception as error:
            trouble.append(error)

    threads = [threading.Thread(target=go) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    for each in opened:
        each.close()
    assert trouble == []


@pytest.mark.parametrize(
    "content", [b"this is no database, it is a shopping list" * 50, b"SQLite format 3\0" + b"\xaa" * 5000]
)
def test_a_damaged_file_is_named_as_such(tmp_path, content):
    path = tmp_path / "records.db"
    path.write_bytes(content)
    with pytest.raises(BadData, match=r"records\.db: the records are damaged"):
        open_records(path)


@pytest.mark.file_only("the server checks its own pages")
def test_a_page_overwritten_is_found_when_it_is_read(write, records, bank, now):
    ana = write()
    for day in range(60):
        ana.attempt("salt-sum", day=day)
    take_in(records, [ana.path], catalogue=bank, now=now)
    with records.engine.connect() as connection:
        connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
    records.close()
    data = bytearray(records.path.read_bytes())
    data[4096 * 3 :] = b"\x5a" * (len(data) - 4096 * 3)
    records.path.write_bytes(data)
    with pytest.raises(BadData, match=r"damaged|could not be used"):
        take_in(reopened(records), [ana.path], catalogue=bank, now=now)


def test_a_missing_file_is_not_made_by_looking(tmp_path):
    with pytest.raises(BadData, match="there are no records here"):
        open_records(tmp_path / "records.db", make=False)
    assert list(tmp_path.iterdir()) == []


def test_an_empty_table_file_of_somebody_else_is_brought_up_or_refused(tmp_path):
    path = tmp_path / "records.db"
    with sqlite3.connect(path) as other:
        other.execute("create table people (shoe_size integer)")
    other.close()
    with pytest.raises(BadData, match=r"records\.db"):
        open_records(path)


@pytest.mark.slow
@pytest.mark.file_only("the limit is set by a PRAGMA; a full server is tried in test_on_a_server")
def test_a_full_disk_keeps_what_was_there(write, records, bank, now):
    ana, ben = write("p-1", "Ana"), write("p-2", "Ben")
    ana.attempt("salt-sum", day=0)
    for day in range(400):
        ben.attempt("salt-sum", day=day % 80 if day < 80 else None, answer="x" * 900)
    take_in(records, [ana.path], catalogue=bank, now=now)

    def small(connection, _record):
        pages = connection.execute("PRAGMA page_count").fetchone()[0]
        connection.execute(f"PRAGMA max_page_count = {pages + 2}")

    records.close()
    event.listen(records.engine, "connect", small)
    with pytest.raises(DiskTrouble, match="disk is full"):
        take_in(records, [ben.path], catalogue=bank, now=now)
    event.remove(records.engine, "connect", small)
    records.close()
    with records.reading() as connection:
        assert connection.scalar(select(func.count()).select_from(schema.people)) == 1
        assert connection.exec_driver_sql("PRAGMA integrity_check").scalar() == "ok"
    (taken,) = take_in(records, [ben.path], catalogue=bank, now=now).books
    assert taken.status == "taken" and taken.new_lines == 400


@pytest.mark.parametrize(
    ("driver_says", "kind", "words"),
    [
        ("disk I/O error", DiskTrouble, "full or failing"),
        ("database or disk is full", DiskTrouble, "full or failing"),
        ("attempt to write a readonly database", DiskTrouble, "read-only"),
        ("unable to open database file", DiskTrouble, "cannot be opened"),
        ("database is locked", RecordsBusy, "another program"),
        ("file is not a database", BadData, "damaged"),
        ("database disk image is malformed", BadData, "damaged"),
        ("no such table: people", BadData, "not as it should be"),
        ("something new", BadData, "something new"),
    ],
)
def test_what_the_driver_says_becomes_a_sentence_with_the_file_in_it(tmp_path, driver_says, kind, words):
    with pytest.raises(kind, match=words) as caught, said_plainly(tmp_path / "records.db"):
        raise OperationalError("select", {}, sqlite3.OperationalError(driver_says))
    assert "records.db" in str(caught.value)


@pytest.mark.file_only("there is no file to make read-only")
def test_a_read_only_file_is_named(write, records, bank, now):
    ana = write()
    ana.attempt("salt-sum", day=0)
    take_in(records, [ana.path], catalogue=bank, now=now)
    records.close()
    engine = engine_for(records.path)

    def read_only(connection, _record):
        connection.execute("PRAGMA query_only = ON")

    event.listen(engine, "connect", read_only)
    ana.attempt("salt-sum", day=1)
    shut = type(records)(records.path, engine)
    with pytest.raises(DiskTrouble, match="read-only"):
        take_in(shut, [ana.path], catalogue=bank, now=now)
    shut.close()


def test_a_second_taker_waits_then_says_so(write, records, bank, now):
    ana = write()
    ana.attempt("salt-sum", day=0)
    hasty = reopened(records, busy_s=0.1)
    take_in(hasty, [], catalogue=bank)
    with records.writing() as connection:
        connection.execute(select(schema.people))
        with pytest.raises(RecordsBusy, match="another program is writing"):
            take_in(hasty, [ana.path], catalogue=bank, now=now)
    (taken,) = take_in(hasty, [ana.path], catalogue=bank, now=now).books
    assert taken.status == "taken"
    hasty.close()


@pytest.mark.slow
def test_two_takings_at_once_record_every_line_once(write, records, bank, now):
    paths = []
    for i in range(8):
        one = write(f"p-{i}", f"Person {i}")
        for day in range(4):
            one.attempt("salt-sum", day=day)
        paths.append(one.path)
    trouble = []

    def go(order):
        mine = reopened(records)
        try:
            take_in(mine, order, catalogue=bank, now=now)
        except Exception as error:
            trouble.append(error)
        finally:
            mine.close()

    threads = [threading.Thread(target=go, args=(order,)) for order in (paths, paths[::-1], paths)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert trouble == []
    with records.reading() as connection:
        assert connection.scalar(select(func.count()).select_from(schema.entries)) == 8 * 5
        assert connection.scalar(select(func.count()).select_from(schema.people)) == 8


KILLED = """
import sys, pathlib
from datetime import datetime, UTC
sys.path.insert(0, {folder!r})
from conftest import SmallBank, NOW
from kit.records import open_records, take_in
records = open_records({db!r})
print("ready", flush=True)
take_in(records, sorted(pathlib.Path({books!r}).glob("*.book")), catalogue=SmallBank(), now=NOW,
        progress=lambda taken: print(taken.file, flush=True))
"""


@pytest.mark.slow
@posix_only
def test_kill_during_taking_in_loses_nothing_acknowledged_and_repeats_cleanly(write, tmp_path, bank, now):
    for i in range(40):
        one = write(f"p-{i:02d}", f"Person {i}")
        for day in range(5):
            one.attempt("salt-sum", day=day)
    db = tmp_path / "t" / "records.db"
    open_records(db).close()
    acknowledged = set()
    for acknowledge_first in (0, 5, 19):
        script = KILLED.format(folder=str(Path(__file__).parent), db=str(db), books=str(tmp_path))
        child = subprocess.Popen([sys.executable, "-c", script], stdout=subprocess.PIPE, text=True)
        assert child.stdout.readline() == "ready\n"
        for _ in range(acknowledge_first):
            acknowledged.add(child.stdout.readline().strip())
        os.kill(child.pid, signal.SIGKILL)
        acknowledged |= set(child.stdout.read().split())
        child.wait()
        child.stdout.close()
        records = open_records(db)
        with records.reading() as connection:
            assert connection.exec_driver_sql("PRAGMA integrity_check").scalar() == "ok"
            done = set(connection.scalars(select(schema.takings.c.file_name)))
            lines = connection.execute(
                select(schema.entries.c.person, func.count()).group_by(schema.entries.c.person)
            ).all()
        records.close()
        assert acknowledged <= done
        assert len(done) < 40, "the kill came too late to prove anything"
        assert {count for _, count in lines} <= {6}, "a book is taken whole or not at all"
    records = open_records(db)
    take_in(records, sorted(tmp_path.glob("*.book")), catalogue=bank, now=now)
    with records.reading() as connection:
        assert connection.scalar(select(func.count()).select_from(schema.entries)) == 40 * 6
    records.close()
