"""Backups: whole or not there, every damage found, and nothing lost when they are put back."""

from __future__ import annotations

import hashlib
import io
import json
import os
import random
import shutil
import signal
import sqlite3
import stat
import subprocess
import sys
import threading
import time
import zipfile
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from sqlalchemy import select, text

from kit.basics.errors import BadData, KitError
from kit.files import signing
from kit.records import DiskTrouble, RecordsBusy, open_records, take_in
from kit.records.evidence.kept_files import attach, check_files, folder_of, path_of
from kit.records.ledger import acts
from kit.records.ledger.projection import check_chain
from kit.records.people import keys, staff
from kit.records.storage import schema
from kit.records.storage.store import engine_for
from kit.records.upkeep import backup as backing_up
from kit.records.upkeep import backup_file
from kit.records.upkeep.backup import STALE_S, backup, restore, verify_backup
from kit.records.upkeep.backup_file import DATABASE, MANIFEST, Backup, manifest_of, read_manifest
from kit.records.upkeep.erase import erase_person
from kit.records.upkeep.whole_check import check_all
from tests.records.conftest import reopened

START = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
posix_only = pytest.mark.skipif(os.name != "posix", reason="permission bits, signals and limits are POSIX")


@pytest.fixture
def desk(records, bank, write, tmp_path, now, built):
    """Records with a manager, a tutor, two apprentices, a book and three files."""
    made = built.once("desk", records, lambda: make_desk(records, bank, write, tmp_path, now))
    return replace(made, records=records)


def make_desk(records, bank, write, tmp_path, now):
    manager = replace(staff.begin(records, "Berit Falk", lambda: START), catalogue=bank)
    person = staff.take_on(manager, "tutor", name="Osric Vane")
    key = signing.Signer(Ed25519PrivateKey.generate())
    keys.add_key(manager, person, key.key_id, key.public)
    tam = staff.take_on(manager, "apprentice", name="Tam Ferris", person="p-tam")
    staff.note(manager, tam, "note", "Begins on Monday.")
    book = write(tam, "Tam Ferris")
    for day in range(40):
        book.attempt("salt-sum", day=day)
    take_in(records, [book.path], now=now, catalogue=bank)
    for number in range(3):
        (tmp_path / f"w{number}.txt").write_text(f"weights {number}: 1200 g\n" * 50)
        attach(manager, tmp_path / f"w{number}.txt", tam, "weights")
    return manager


@pytest.fixture
def made(desk, tmp_path):
    return backup(desk.records, tmp_path / "one.backup", now=START)


def content(path: Path):
    """Everything in the tables, and every kept file."""
    opened = open_records(path, make=False)
    with opened.reading() as connection:
        tables = {t.name: connection.execute(select(t)).all() for t in schema.metadata.sorted_tables}
    opened.close()
    files = {p.name: p.read_bytes() for p in folder_of(path).rglob("*") if p.is_file()}
    return {name: sorted(map(repr, rows)) for name, rows in tables.items()}, files


def drafts(folder: Path):
    return [p for p in folder.iterdir() if p.name.endswith(".draft")]


@pytest.mark.slow
@pytest.mark.file_only("it works on the records' own file; a server's way is tried in test_on_a_server")
def test_what_goes_in_comes_back_whole(desk, made, tmp_path):
    assert made.files == 3 and made.problems == () and made.rows["entries"] == 41
    assert verify_backup(made.path) == made
    done = restore(made.path, tmp_path / "new" / "records.db")
    assert (done.backup, done.aside) == (made, None)
    assert content(done.path) == content(desk.records.path)
    again = open_records(done.path)
    assert check_chain(again).whole and check_files(again).whole
    with again.reading() as connection:
        assert acts.head(connection) == made.head
    staff.note(replace(desk, records=again), "p-tam", "note", "Goes on from there.")
    again.close()


@posix_only
def test_only_the_owner_can_read_it_and_what_it_becomes(made, tmp_path):
    assert stat.S_IMODE(made.path.stat().st_mode) == 0o600
    restore(made.path, tmp_path / "new" / "records.db")
    for each in [tmp_path / "new", *(tmp_path / "new").rglob("*")]:
        assert stat.S_IMODE(each.stat().st_mode) == (0o700 if each.is_dir() else 0o600), each
    assert not drafts(tmp_path) and not drafts(tmp_path / "new")


@pytest.mark.slow
def test_each_step_twice(desk, made, tmp_path):
    with pytest.raises(BadData, match="a file of this name already"):
        backup(desk.records, made.path)
    second = backup(desk.records, tmp_path / "two.backup", now=START)
    assert replace(second, path=made.path).head == made.head
    assert second.rows == made.rows
    assert verify_backup(made.path) == verify_backup(made.path)
    target = tmp_path / "new" / "records.db"
    restore(made.path, target)
    with pytest.raises(BadData, match="there are records here already"):
        restore(made.path, target)
    first = restore(made.path, target, replace=True)
    other = restore(made.path, target, replace=True)
    assert first.aside != other.aside
    for aside in (first.aside, other.aside):
        assert content(aside / "records.db") == content(target)


def test_names_that_cannot_be(desk, made, tmp_path):
    with pytest.raises(BadData, match="no such folder"):
        backup(desk.records, tmp_path / "nowhere" / "x")
    with pytest.raises(BadData, match="no such file"):
        verify_backup(tmp_path / "nowhere")
    with pytest.raises(BadData, match="this is a folder"):
        verify_backup(tmp_path)
    with pytest.raises(BadData, match="this is a folder"):
        restore(made.path, tmp_path, replace=True)
    for data in (b"", b"a shopping list", b"PK\x03\x04" + b"\0" * 400):
        (tmp_path / "x").write_bytes(data)
        with pytest.raises(BadData, match="no whole zip file"):
            verify_backup(tmp_path / "x")
    with zipfile.ZipFile(tmp_path / "y", "w") as other:
        other.writestr("holiday.txt", "photos")
    with pytest.raises(BadData, match="no backup of the records"):
        restore(tmp_path / "y", tmp_path / "new" / "records.db")
    assert not (tmp_path / "new" / "records.db").exists()


def rewritten(path: Path, out: Path, change) -> Path:
    """Write the backup anew with ``change(name, data)`` in place of each part; None leaves it out."""
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(out, "w") as new:
        for info in old.infolist():
            data = change(info.filename, old.read(info))
            if data is not None:
                new.writestr(info.filename, data)
    return out


def part_names(path: Path):
    with zipfile.ZipFile(path) as archive:
        return archive.namelist()


@pytest.mark.parametrize("which", range(5))
@pytest.mark.parametrize("how", ["changed", "left out", "cut short", "empty"])
def test_every_part_that_was_harmed_is_found(made, tmp_path, which, how):
    name = part_names(made.path)[which]

    def harm(part, data):
        if part != name:
            return data
        middle = len(data) // 2
        flipped = data[:middle] + bytes([data[middle] ^ 1]) + data[middle + 1 :]
        return {"changed": flipped, "left out": None, "cut short": data[:-1], "empty": b""}[how]

    bad = rewritten(made.path, tmp_path / "bad", harm)
    with pytest.raises(BadData, match=r"bad: this (backup is damaged|is no backup)"):
        verify_backup(bad)
    with pytest.raises(BadData):
        restore(bad, tmp_path / "new" / "records.db")
    assert not (tmp_path / "new" / "records.db").exists() and not drafts(tmp_path / "new")


def test_a_part_too_many_is_found(made, tmp_path):
    for name in ("../outside", "evidence/aa/" + "b" * 64, "/etc/x", "other"):
        bad = tmp_path / "bad"
        bad.write_bytes(made.path.read_bytes())
        with zipfile.ZipFile(bad, "a") as archive:
            archive.writestr(name, b"x")
        with pytest.raises(BadData, match="not those of its manifest"):
            restore(bad, tmp_path / "new" / "records.db")


def test_a_manifest_made_to_lead_outside_is_refused(made, tmp_path):
    forged = replace(made, parts={**made.parts, "../outside": "0" * 64})

    def change(name, data):
        return manifest_of(forged) if name == MANIFEST else data

    bad = rewritten(made.path, tmp_path / "bad", change)
    with zipfile.ZipFile(bad, "a") as archive:
        archive.writestr("../outside", b"x")
    with pytest.raises(BadData, match="a part of an unknown name"):
        restore(bad, tmp_path / "new" / "records.db")
    assert not (tmp_path / "outside").exists()


@pytest.mark.slow
def test_any_byte_flipped_is_found_or_does_no_harm(made, tmp_path):
    whole, rng, bad = made.path.read_bytes(), random.Random(11), tmp_path / "bad"
    found = 0
    for at in [*rng.sample(range(len(whole)), 60), *range(40), *range(len(whole) - 120, len(whole))]:
        data = bytearray(whole)
        data[at] ^= 1 << rng.randrange(8)
        bad.write_bytes(data)
        try:
            assert replace(verify_backup(bad), path=made.path) == made  # a stamp or a right that nobody reads
        except BadData:
            found += 1
    assert found > 100


@pytest.mark.parametrize("share", [0.0, 0.1, 0.5, 0.9, 0.999])
def test_half_a_backup_is_refused(made, tmp_path, share):
    whole, bad = made.path.read_bytes(), tmp_path / "bad"
    bad.write_bytes(whole[: int(len(whole) * share)])
    with pytest.raises(BadData):
        restore(bad, tmp_path / "new" / "records.db")
    assert not (tmp_path / "new" / "records.db").exists()


def resealed(made, tmp_path, statements, **facts):
    """A backup whose database was changed by somebody who also set every hash right."""
    import hashlib

    folder = tmp_path / "work"
    folder.mkdir()
    with zipfile.ZipFile(made.path) as archive:
        database = Path(archive.extract(DATABASE, folder))
    with sqlite3.connect(database) as connection:
        for statement in statements:
            connection.execute(statement)
    connection.close()
    data = database.read_bytes()
    forged = replace(made, parts={**made.parts, DATABASE: hashlib.sha256(data).hexdigest()}, **facts)
    swap = {DATABASE: data, MANIFEST: manifest_of(forged)}
    return rewritten(made.path, tmp_path / "forged", lambda name, old: swap.get(name, old))


def test_rows_that_are_not_those_of_the_manifest(made, tmp_path):
    bad = resealed(made, tmp_path, ["DELETE FROM marks WHERE entry = 5"])
    with pytest.raises(BadData, match="not those of its manifest"):
        verify_backup(bad)


def test_a_chain_that_does_not_check_is_refused(made, tmp_path):
    harm = ["DROP TRIGGER acts_keep_every_word", "UPDATE acts SET facts = '{}' WHERE number = 2"]
    bad = resealed(made, tmp_path, harm)
    with pytest.raises(BadData, match="act 2 was changed"):
        restore(bad, tmp_path / "new" / "records.db")
    assert not (tmp_path / "new" / "records.db").exists()


BUILT_ELSEWISE = {
    "acts_keep_every_word is missing": "DROP TRIGGER acts_keep_every_word",
    "the view helpful is not as this kit makes it": "CREATE VIEW helpful AS SELECT * FROM acts",
    "the trigger quietly is not as": "CREATE TRIGGER quietly AFTER INSERT ON acts BEGIN "
    "UPDATE decided SET decision = 'competent'; END",
}


@pytest.mark.parametrize("says", BUILT_ELSEWISE)
def test_a_backup_whose_tables_are_not_ours_is_refused(made, tmp_path, says):
    bad = resealed(made, tmp_path, [BUILT_ELSEWISE[says]])
    with pytest.raises(BadData, match=says):
        restore(bad, tmp_path / "new" / "records.db")
    with pytest.raises(BadData, match=says):
        verify_backup(bad)


FORGED_ROWS = {
    "the name of p-tam was changed": "UPDATE names SET name = 'Per Holm' WHERE name = 'Tam Ferris'",
    "a line, a mark, a first try or a flag was changed": "UPDATE marks SET score = score + 1 WHERE entry = 5",
    "the note of the file": "UPDATE files SET size = size + 1",
}


@pytest.mark.slow
@pytest.mark.parametrize("says", FORGED_ROWS)
def test_a_backup_of_which_rows_were_forged_past_the_chain_is_refused(made, tmp_path, says):
    bad, target = resealed(made, tmp_path, [FORGED_ROWS[says]]), tmp_path / "new" / "records.db"
    with pytest.raises(BadData, match=says):
        verify_backup(bad)
    with pytest.raises(BadData, match=says):
        restore(bad, target)
    assert not target.exists()
    restore(bad, target, despite_problems=True)
    opened = open_records(target)
    assert any(says in problem for problem in check_all(opened).problems), "and the check goes on naming it"
    opened.close()


def test_tables_that_are_not_ours_are_refused_whatever_was_asked(made, tmp_path):
    bad = resealed(made, tmp_path, [BUILT_ELSEWISE["the trigger quietly is not as"]])
    with pytest.raises(BadData, match="quietly is not as"):
        restore(bad, tmp_path / "new" / "records.db", despite_problems=True)


@pytest.mark.parametrize("part", [DATABASE, "evidence"])
def test_a_small_file_that_would_unpack_to_a_huge_one_is_refused_at_once(made, tmp_path, monkeypatch, part):
    name = next(name for name in part_names(made.path) if name.startswith(part))
    with zipfile.ZipFile(made.path) as archive:
        size = archive.getinfo(name).file_size
    monkeypatch.setattr(backup_file, "LARGEST_DATABASE" if part == DATABASE else "LARGEST_BYTES", size - 1)
    with pytest.raises(BadData, match=f"the part {name} says that it is {size:,} bytes long"):
        restore(made.path, tmp_path / "new" / "records.db")
    assert not drafts(tmp_path / "new")


def test_a_disk_without_room_is_told_before_anything_is_unpacked(made, tmp_path, monkeypatch):
    usage = shutil.disk_usage(tmp_path)._replace(free=1000)
    monkeypatch.setattr(shutil, "disk_usage", lambda _: usage)
    with pytest.raises(BadData, match="the disk has 1,000 free"):
        restore(made.path, tmp_path / "new" / "records.db")


def test_a_newer_kit_is_refused_with_advice(made, tmp_path):
    change = "UPDATE alembic_version SET version_num = '9999'"
    with pytest.raises(BadData, match=r"newer kit \(change 9999\).*Update the kit"):
        restore(resealed(made, tmp_path, [change], change="9999"), tmp_path / "new" / "records.db")
    facts = json.loads(manifest_of(made)) | {"format": 99, "kit_version": "9.1"}
    with pytest.raises(BadData, match=r"newer kit \(9\.1\).*Update the kit"):
        read_manifest(json.dumps(facts).encode(), made.path)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"change": 2}, "change is 2. Expected: text"),
        ({"made_at": "2026-03-02T09:00:00"}, "made_at is .* a time with its zone"),
        ({"head": {"number": "1", "hash": ""}}, "head.* number is '1'. Expected: a whole number"),
        ({"rows": {"people": 1.5}}, r"rows.* people is 1\.5\. Expected: a whole number"),
        ({"problems": "none"}, "problems is 'none'. Expected: a list"),
        ({"more": 1}, "unknown name 'more'"),
    ],
)
def test_a_manifest_with_its_sum_right_is_still_checked(made, change, says):
    facts = json.loads(manifest_of(made)) | change
    facts.pop("sha256")
    told = json.dumps(facts, sort_keys=True, separators=(",", ":"))
    whole = json.dumps(facts | {"sha256": hashlib.sha256(told.encode()).hexdigest()})
    with pytest.raises(BadData, match=says):
        read_manifest(whole.encode(), made.path)


@pytest.mark.parametrize(
    "data", [b"", b"[]", b"{}", b"null", b'{"title": "records backup"}', b"\xff", b"[" * 9000]
)
def test_no_manifest_is_too_odd_to_refuse(data, tmp_path):
    with pytest.raises(BadData):
        read_manifest(data, tmp_path / "x")


def test_problems_of_the_records_are_told_and_come_back_as_they_were(desk, tmp_path):
    sha = check_files(desk.records).kept[0]
    path_of(desk.records, sha).write_text("changed")
    path_of(desk.records, check_files(desk.records).kept[0]).unlink()
    with desk.records.writing() as connection:
        connection.execute(text("UPDATE words SET text = 'Begins on Tuesday.' WHERE text LIKE 'Begins%'"))
    made = backup(desk.records, tmp_path / "b")
    said = " ".join(made.problems)
    assert "was changed" in said and "is missing" in said and "words kept under" in said
    assert made.files == 1
    done = restore(made.path, tmp_path / "new" / "records.db")
    assert done.backup.problems == made.problems


@pytest.mark.file_only("it works on the records' own file; a server's way is tried in test_on_a_server")
def test_damaged_records_are_named_and_no_file_is_left(desk, tmp_path):
    with desk.records.engine.connect() as connection:
        connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
    desk.records.close()
    data = bytearray(desk.records.path.read_bytes())
    data[4096 * 20 : 4096 * 40] = b"\x5a" * (4096 * 20)
    desk.records.path.write_bytes(data)
    with pytest.raises(BadData, match=r"damaged|could not be used"):
        backup(desk.records, tmp_path / "b")
    assert not (tmp_path / "b").exists() and not drafts(tmp_path)


@pytest.mark.slow
@pytest.mark.file_only("it works on the records' own file; a server's way is tried in test_on_a_server")
def test_what_was_there_is_set_aside_whole(desk, made, tmp_path):
    (tmp_path / "later.txt").write_text("weights later: 900 g\n")
    later = attach(desk, tmp_path / "later.txt", "p-tam", "weights").sha256
    desk.records.close()
    before = content(desk.records.path)
    done = restore(made.path, desk.records.path, replace=True)
    assert content(done.aside / "records.db") == before
    assert done.aside.parent == desk.records.path.parent and done.aside.name.startswith("replaced-")
    assert done.aside_head.number == made.head.number + 1
    after = reopened(desk.records)
    assert check_files(after).whole and check_files(after).stray == ()
    assert not path_of(after, later).exists()
    with after.reading() as connection:
        assert acts.head(connection) == made.head
    after.close()


@pytest.mark.file_only("it works on the records' own file; a server's way is tried in test_on_a_server")
def test_records_too_damaged_to_read_are_set_aside_as_they_are(desk, made, tmp_path):
    desk.records.close()
    desk.records.path.write_bytes(b"no database any more" * 99)
    done = restore(made.path, desk.records.path, replace=True)
    assert (done.aside / "records.db").read_bytes() == b"no database any more" * 99
    assert done.aside_head is None
    opened = reopened(desk.records)
    assert check_chain(opened).whole
    opened.close()


@pytest.mark.file_only("it works on the records' own file; a server's way is tried in test_on_a_server")
def test_an_erased_person_who_comes_back_is_named(desk, made):
    staff.leave(desk, "p-tam", "apprentice")
    erase_person(desk, "p-tam", "Asked for it.")
    desk.records.close()
    assert restore(made.path, desk.records.path, replace=True).back == ("p-tam",)


def test_a_backup_holds_nobody_who_was_erased_before(desk, tmp_path):
    staff.leave(desk, "p-tam", "apprentice")
    erase_person(desk, "p-tam", "Asked for it.")
    made = backup(desk.records, tmp_path / "b")
    assert made.files == 0 and made.problems == ()
    with zipfile.ZipFile(made.path) as archive:
        assert b"Tam Ferris" not in b"".join(archive.read(name) for name in archive.namelist())


@pytest.mark.file_only("it works on the records' own file; a server's way is tried in test_on_a_server")
def test_records_that_somebody_has_open_are_not_replaced(desk, made):
    with desk.records.reading() as connection:
        connection.execute(select(schema.people)).all()
        with pytest.raises(RecordsBusy, match="has these records open"):
            restore(made.path, desk.records.path, replace=True)
    assert not list(desk.records.path.parent.glob("replaced-*")) and not drafts(desk.records.path.parent)


@pytest.mark.slow
def test_a_backup_runs_while_another_program_writes(desk, tmp_path):
    other, stop, wrote = reopened(desk.records), threading.Event(), []

    def go():
        hand = replace(desk, records=other)
        while not stop.is_set():
            wrote.append(staff.note(hand, "p-tam", "note", f"Line {len(wrote)}").number)

    writer = threading.Thread(target=go)
    writer.start()
    try:
        made = []
        for n in range(4):
            made.append(backup(desk.records, tmp_path / f"b{n}"))
            had = len(wrote)
            while len(wrote) <= had:
                time.sleep(0.005)
    finally:
        stop.set()
        writer.join()
        other.close()
    heads = [verify_backup(each.path).head.number for each in made]
    assert heads == sorted(set(heads)), "each one holds a later moment"
    assert heads[-1] > heads[0] and len(wrote) > 4


def test_a_draft_that_a_crash_left_goes_after_an_hour(desk, tmp_path):
    old, fresh = tmp_path / ".smokehouse-one.draft", tmp_path / ".smokehouse-two.draft"
    somebody_elses = tmp_path / ".letter.draft"
    for each in (old, fresh, somebody_elses):
        each.mkdir()
    for each in (old, somebody_elses):
        os.utime(each, (time.time() - STALE_S - 9,) * 2)
    backup(desk.records, tmp_path / "of another name")
    assert set(drafts(tmp_path)) == {fresh, somebody_elses}


CHILD = """
import sys
from pathlib import Path
from kit.records import open_records
from kit.records.upkeep.backup import backup, restore
what, db, path, limit = sys.argv[1:]
if int(limit):
    import resource
    resource.setrlimit(resource.RLIMIT_FSIZE, (int(limit), int(limit)))
print("ready", flush=True)
try:
    if what == "backup":
        backup(open_records(db), path)
    else:
        restore(path, db, replace=True)
    print("done", flush=True)
except Exception as error:
    print(type(error).__name__, error, flush=True)
"""


def child(what, db, path, limit=0):
    command = [sys.executable, "-c", CHILD, what, str(db), str(path), str(limit)]
    return subprocess.Popen(command, stdout=subprocess.PIPE, text=True)


def kill_after(running, seconds):
    assert running.stdout.readline() == "ready\n"
    time.sleep(seconds)
    os.kill(running.pid, signal.SIGKILL)
    said = running.stdout.read()
    running.wait()
    running.stdout.close()
    return "done" in said


def times(run, count=4):
    """Moments spread over how long it takes when nobody stops it."""
    running = run()
    assert running.stdout.readline() == "ready\n"
    begun = time.perf_counter()
    assert running.stdout.read() == "done\n"
    running.wait()
    running.stdout.close()
    took = time.perf_counter() - begun
    return [took * (turn + 0.5) / count for turn in range(count)]


@pytest.fixture
def big(desk, tmp_path, built):
    """More to copy, so that a kill lands inside."""
    built.once("big", desk.records, lambda: make_big(desk, tmp_path))
    return desk


def make_big(desk, tmp_path):
    with desk.records.writing() as connection:
        facts = {"person": "p-tam", "salt": "0" * 32, "text": os.urandom(300).hex()}
        rows = [facts | {"mark": f"{number:064}"} for number in range(3000)]
        connection.execute(schema.words.insert(), rows)
        connection.execute(text("DELETE FROM words WHERE mark LIKE '0000%'"))
    for number in range(40):
        (tmp_path / "more.txt").write_text(f"{number}: " + os.urandom(20_000).hex())
        attach(desk, tmp_path / "more.txt", "p-tam", "weights")
    return desk


@posix_only
@pytest.mark.slow
@pytest.mark.file_only("it works on the records' own file; a server's way is tried in test_on_a_server")
def test_a_kill_while_backing_up_leaves_no_file_of_that_name(big, tmp_path):
    out, cut = tmp_path / "out", 0
    out.mkdir()
    for turn, moment in enumerate(times(lambda: child("backup", big.records.path, out / "first"))):
        target = out / f"b{turn}"
        done = kill_after(child("backup", big.records.path, target), moment)
        if target.exists():
            assert verify_backup(target).problems == ()  # renamed already: then it is whole
        else:
            assert not done
            cut += 1
        backup(big.records, out / f"again{turn}")
        assert check_chain(big.records).whole
    assert cut >= 1, "the kills came too late to prove anything"


@posix_only
@pytest.mark.slow
@pytest.mark.file_only("it works on the records' own file; a server's way is tried in test_on_a_server")
def test_a_kill_while_restoring_leaves_the_old_records_or_the_new(big, tmp_path):
    made = backup(big.records, tmp_path / "b")
    staff.note(big, "p-tam", "note", "After the backup.")
    big.records.close()
    old, new, seen = made.head.number + 1, made.head.number, set()
    place = tmp_path / "place"
    moments = None
    for turn in range(8):
        target = place / str(turn) / "records.db"
        restore(backup_of(big, tmp_path), target)
        if moments is None:
            moments = times(lambda where=target: child("restore", where, made.path))
            continue
        running = child("restore", target, made.path)
        if turn > len(moments):  # the short stretch in which things are moved
            while not list(target.parent.glob("replaced-*")) and running.poll() is None:
                time.sleep(0.0002)
            kill_after(running, (turn - len(moments) - 1) * 0.004)
        else:
            kill_after(running, moments[turn - 1])
        opened = open_records(target, make=False)
        with opened.reading() as connection:
            number = acts.head(connection).number
            assert connection.exec_driver_sql("PRAGMA integrity_check").scalar() == "ok"
        seen.add(number)
        assert number in (old, new)
        assert check_files(opened).whole and check_chain(opened).whole
        opened.close()
        again = restore(made.path, target, replace=True)
        opened = open_records(target)
        assert check_files(opened).whole and check_files(opened).stray == ()
        opened.close()
        kept = [open_records(aside / "records.db", make=False) for aside in target.parent.glob("replaced-*")]
        heads = set()
        for each in kept:
            with each.reading() as connection:
                heads.add(acts.head(connection).number)
            each.close()
        assert old in heads and again.aside, "what was there is never deleted"
    assert old in seen, "the kills came too late to prove anything"


def backup_of(hand, tmp_path):
    target = tmp_path / "later"
    if not target.exists():
        backup(hand.records, target)
        hand.records.close()
    return target


@pytest.mark.slow
@posix_only
@pytest.mark.parametrize("limit", [20_000, 300_000])
@pytest.mark.file_only("it works on the records' own file; a server's way is tried in test_on_a_server")
def test_a_full_disk_leaves_no_half_backup(big, tmp_path, limit):
    out = tmp_path / "out"
    out.mkdir()
    said = child("backup", big.records.path, out / "b", limit).communicate(timeout=120)[0]
    assert "DiskTrouble" in said, said
    assert list(out.iterdir()) == []
    backup(big.records, out / "b")
    verify_backup(out / "b")


@pytest.mark.slow
@posix_only
@pytest.mark.parametrize("limit", [20_000, 300_000])
@pytest.mark.file_only("it works on the records' own file; a server's way is tried in test_on_a_server")
def test_a_full_disk_leaves_the_records_that_were_there(big, tmp_path, limit):
    made = backup(big.records, tmp_path / "b")
    big.records.close()
    before = content(big.records.path)
    said = child("restore", big.records.path, made.path, limit).communicate(timeout=120)[0]
    assert "DiskTrouble" in said, said
    assert content(big.records.path) == before
    assert not drafts(big.records.path.parent)
    fresh = tmp_path / "new" / "records.db"
    said = child("restore", fresh, made.path, limit).communicate(timeout=120)[0]
    assert "DiskTrouble" in said and not fresh.exists() and list(fresh.parent.iterdir()) == []


def test_a_folder_that_cannot_be_written_is_one_line(desk, made, tmp_path):
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(DiskTrouble):
        restore(made.path, tmp_path / "file" / "records.db")


@pytest.mark.slow
def test_an_older_backup_is_brought_up_to_date(tmp_path):
    """Its tables are from before the chain of acts: the rest is made while it is restored."""
    from kit.records.storage.migrate import FOLDER, bring_up_to_date, changes, version

    old = tmp_path / "changes" / "versions"
    old.mkdir(parents=True)
    first = next((FOLDER / "versions").glob("r0001*.py"))
    (old / first.name).write_bytes(first.read_bytes())
    engine = engine_for(tmp_path / "old.db")
    assert bring_up_to_date(engine, old.parent) == ["0001"]
    engine.dispose()
    with sqlite3.connect(tmp_path / "old.db") as connection:
        connection.execute("INSERT INTO people VALUES (1, 'p-old', '2025-11-03 09:00:00.000000')")
    connection.close()
    seen = backing_up._look(tmp_path / "old.db", "quick_check", "old.db")
    assert (seen.change, seen.head) == ("0001", acts.LedgerHead(0, ""))

    def manifest(parts):
        return Backup(tmp_path / "b", "0.1.0", START, seen.change, seen.head, seen.rows, parts)

    backup_file.write(tmp_path / "b", tmp_path / "old.db", [], manifest)
    target = tmp_path / "new" / "records.db"
    with pytest.raises(BadData, match="no act or book speaks of them"):
        restore(tmp_path / "b", target)
    opened = open_records(restore(tmp_path / "b", target, despite_problems=True).path)
    with opened.reading() as connection:
        assert version(connection) == changes()[-1].revision
        assert connection.scalars(select(schema.people.c.person_id)).all() == ["p-old"]
    assert check_chain(opened).whole
    opened.close()


def test_nothing_that_is_no_zip_upsets_the_reader(tmp_path):
    rng, path = random.Random(5), tmp_path / "x"
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as archive:
        archive.writestr(MANIFEST, b"{}")
    for _ in range(200):
        data = bytearray(file.getvalue())
        for _ in range(rng.randrange(1, 6)):
            data[rng.randrange(len(data))] = rng.randrange(256)
        path.write_bytes(data)
        with pytest.raises(KitError):
            verify_backup(path)


def test_a_day_later_the_manifest_says_when(desk, tmp_path):
    made = backup(desk.records, tmp_path / "b", now=START + timedelta(days=1))
    assert verify_backup(made.path).made_at == START + timedelta(days=1)
