"""Watching a server: figures, metrics, a log without names, and backups tried and thinned out."""

from __future__ import annotations

import json
import os
import threading
import urllib.error
import urllib.request
from datetime import UTC, datetime, timedelta

import pytest
from prometheus_client.parser import text_string_to_metric_families
from sqlalchemy import text

from kit.basics.errors import BadData, OutOfRange, UnknownName
from kit.basics.site_log import LOG_VARIABLE, events_since, log_event
from kit.cli.manager.site_watch import HOST, SiteWatch, server_for
from kit.records import take_in
from kit.records.upkeep.site_backup import JOURNAL, RetentionRule, old_backups, run_backup
from kit.records.upkeep.site_health import check_chain_of, site_health
from kit.records.upkeep.site_metrics import metrics_text
from tests.records.conftest import NOW, lift


@pytest.fixture
def inbox(tmp_path):
    folder = tmp_path / "inbox"
    folder.mkdir()
    return folder


@pytest.fixture
def site_log(tmp_path, monkeypatch):
    monkeypatch.setenv(LOG_VARIABLE, str(tmp_path / "site.log"))
    return tmp_path / "site.log"


def hand_in(inbox, write, person="p-ana", name="Ana Lind"):
    writer = write(person, name)
    writer.attempt("salt-sum", day=0)
    (inbox / f"{person}.book").write_bytes(writer.path.read_bytes())
    return writer


def test_a_book_waits_until_it_is_taken_in_and_again_when_it_grows(records, inbox, write, bank):
    ana = hand_in(inbox, write)
    (inbox / "notes.txt").write_text("no book")
    (inbox / "torn.book").write_text("hello")
    before = site_health(records, inbox)
    assert (before.books_waiting, before.books_unreadable, before.takings) == (1, 1, 0)
    take_in(records, [inbox / "p-ana.book"], now=NOW, catalogue=bank)
    after = site_health(records, inbox, now=NOW + timedelta(hours=3))
    assert (after.books_waiting, after.takings, after.last_taking_h) == (0, 1, 3.0)
    ana.attempt("salt-sum", day=1)
    (inbox / "p-ana.book").write_bytes(ana.path.read_bytes())
    os.utime(inbox / "p-ana.book", (0, datetime.now(UTC).timestamp() - 72 * 3600))
    late = site_health(records, inbox)
    assert late.books_waiting == 1 and late.oldest_waiting_h == pytest.approx(72, abs=0.1)
    assert any("waits in the inbox for 72 h" in one for one in late.wrong())


def test_a_pipe_in_the_inbox_holds_nothing_up(records, inbox):
    os.mkfifo(inbox / "pipe.book")
    assert site_health(records, inbox).books_unreadable == 1


def test_a_chain_that_was_changed_shows(kitchen, inbox):
    sound = site_health(kitchen.records, inbox, check_chain_of(kitchen.records))
    assert sound.chain_problems == 0 and sound.acts > 5
    with kitchen.records.writing() as connection:
        lift(connection, "acts_keep_every_word")
        connection.execute(text("UPDATE acts SET facts = '{}' WHERE number = 2"))
    found = site_health(kitchen.records, inbox, check_chain_of(kitchen.records))
    assert found.chain_problems and any("check of the chain" in one for one in found.wrong())


def test_a_run_writes_tries_and_thins_out_and_says_so(kitchen, tmp_path, inbox, site_log):
    folder = tmp_path / "backups"
    folder.mkdir()
    for day in range(1, 13):
        (folder / f"records-2026-01-{day:02d}-020000.backup").write_bytes(b"old")
    (folder / "of our own.backup").write_bytes(b"stays")
    outside = tmp_path / "outside"
    outside.write_bytes(b"stays")
    (folder / "records-2025-01-01-020000.backup").symlink_to(outside)
    done = run_backup(kitchen.records, folder, RetentionRule(days=30, least=4), now=NOW)
    assert done.made.problems == () and len(done.removed) == 9
    left = sorted(each.name for each in folder.iterdir())
    assert left[0] == "of our own.backup" and "records-2026-01-10-020000.backup" in left
    assert outside.read_bytes() == b"stays" and "records-2025-01-01-020000.backup" in left
    told = json.loads(kitchen.records.path.with_name(JOURNAL).read_text())
    assert told["removed"] == list(done.removed) and (told["keep_days"], told["keep_least"]) == (30, 4)
    found = site_health(kitchen.records, inbox, now=NOW + timedelta(hours=2))
    assert (found.backup_age_h, found.backup_tried_h) == (2.0, 2.0)
    assert site_log.read_text().count('"event"') == 3 and site_log.stat().st_mode & 0o077 == 0


def test_nothing_is_removed_when_the_trial_fails(kitchen, tmp_path, monkeypatch):
    from kit.records.upkeep import site_backup

    folder = tmp_path / "backups"
    folder.mkdir()
    old = folder / "records-2020-01-01-020000.backup"
    old.write_bytes(b"the last good one")

    def fails(*_):
        raise BadData("the backup", "2 files of evidence are missing")

    monkeypatch.setattr(site_backup, "try_restore", fails)
    with pytest.raises(BadData, match="evidence"):
        run_backup(kitchen.records, folder, RetentionRule(days=1, least=1), now=NOW)
    assert old.exists()


def test_a_rule_always_leaves_something():
    for wrong in ({"days": 0}, {"least": 0}):
        with pytest.raises(OutOfRange):
            RetentionRule(**wrong)
    names = [f"records-2020-01-0{day}-020000.backup" for day in range(1, 10)]
    assert (
        old_backups(names, RetentionRule(1, 9), NOW) == () == old_backups(names[:2], RetentionRule(1, 3), NOW)
    )


def test_the_log_takes_numbers_only(site_log):
    with pytest.raises(BadData, match="no name"):
        log_event("books taken in", who="Tam Ferris")
    with pytest.raises(UnknownName):
        log_event("Tam Ferris came in")
    log_event("error", error=BadData("Tam Ferris", "no key is on file"))
    log_event("books taken in", taken=3)
    with site_log.open("a") as log:
        log.write('{"at": "cut')
    assert "Tam" not in site_log.read_text() and "BadData" in site_log.read_text()
    assert events_since(datetime.now(UTC) - timedelta(hours=1)) == {"error": 1, "books taken in": 1}
    assert not events_since(datetime.now(UTC) + timedelta(hours=1))


def test_a_log_that_cannot_be_written_stops_nothing(monkeypatch, tmp_path):
    monkeypatch.setenv(LOG_VARIABLE, str(tmp_path / "missing" / "site.log"))
    log_event("books taken in", taken=1)
    assert not events_since(datetime.now(UTC) - timedelta(hours=1))


def test_metrics_are_read_by_the_library_and_hold_no_name(kitchen, inbox, write):
    hand_in(inbox, write, name="Ana Lind")
    words = metrics_text(site_health(kitchen.records, inbox)).decode()
    figures = {one.name: one.samples[0].value for one in text_string_to_metric_families(words)}
    assert figures["smokehouse_up"] == 1 and figures["smokehouse_books_waiting"] == 1
    assert figures["smokehouse_acts"] > 5 and "smokehouse_backup_age_h" not in figures
    for name in ("Ana", "Tam", "Berit", "p-ana"):
        assert name not in words


@pytest.fixture
def serving(kitchen, inbox):
    state = SiteWatch(kitchen.records, inbox)
    server = server_for(state, 0)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield state, f"http://{HOST}:{server.server_port}"
    server.shutdown()
    server.server_close()


def asked(address, **headers):
    try:
        with urllib.request.urlopen(urllib.request.Request(address, headers=headers), timeout=10) as answer:
            return answer.status, answer.read().decode()
    except urllib.error.HTTPError as error:
        with error:
            return error.code, error.read().decode()


def test_health_is_served_on_loopback_alone_and_to_its_own_name(serving, kitchen, tmp_path):
    _, where = serving
    status, words = asked(f"{where}/health")
    assert status == 503 and "No backup was made from here yet." in json.loads(words)["wrong"]
    assert asked(f"{where}/metrics")[0] == 200 and asked(f"{where}/else")[0] == 404
    assert asked(f"{where}/health", Host="evil.example")[0] == 403
    assert asked(f"{where}/../../etc/passwd")[0] == 404
    assert HOST == "127.0.0.1"


@pytest.mark.slow
def test_all_well_is_200_and_records_that_are_gone_are_503(serving, kitchen, tmp_path, monkeypatch, site_log):
    from kit.cli.manager import site_watch

    monkeypatch.setattr(site_watch, "FRESH_S", 0.0)
    state, where = serving
    (tmp_path / "backups").mkdir()
    run_backup(kitchen.records, tmp_path / "backups")
    state.check()
    assert asked(f"{where}/health")[0] == 200

    def gone(*_):
        raise BadData("the records", "they cannot be reached")

    monkeypatch.setattr(site_watch, "site_health", gone)
    status, words = asked(f"{where}/health")
    assert status == 503 and json.loads(words) == {"wrong": ["The records cannot be read now."]}
    assert "smokehouse_up 0.0" in asked(f"{where}/metrics")[1]


def test_a_port_that_is_taken_is_one_sentence(serving, kitchen, inbox):
    port = int(serving[1].rpartition(":")[2])
    with pytest.raises(BadData, match=f"port {port}"):
        server_for(SiteWatch(kitchen.records, inbox), port)
