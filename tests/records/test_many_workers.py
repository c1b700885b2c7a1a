"""Marking elsewhere: the same marks come back, workers may die, and a worker that lies is found out."""

from __future__ import annotations

import os
import shutil
import signal
import threading
import time
from concurrent.futures.process import BrokenProcessPool
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import psutil
import pytest
from sqlalchemy import select

from kit.basics.errors import BadData, OutOfRange
from kit.basics.many_workers import (
    Engine,
    OtherKit,
    WorkersLost,
    engine,
    engine_address,
)
from kit.cli.demo.crew import make_crew
from kit.records import open_records, take_in
from kit.records.intake import spread_books
from kit.records.intake.mark_again import mark_again
from kit.records.intake.spread_books import FalseMarks, kit_here
from kit.records.storage import schema
from tests.records.conftest import NOW


class Here:
    """Something like a future, done at once."""

    def __init__(self, work, *what):
        self.work, self.what = work, what

    def result(self):
        return self.work(*self.what)


def here(submit=Here, stamp=lambda: "ours"):
    return Engine(submit, stamp, 3)


@pytest.mark.parametrize(
    "wrong", ["local", "local:x", "pool:-1", "8", "", "http://a:1", "tcp://a", "tls://:1"]
)
def test_what_is_no_engine_is_said(wrong):
    with pytest.raises(BadData, match="this is no engine"):
        engine_address(wrong)


@pytest.mark.parametrize("address", ["tcp://192.0.2.1:8786", "tcp://0.0.0.0:8786", "tcp://example.org:8786"])
def test_plain_tcp_never_leaves_this_machine(address):
    with pytest.raises(BadData, match="run anything"):
        engine_address(address)
    assert engine_address("tcp://127.0.0.1:8786").kind == "remote"
    assert engine_address(address.replace("tcp", "tls")).kind == "remote"
    with pytest.raises(OutOfRange):
        engine_address("local:500")


@pytest.mark.slow
def test_a_tls_engine_without_certificates_and_one_that_is_not_there(monkeypatch):
    with (
        pytest.raises(BadData, match="certificates are missing"),
        engine(engine_address("tls://127.0.0.1:9"), str),
    ):
        pass
    from kit.basics import many_workers

    monkeypatch.setattr(many_workers, "_WAIT_S", 0.5)
    with pytest.raises(WorkersLost, match="nobody answers"), engine(engine_address("tcp://127.0.0.1:9"), str):
        pass


def test_results_come_in_order_and_little_is_given_out_at_once():
    given = []

    def submit(*what):
        given.append(what)
        return Here(*what)

    results = here(submit).spread(abs, iter(range(-50, 0)))
    assert next(results) == 50 and len(given) == 3
    assert list(results) == [*range(49, 0, -1)]


def test_a_worker_with_another_kit_is_refused():
    stamps = iter(["ours", "ours", "theirs"])
    with pytest.raises(OtherKit):
        list(here(stamp=lambda: next(stamps)).spread(abs, [1, 2]))


def test_a_pool_that_dies_is_one_sentence():
    class Dead(Here):
        def result(self):
            raise BrokenProcessPool

    with pytest.raises(WorkersLost, match="run the same command again"):
        list(here(Dead).spread(abs, [1]))


@pytest.fixture(scope="module")
def crew(tmp_path_factory):
    return make_crew(tmp_path_factory.mktemp("crew"), datetime.now(UTC) - timedelta(hours=1))


def rows(records):
    with records.reading() as connection:
        return [
            connection.execute(select(t)).all() for t in (schema.entries, schema.marks, schema.first_tries)
        ]


@pytest.fixture
def at_home(crew, tmp_path):
    opened = open_records(tmp_path / "home" / "records.db")
    take_in(opened, crew, now=datetime.now(UTC))
    yield rows(opened)
    opened.close()


@pytest.mark.slow
def test_books_marked_elsewhere_are_the_same_and_unreadable_ones_are_named(crew, at_home, tmp_path):
    records = open_records(tmp_path / "records.db")
    wrong = tmp_path / "wrong.book"
    wrong.write_text("hello\n")
    os.mkfifo(tmp_path / "pipe.book")
    books = [*crew, wrong, tmp_path / "pipe.book", tmp_path / "missing.book"]
    found = take_in(records, books, engine=here())
    assert [one.status for one in found.books] == ["taken"] * 12 + ["refused"] * 3
    assert rows(records) == at_home
    again = take_in(records, crew, engine=here())
    assert {one.status for one in again.books} == {"nothing new"}
    records.close()


@pytest.mark.slow
def test_a_worker_that_lies_is_found_out_and_its_piece_is_not_recorded(crew, tmp_path, monkeypatch):
    def lies(given, piece):
        def raised(line):
            return replace(line, outcome=line.outcome and replace(line.outcome, verdict="right", score=1.0))

        books = spread_books._mark_piece(given, piece)
        return [replace(book, lines=tuple(map(raised, book.lines))) for book in books]

    class Lying(Here):
        def result(self):
            stamp, work, item = self.what
            return stamp(), lies(work.args[0], item)

    monkeypatch.setattr(spread_books, "ONE_IN", 1)
    records = open_records(tmp_path / "records.db")
    with pytest.raises(FalseMarks, match="otherwise than this machine"):
        take_in(records, crew, engine=here(Lying))
    assert rows(records) == [[], [], []]
    records.close()


def kill_now_and_then(times, stop, killed):
    """Kill worker processes of this very process, one after the other."""
    while len(killed) < times and not stop.wait(1.5):
        mine = [p for p in psutil.Process().children() if "spawn_main" in " ".join(p.cmdline())]
        if mine:
            victim = mine[len(killed) % len(mine)]
            os.kill(victim.pid, signal.SIGKILL)
            killed.append(victim.pid)


@pytest.mark.slow
def test_workers_that_are_killed_lose_nothing_and_double_nothing(crew, at_home, tmp_path):
    records, stop, killed = open_records(tmp_path / "records.db"), threading.Event(), []
    monster = threading.Thread(target=kill_now_and_then, args=(3, stop, killed))
    with engine(engine_address("local:2"), kit_here) as workers:
        monster.start()
        turn = 0
        while len(killed) < 3 and turn < 40:  # the same books under other names, until three workers are dead
            folder = tmp_path / str(turn)
            folder.mkdir()
            books = [shutil.copy(book, folder) for book in crew]
            found = take_in(records, books, engine=workers)
            assert {one.status for one in found.books} == {"taken" if turn == 0 else "nothing new"}
            turn += 1
            time.sleep(0.1)
        stop.set()
        monster.join()
    assert len(killed) == 3 and rows(records) == at_home
    records.close()


def test_only_verdicts_that_change_are_shown_and_nothing_is_kept(records, bank, write, monkeypatch):
    ana = write("p-ana", "Ana Lind")
    for day in range(8):
        ana.attempt("salt-sum", day % 2 == 0, day=day)
    ana.attempt("core-hold", day=9)
    ana.attempt("no-such-task", day=10)
    take_in(records, [ana.path], now=NOW, catalogue=bank)
    before = rows(records)
    same = mark_again(records, catalogue=bank)
    assert (same.answers, same.not_drawn, same.left, same.changed) == (9, 0, 1, ())

    class Kinder(type(bank)):
        def mark(self, question, answer):
            found = super().mark(question, answer)
            return replace(found, verdict="right", score=1.0) if question.exercise == "salt-sum" else found

    changed = mark_again(records, catalogue=Kinder())
    assert [one.line for one in changed.changed] == [3, 5, 7, 9]
    assert {(one.was, one.now, one.exercise) for one in changed.changed} == {("not yet", "right", "salt-sum")}
    monkeypatch.setitem(type(bank).versions, "core-hold", 3)
    assert mark_again(records, catalogue=bank).not_drawn == 1
    assert rows(records) == before


@pytest.mark.slow
def test_a_sites_history_marked_elsewhere_changes_nothing(crew, tmp_path):
    from kit.cli.manager.records import command
    from tests.cli.typed import run

    records = open_records()
    take_in(records, crew)
    records.close()
    said = run(command, "again", "--engine", "pool:2", "--out", str(tmp_path / "changes.csv"))
    assert " 0 would change" in said and "Nothing was kept." in said
    assert (tmp_path / "changes.csv").read_text(encoding="utf-8-sig").startswith("person,line,exercise,was")


@pytest.mark.slow
def test_a_tls_scheduler_lets_in_its_own_certificate_and_no_other(tmp_path, monkeypatch):
    from distributed import LocalCluster
    from distributed.security import Security

    from kit.basics import many_workers
    from kit.basics.many_workers import Certificates

    def written(security, name):
        parts = (security.tls_ca_file, security.tls_client_cert, security.tls_client_key)
        files = [tmp_path / f"{name}-{number}.pem" for number in range(3)]
        for file, part in zip(files, parts, strict=True):
            file.write_text(part)
        return Certificates(*files)

    monkeypatch.setattr(many_workers, "_WAIT_S", 3.0)
    ours, strange = Security.temporary(), written(Security.temporary(), "strange")
    more = {"host": "127.0.0.1", "dashboard_address": None, "silence_logs": 50}
    with LocalCluster(
        n_workers=1, threads_per_worker=1, security=ours, local_directory=tmp_path, **more
    ) as cluster:
        where = engine_address(cluster.scheduler_address)
        assert where.address.startswith("tls://")
        with engine(where, str, written(ours, "ours")) as found:
            assert list(found.spread(abs, [-1, -2])) == [1, 2]
        with pytest.raises(WorkersLost), engine(where, str, strange):
            pass
