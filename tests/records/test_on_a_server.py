"""Records on a PostgreSQL server: what holds there and nowhere else."""

import threading
from dataclasses import replace
from datetime import date

import psycopg
import pytest
from sqlalchemy import func, select, text

from kit.basics.errors import BadData, KitError
from kit.records import DiskTrouble, RecordsBusy, open_records, take_in
from kit.records.competence import deciding
from kit.records.competence.kitchen_figures import kitchen_figures
from kit.records.evidence.kept_files import attach, check_files
from kit.records.ledger import acts
from kit.records.ledger.projection import check_chain
from kit.records.people import staff
from kit.records.storage import schema
from kit.records.storage.kitchens import KITS, kitchen_sql, make_kitchen
from kit.records.storage.postgres import shown
from kit.records.storage.store import records_place, remember_address, said_plainly
from kit.records.upkeep.backup import backup, restore, verify_backup
from kit.records.upkeep.erase import SERVER_KEEPS, erase_person
from kit.records.upkeep.move import move
from kit.records.upkeep.server_restore import restore_to_server
from kit.records.upkeep.vouching import OtherSigner, UnsignedBackup
from kit.records.upkeep.whole_check import check_all
from tests.records.conftest import reopened


@pytest.fixture
def on_server(server, empty_database, tmp_path):
    """Empty records on a server."""
    (tmp_path / "on server").mkdir()
    name = server.database(empty_database)
    opened = open_records(server.address(name), busy_s=5, beside=tmp_path / "on server" / "records.db")
    yield opened
    opened.close()
    server.drop(name)


@pytest.fixture
def worked(on_server, bank, write, now):
    """A kitchen on a server with a book taken in."""
    from tests.records.conftest import Kitchen

    kitchen, ana = Kitchen(on_server, bank), write("p-ana", "Ana Lind")
    for day in range(30):
        ana.attempt("salt-sum", day % 3 != 0, day=day)
        ana.attempt("core-hold", day=day)
    take_in(on_server, [ana.path], now=now, catalogue=bank)
    return kitchen


def run(records, *statements):
    """Do what somebody with the owner's password could do."""
    with records.engine.execution_options(write=True).begin() as connection:
        for each in statements:
            connection.execute(text(each))


@pytest.mark.parametrize(
    "statement",
    [
        "DELETE FROM acts",
        "UPDATE acts SET facts = '{}'",
        "TRUNCATE acts CASCADE",
        "TRUNCATE entries CASCADE",
        "DELETE FROM entries",
        "UPDATE entries SET position = position + 1000",
        "INSERT INTO acts SELECT number + 2, kind, at, by, person, criterion, batch, facts, key_id, prev, "
        "repeat('0', 64), signature FROM acts WHERE number = (SELECT MAX(number) FROM acts)",
    ],
)
def test_rows_are_only_ever_added(worked, statement):
    with pytest.raises(KitError), said_plainly("the server"):
        run(worked.records, statement)
    assert check_all(worked.records, worked.manager.catalogue).problems == ()


def test_a_table_of_the_session_does_not_stand_in_for_the_chain(worked):
    steal = (
        "CREATE TEMPORARY TABLE acts (number integer, hash text)",
        "INSERT INTO kitchen.acts SELECT 1, kind, at, by, person, criterion, batch, facts, key_id, '', "
        "repeat('0', 64), signature FROM kitchen.acts LIMIT 1",
    )
    with pytest.raises(KitError), said_plainly("the server"):
        run(worked.records, *steal)


@pytest.mark.parametrize(
    ("statement", "named"),
    [
        ("DROP TRIGGER acts_keep_every_word ON acts", "acts_keep_every_word is missing"),
        ("ALTER TABLE acts DISABLE TRIGGER acts_keep_every_row", "acts_keep_every_row is not as"),
        (
            "CREATE OR REPLACE FUNCTION refuse() RETURNS trigger LANGUAGE plpgsql AS 'BEGIN RETURN NEW; END'",
            "the function refuse is not as",
        ),
        ("CREATE RULE quiet AS ON INSERT TO flags DO INSTEAD NOTHING", "the rule quiet is not as"),
        ("DROP INDEX ix_acts_at", "ix_acts_at is missing"),
        ("CREATE VIEW spare AS SELECT 1 AS x", "the view spare is not as"),
        ("ALTER TABLE marks ADD COLUMN more integer", "the table marks is not as"),
        ("ALTER TABLE names DROP CONSTRAINT names_person_fkey", "names_person_fkey is missing"),
        ("ALTER TABLE names ENABLE ROW LEVEL SECURITY", "the table names is not as"),
        ("UPDATE marks SET score = 0, verdict = 'not yet' WHERE verdict = 'right'", "was changed"),
        ("UPDATE names SET name = 'Somebody Else' WHERE key = 1", "the name of"),
        ("UPDATE roles SET role = 'manager'", "does not follow"),
        ("UPDATE standings SET held = NOT held", "do not follow"),
    ],
)
def test_what_is_changed_behind_our_back_is_named(worked, statement, named):
    assert check_all(worked.records, worked.manager.catalogue).problems == ()
    run(worked.records, statement)
    problems = check_all(worked.records, worked.manager.catalogue).problems
    assert any(named in one for one in problems), problems


def test_no_address_shows_its_password(server, tmp_path, on_server):
    hidden = "very,secret"
    address = f"postgresql://suite:{hidden}@/d1?host={server.folder}&schema=kitchen"
    with pytest.raises(BadData, match="does not let this role in") as caught:
        open_records(address, beside=tmp_path / "records.db")
    assert hidden not in str(caught.value) and hidden not in shown(address)
    assert hidden not in shown(f"{address}&password={hidden}")
    for wrong in (f"postgresql://x:{hidden}@@@/", "postgresql://"):
        with pytest.raises(BadData) as caught:
            open_records(wrong)
        assert hidden not in str(caught.value)
    assert on_server.engine.url.password not in repr(on_server) + on_server.where


def test_a_server_that_is_not_there_is_one_line(tmp_path):
    with pytest.raises(DiskTrouble, match="cannot be reached"):
        open_records(f"postgresql://suite@/records?host={tmp_path}", beside=tmp_path / "records.db")


# PostgreSQL 15, appendix A "PostgreSQL Error Codes": from memory.
@pytest.mark.parametrize(
    ("state", "kind", "words"),
    [
        ("55P03", RecordsBusy, "another program"),
        ("40P01", RecordsBusy, "another program"),
        ("53100", DiskTrouble, "full or failing"),
        ("25006", DiskTrouble, "takes no changes"),
        ("57P01", DiskTrouble, "cannot be reached"),
        ("42501", BadData, "may not do that"),
        ("42P01", BadData, "not as it should be"),
        ("XX000", BadData, "XX000"),
    ],
)
def test_what_the_server_says_becomes_a_sentence(on_server, state, kind, words):
    raising = f"DO $$ BEGIN RAISE EXCEPTION 'quiet words' USING ERRCODE = '{state}'; END $$"
    with pytest.raises(kind, match=words) as caught, on_server.writing() as connection:
        connection.execute(text(raising))
    assert "quiet words" not in str(caught.value)


@pytest.mark.parametrize("odd", ["a\x00b", "a\ud800b", "x" * 5000])
def test_a_text_that_cannot_be_kept_is_refused_and_nothing_is_recorded(on_server, odd):
    with pytest.raises(BadData, match="cannot be kept, or is too long"), on_server.writing() as connection:
        connection.execute(schema.basis.insert().values(name="fine", value="x"))
        connection.execute(schema.basis.insert().values(name="odd", value=odd))
    with on_server.reading() as connection:
        assert connection.execute(select(schema.basis)).all() == []


@pytest.mark.parametrize("odd", ["a\x00b", "x" * 5000])
def test_an_odd_answer_is_taken_in_as_it_was_given(on_server, write, bank, now, odd):
    ana = write()
    ana.attempt("salt-sum", day=0)
    ana.attempt("salt-sum", day=1, answer=odd)
    (taken,) = take_in(on_server, [ana.path], now=now, catalogue=bank).books
    assert taken.status == "taken"
    with on_server.reading() as connection:
        assert odd in connection.scalars(select(schema.entries.c.said)).all()


def test_writers_in_a_row_and_readers_at_one_moment(on_server):
    trouble, turns = [], 25

    def go():
        mine = reopened(on_server)
        try:
            for _ in range(turns):
                with mine.writing() as connection:
                    last = connection.scalar(select(func.max(schema.exercises.c.key))) or 0
                    connection.execute(
                        schema.exercises.insert().values(key=last + 1, exercise_id=f"e{last + 1}")
                    )
        except Exception as error:
            trouble.append(error)
        finally:
            mine.close()

    threads = [threading.Thread(target=go) for _ in range(4)]
    with on_server.reading() as connection:
        before = connection.scalar(select(func.count()).select_from(schema.exercises))
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert connection.scalar(select(func.count()).select_from(schema.exercises)) == before == 0
    assert trouble == []
    with on_server.reading() as connection:
        assert connection.scalar(select(func.count()).select_from(schema.exercises)) == 4 * turns


def test_a_backup_of_a_server_is_one_of_a_file_and_comes_back_whole(worked, bank, tmp_path):
    made = backup(worked.records, tmp_path / "b")
    assert made.problems == () and verify_backup(made.path).head == made.head
    done = restore(made.path, tmp_path / "back" / "records.db", unsigned="Nobody was at hand to sign.")
    back = open_records(done.path)
    assert check_all(back, bank).problems == ()
    with back.reading() as connection:
        assert acts.head(connection) == made.head
    back.close()


def test_a_backup_tells_what_is_wrong_on_the_server(worked, tmp_path):
    run(
        worked.records,
        "DROP TRIGGER acts_keep_every_word ON acts",
        "UPDATE acts SET facts = '{}' WHERE number = 2",
    )
    problems = backup(worked.records, tmp_path / "b").problems
    assert any("acts_keep_every_word is missing" in one for one in problems)
    assert any("act 2" in one for one in problems)


def test_erasing_says_what_the_server_keeps(worked):
    staff.leave(worked.manager, worked.apprentice, "apprentice", "Left.")
    done = erase_person(worked.manager, worked.apprentice, "Asked for it.")
    assert not done.bytes_gone and done.server_keeps == SERVER_KEEPS
    assert "backup" in SERVER_KEEPS and "log" in SERVER_KEEPS and "VACUUM" in SERVER_KEEPS
    assert check_all(worked.records, worked.manager.catalogue).problems == ()


def rows_of(records):
    with records.reading() as connection:
        return {t.name: connection.execute(select(t)).all() for t in schema.metadata.sorted_tables}


def test_records_move_to_a_file_and_back_row_by_row(
    worked, server, empty_database, bank, tmp_path, write, now
):
    for day in (1, 2, 3):
        worked.see(day)
    deciding.decide(worked.tutor, worked.apprentice, "COK-P01", "competent", "Seen on 3 batches.")
    file = open_records(tmp_path / "file" / "records.db")
    there = move(worked.records, file)
    name = server.database(empty_database)
    again = open_records(server.address(name), beside=tmp_path / "again" / "records.db")
    back = move(file, again)
    assert there.rows == back.rows and there.head == back.head and there.rows["marks"] == 60
    assert check_all(again, bank).problems == ()
    assert {n: sorted(map(str, r)) for n, r in rows_of(again).items()} == {
        n: sorted(map(str, r)) for n, r in rows_of(worked.records).items()
    }
    ben = write("p-ben", "Ben Oake")
    ben.attempt("salt-sum", day=0)
    (taken,) = take_in(again, [ben.path], now=now, catalogue=bank).books
    assert taken.status == "taken", "the counters go on from the rows that came in"
    with pytest.raises(BadData, match="holds rows already"):
        move(file, again)
    file.close()
    again.close()
    server.drop(name)


def test_a_move_cut_short_leaves_the_source_whole_and_the_target_empty(worked, bank, tmp_path, monkeypatch):
    from kit.records.upkeep import move as moving

    def cut(*_):
        raise KeyboardInterrupt

    file, before = open_records(tmp_path / "file" / "records.db"), rows_of(worked.records)
    monkeypatch.setattr(moving, "_bring_files", cut)
    with pytest.raises(KeyboardInterrupt):
        move(worked.records, file)
    assert not any(rows for name, rows in rows_of(file).items() if name != "upgrades")
    assert rows_of(worked.records) == before and check_chain(worked.records).whole
    monkeypatch.undo()
    move(worked.records, file)
    assert check_all(file, bank).problems == ()
    file.close()


def test_records_with_a_fault_are_not_moved(worked, tmp_path):
    run(worked.records, "UPDATE marks SET score = 0")
    file = open_records(tmp_path / "file" / "records.db")
    with pytest.raises(BadData, match="record check"):
        move(worked.records, file)
    file.close()


def test_the_home_names_the_address_for_its_owner_alone(server, on_server):
    address = server.address(on_server.engine.url.database)
    noted = remember_address(address)
    assert noted.stat().st_mode & 0o077 == 0 and records_place() == address
    opened = open_records(make=False)
    assert opened.where == on_server.where
    opened.close()
    noted.write_text('address = "records.db"')
    with pytest.raises(BadData, match="names no address"):
        open_records()


@pytest.fixture(scope="module")
def two_kitchens(server):
    """A database with the kitchens quay and brook, each begun by its owner, and one row in each."""
    name = server.database()
    admin = server.address(name, role="postgres", schema="public")
    for kitchen in ("quay", "brook"):
        make_kitchen(admin, kitchen_sql(kitchen, name))
        for kind in KITS:
            server.run(f"ALTER ROLE {kitchen}_{kind} PASSWORD '{kitchen}-{kind}'")
        opened = open_records(server.address(name, f"{kitchen}_owner", f"{kitchen}-owner", kitchen))
        opened.close()
        app = open_records(server.address(name, f"{kitchen}_app", f"{kitchen}-app", kitchen))
        staff.begin(app, f"Manager of {kitchen}")
        assert check_all(app).problems == ()
        app.close()
    yield name
    server.drop(name)
    server.run(*(f"DROP ROLE {kitchen}_{kind}" for kitchen in ("quay", "brook") for kind in KITS))


ACROSS = [
    "SELECT * FROM brook.names",
    "INSERT INTO brook.basis VALUES ('x', 'y')",
    "UPDATE brook.names SET name = 'x'",
    "DELETE FROM brook.names",
    "TRUNCATE brook.names",
    "CREATE TABLE brook.mine (x integer)",
    "DROP SCHEMA brook CASCADE",
    "GRANT SELECT ON brook.names TO quay_app",
    "ALTER TABLE brook.names OWNER TO quay_app",
    "SET ROLE brook_app",
    "SET ROLE brook_owner",
    "SET SESSION AUTHORIZATION brook_app",
    "ALTER ROLE brook_app PASSWORD 'mine'",
    "GRANT brook_app TO quay_app",
    "CREATE FUNCTION brook.peep() RETURNS bigint LANGUAGE sql AS 'SELECT 1'",
    "COPY brook.names TO STDOUT",
    "SELECT nextval('brook.names_key_seq')",
    "CREATE TABLE public.left_here (x integer)",
]


@pytest.mark.parametrize("kind", KITS)
def test_no_role_of_a_kitchen_reaches_another_by_sql(server, two_kitchens, kind):
    with server.connect(two_kitchens, f"quay_{kind}", f"quay-{kind}") as connection:
        assert connection.execute("SELECT name FROM names").fetchall() == [("Manager of quay",)]
        connection.execute("SELECT set_config('search_path', 'brook', false)")
        with pytest.raises(psycopg.Error):  # the name alone opens nothing: it is as if it were not there
            connection.execute("SELECT name FROM names")
        for statement in ACROSS:
            with pytest.raises(psycopg.Error) as caught:
                connection.execute(statement)
            assert caught.value.sqlstate in ("42501", "25006", "0LP01"), (statement, caught.value)
        rows = connection.execute(
            "SELECT most_common_vals::text FROM pg_stats WHERE schemaname = 'brook'"
        ).fetchall()
        assert rows == []


def test_the_readers_role_is_enough_for_the_group_view(server, two_kitchens):
    reader = open_records(server.address(two_kitchens, "quay_reader", "quay-reader", "quay"), make=False)
    with reader.reading() as connection:
        found = kitchen_figures(connection, date(2026, 3, 2))
    reader.close()
    assert (found.learners, found.tutors) == (0, 0) and found.acts >= 1


def test_the_apps_role_cannot_lift_a_rule_and_the_reader_writes_nothing(server, two_kitchens):
    with server.connect(two_kitchens, "quay_app", "quay-app") as connection:
        for words in (
            "DROP TRIGGER acts_keep_every_row ON acts",
            "ALTER TABLE acts DISABLE TRIGGER ALL",
            "TRUNCATE acts CASCADE",
            "SET session_replication_role = replica",
        ):
            with pytest.raises(psycopg.Error) as caught:
                connection.execute(words)
            assert caught.value.sqlstate == "42501", words
    with server.connect(two_kitchens, "quay_reader", "quay-reader") as connection:
        connection.execute("SET default_transaction_read_only = off")
        with pytest.raises(psycopg.Error) as caught:
            connection.execute("INSERT INTO basis VALUES ('x', 'y')")
        assert caught.value.sqlstate == "42501"


def test_a_kitchen_has_a_plain_name():
    for name in ("", "Quay", "quay-1", "public", "pg_quay", "a; DROP ROLE x", "a" * 60):
        with pytest.raises(BadData, match="no name for a kitchen"):
            list(kitchen_sql(name, "records"))


@pytest.fixture
def empty_schema(server, empty_database, tmp_path):
    """Another schema with no rows in it, as its owner has made it."""
    (tmp_path / "anew").mkdir()
    name = server.database(empty_database)
    opened = open_records(server.address(name), busy_s=5, beside=tmp_path / "anew" / "records.db")
    yield opened
    opened.close()
    server.drop(name)


def test_a_backup_comes_back_onto_a_server_with_rows_files_and_the_act_that_says_so(
    worked, empty_schema, bank, tmp_path, write, now
):
    attach(worked.tutor, _a_picture(tmp_path), worked.apprentice)
    made = backup(worked.records, tmp_path / "b", by=worked.manager)
    done = restore_to_server(made.path, empty_schema, by=lambda there: replace(worked.manager, records=there))
    assert done.act is not None and done.act.kind == "restored" and done.path == empty_schema.path
    assert check_all(empty_schema, bank).problems == () and check_files(empty_schema).whole
    with empty_schema.reading() as connection:
        assert acts.head(connection).hash == done.act.hash and done.act.prev == made.head.hash
    was, is_now = (
        {n: sorted(map(str, r)) for n, r in rows_of(each).items()} for each in (worked.records, empty_schema)
    )
    assert set(is_now.pop("acts")) > set(was.pop("acts")) and is_now == was
    assert list(empty_schema.path.parent.glob(".smokehouse-*")) == []
    ben = write("p-ben", "Ben Oake")
    ben.attempt("salt-sum", day=0)
    (taken,) = take_in(empty_schema, [ben.path], now=now, catalogue=bank).books
    assert taken.status == "taken", "the counters go on from the rows that came in"


def test_records_on_a_server_are_never_replaced_by_a_backup(worked, tmp_path, bank):
    made, before = backup(worked.records, tmp_path / "b", by=worked.manager), rows_of(worked.records)
    with pytest.raises(BadData, match="records here already"):
        restore_to_server(made.path, worked.records)
    assert rows_of(worked.records) == before


def test_a_restore_onto_a_server_that_is_cut_short_leaves_it_empty(
    worked, empty_schema, bank, tmp_path, monkeypatch
):
    from kit.records.upkeep import move as moving

    def cut(*_):
        raise KeyboardInterrupt

    made = backup(worked.records, tmp_path / "b", by=worked.manager)
    monkeypatch.setattr(moving, "_bring_files", cut)
    with pytest.raises(KeyboardInterrupt):
        restore_to_server(made.path, empty_schema)
    assert not any(rows for name, rows in rows_of(empty_schema).items() if name != "upgrades")
    monkeypatch.undo()
    restore_to_server(made.path, empty_schema)
    assert check_all(empty_schema, bank).problems == ()


def test_what_nobody_vouches_for_does_not_come_onto_a_server(worked, empty_schema, tmp_path):
    made = backup(worked.records, tmp_path / "b")
    with pytest.raises(UnsignedBackup):
        restore_to_server(made.path, empty_schema)
    signed = backup(worked.records, tmp_path / "c", by=worked.manager)
    with pytest.raises(OtherSigner):
        restore_to_server(signed.path, empty_schema, signed_by="0" * 16)
    data = bytearray(signed.path.read_bytes())
    data[len(data) // 2] ^= 1
    (tmp_path / "d").write_bytes(data)
    with pytest.raises(BadData, match="damaged"):
        restore_to_server(tmp_path / "d", empty_schema)
    assert not any(rows for name, rows in rows_of(empty_schema).items() if name != "upgrades")


def _a_picture(folder):
    from PIL import Image

    Image.new("RGB", (8, 8), "white").save(folder / "bench.png")
    return folder / "bench.png"
