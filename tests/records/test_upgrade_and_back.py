"""From the tables of version 0.1.0 to today's and back again, on a file and on a server.

The kit of then is stood in for by its own numbered changes, without the later ones: what it knew of a
database is what they made.
"""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from sqlalchemy import MetaData, insert, select

from kit.basics.errors import BadData
from kit.records import board, open_records
from kit.records.ledger import acts
from kit.records.storage.migrate import FOLDER, bring_up_to_date, changes, version
from kit.records.storage.store import engine_for
from kit.records.upkeep.backup import backup, restore
from kit.records.upkeep.backup_file import DATABASE, unpack
from kit.records.upkeep.whole_check import check_all
from tests.records.test_golden import FACTS, GOLDEN, LOOKED_AT

pytestmark = pytest.mark.slow
THEN = FACTS["backup"]["change"]


@pytest.fixture(scope="module")
def old_kit(tmp_path_factory):
    """The numbered changes that version 0.1.0 knew."""
    folder = tmp_path_factory.mktemp("old kit")
    shutil.copytree(FOLDER, folder, dirs_exist_ok=True, ignore=shutil.ignore_patterns("__pycache__"))
    for later in changes()[int(THEN) :]:
        Path(folder, "versions", Path(later.path).name).unlink()
    assert [each.revision for each in changes(folder)][-1] == THEN != changes()[-1].revision
    return folder


@pytest.fixture
def golden(tmp_path):
    """Records as version 0.1.0 left them, with their evidence."""
    file = tmp_path / "tutor" / "records.db"
    file.parent.mkdir()
    shutil.copy(GOLDEN / "records.sqlite", file)
    shutil.copytree(GOLDEN / "evidence", file.parent / "evidence")
    return file


def opened_by(folder, database):
    """Open a database as the kit of that folder would, and return what it found to change."""
    engine = engine_for(database)
    try:
        return bring_up_to_date(engine, folder, str(database))
    finally:
        engine.dispose()


def stands(file):
    """Return what the board says of everybody, the end of the chain, and whether all of it checks."""
    records = open_records(file, make=False)
    try:
        found = board(records, now=LOOKED_AT)
        with records.reading() as connection:
            head = acts.head(connection)
        told = {one.person_id: (one.name, found.holding(one), one.answers, one.flags) for one in found.people}
        return told, head, check_all(records).problems
    finally:
        records.close()


def test_up_back_and_up_again_say_the_same(golden, old_kit, tmp_path):
    before = golden.read_bytes()
    assert opened_by(old_kit, golden) == [], "the old kit opens its own records"
    there = stands(golden)
    assert (
        there[1].hash == FACTS["chain"]["head"] and there[2] == () and len(there[0]) == len(FACTS["people"])
    )
    after = golden.read_bytes()
    with pytest.raises(BadData, match="newer kit"):
        opened_by(old_kit, golden)
    assert golden.read_bytes() == after != before, "refusing changes nothing"
    back = tmp_path / "back"
    back.mkdir()
    unpack(GOLDEN / "records.backup", back, evidence=True)
    assert opened_by(old_kit, back / DATABASE) == [], "the backup from before is as the old kit wrote it"
    engine = engine_for(back / DATABASE)
    with engine.connect() as connection:
        assert version(connection) == THEN and acts.head(connection).hash == FACTS["chain"]["head"]
    engine.dispose()
    again = tmp_path / "again" / "records.db"
    restore(GOLDEN / "records.backup", again)
    assert stands(again) == there


def test_what_was_done_after_the_upgrade_is_set_aside_and_not_lost(golden, tmp_path):
    there = stands(golden)
    done = restore(GOLDEN / "records.backup", golden, replace=True)
    assert done.aside is not None and stands(done.aside / golden.name) == there


def test_a_backup_from_after_the_upgrade_is_refused_by_the_old_kit(golden, old_kit, tmp_path):
    records = open_records(golden, make=False)
    made = backup(records, tmp_path / "new.backup")
    records.close()
    back = tmp_path / "back"
    back.mkdir()
    unpack(made.path, back, evidence=False)
    with pytest.raises(BadData, match="newer kit"):
        opened_by(old_kit, back / DATABASE)


def test_a_server_goes_up_with_the_rows_of_then_and_an_upgrade_cut_short_changes_nothing(
    server, old_kit, golden, tmp_path
):
    name = server.database()
    address = server.address(name)
    assert opened_by(old_kit, address)[-1] == THEN
    _carry_as_it_is(golden, address)
    broken = tmp_path / "broken"
    shutil.copytree(FOLDER, broken, ignore=shutil.ignore_patterns("__pycache__"))
    last = next(Path(broken, "versions").glob(f"r{changes()[-1].revision}*"))
    last.write_text(last.read_text() + '    raise RuntimeError("power cut")\n')
    was = _rows(address)
    with pytest.raises(RuntimeError, match="power cut"):
        opened_by(broken, address)
    assert _rows(address) == was and opened_by(old_kit, address) == []
    records = open_records(address, make=False, beside=golden)
    assert check_all(records).problems == ()
    with records.reading() as connection:
        assert acts.head(connection).hash == FACTS["chain"]["head"]
    records.close()
    with pytest.raises(BadData, match="newer kit"):
        opened_by(old_kit, address)
    server.drop(name)


def _carry_as_it_is(file, address):
    """Bring all rows of a file into a schema with the same tables, whatever today's tables are."""
    source, target = engine_for(file), engine_for(address)
    here, there = MetaData(), MetaData()
    here.reflect(source)
    there.reflect(target)
    with source.connect() as old, target.execution_options(write=True).begin() as new:
        for table in reversed(there.sorted_tables):
            if table.name in here.tables and table.name != "alembic_version":
                new.execute(table.delete()) if table.name == "upgrades" else None
        for table in there.sorted_tables:
            if table.name == "alembic_version":
                continue
            rows = [dict(row) for row in old.execute(select(here.tables[table.name])).mappings()]
            if table.name == "acts":
                rows.sort(key=lambda row: row["number"])
            for row in rows:
                new.execute(insert(table), row)
    source.dispose()
    target.dispose()


def _rows(address):
    engine, found = engine_for(address), MetaData()
    found.reflect(engine)
    with engine.connect() as connection:
        told = {
            table.name: sorted(
                json.dumps([str(each) for each in row]) for row in connection.execute(select(table))
            )
            for table in found.sorted_tables
        }
    engine.dispose()
    return told
