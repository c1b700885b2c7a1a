"""Records on a disk that cannot be written: read, checked and saved, and not one byte of them touched."""

import os
import shutil
import sqlite3
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest

from kit.records import DiskTrouble, open_records
from kit.records.ledger import acts
from kit.records.people import staff
from kit.records.upkeep.backup import backup
from kit.records.upkeep.whole_check import check_all
from tests.records.conftest import reopened

pytestmark = pytest.mark.file_only("a read-only disk: the server answers for its own")


@pytest.fixture
def no_writing(monkeypatch):
    """Let every place under a folder be read-only, also where the superuser runs the tests."""

    def shut(folder):
        def access(path, mode, **_):
            inside = Path(path).is_relative_to(folder)
            return not (inside and mode & os.W_OK)

        monkeypatch.setattr(os, "access", access)

    return shut


def all_bytes(folder):
    return {
        path: (path.read_bytes(), path.stat().st_mtime_ns) for path in folder.rglob("*") if path.is_file()
    }


@pytest.mark.parametrize("log_left", [False, True])
def test_records_on_a_read_only_disk_are_read_and_checked_and_nothing_is_recorded(
    kitchen, bank, tmp_path, no_writing, log_left
):
    kitchen.see(1)
    disk = tmp_path / "disk"
    disk.mkdir()
    if not log_left:
        kitchen.records.close()
    for ending in ("", "-wal") if log_left else ("",):
        shutil.copyfile(f"{kitchen.records.path}{ending}", disk / f"records.db{ending}")
    assert not log_left or (disk / "records.db-wal").stat().st_size > 0
    no_writing(disk)
    before = all_bytes(disk)
    opened = open_records(disk / "records.db", make=False)
    copied = Path(opened.copy.name)
    with kitchen.records.reading() as there, opened.reading() as here:
        assert acts.head(here) == acts.head(there)
    report = check_all(opened, bank)
    assert report.whole and not report.not_checked
    assert backup(opened, tmp_path / "b").problems == ()
    with pytest.raises(DiskTrouble, match="read-only"):
        staff.note(replace(kitchen.tutor, records=opened), kitchen.apprentice, "note", "Written here.")
    opened.close()
    assert all_bytes(disk) == before and not copied.exists()


def test_what_was_changed_on_a_read_only_disk_is_named(kitchen, bank, no_writing):
    kitchen.records.close()
    with closing(sqlite3.connect(kitchen.records.path)) as connection:
        connection.execute("UPDATE names SET name = 'Per Holm'")
        connection.commit()
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    no_writing(kitchen.records.path.parent)
    opened = reopened(kitchen.records, make=False)
    assert any("the name of" in problem for problem in check_all(opened, bank).problems)
    opened.close()
