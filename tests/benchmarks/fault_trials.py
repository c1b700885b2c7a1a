"""What is killed, cut off, filled up or handed in twice: is anything acknowledged lost, or anything doubled?

    python tests/benchmarks/fault_trials.py [--trials 2000] [--seed 1] [--database 40]

Each trial goes against records of its own, in a process of its own, which is killed with SIGKILL, runs into
a full disk (RLIMIT_FSIZE), or sees its clock leap. What the process had acknowledged through a pipe must be
there afterwards, once, and the chain must be whole. Hand-ins come as cut pieces, in any order and twice.
Exits with 1 if anything was lost, doubled or broken. Linux: it forks. ``--database`` trials kill a process of
a PostgreSQL server, which then recovers; they need one on this machine.
"""

from __future__ import annotations

import argparse
import os
import random
import resource
import shutil
import signal
import sys
import tempfile
import threading
import time
from collections import Counter
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from sqlalchemy import func, select

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from kit.basics.errors import KitError
from kit.files import signing
from kit.files.inbox import send_book
from kit.files.inbox_server import InboxServer, open_inbox
from kit.records import open_records, take_in
from kit.records.ledger.projection import check_chain
from kit.records.people import staff
from kit.records.storage import schema
from tests.records.conftest import SmallBank, Writer

START = datetime(2026, 3, 2, 9, tzinfo=UTC)
BANK = SmallBank()
KEY = signing.Signer(Ed25519PrivateKey.generate())


class Trial:
    """The records of one trial, and who writes to them."""

    def __init__(self, base: Path, folder: Path, manager: str, chance: random.Random) -> None:
        self.folder, self.chance, self.manager = folder, chance, manager
        shutil.copytree(base, folder)
        self.file = folder / "records.db"

    def hand(self, records, moment=lambda: START + timedelta(hours=1)):
        return staff.Hand(records, self.manager, KEY, moment, BANK)

    def in_child(self, work, *, kill_within_s: float | None = None) -> list[int]:
        """Run work in a process of its own, perhaps kill it, and return what it acknowledged."""
        told, tell = os.pipe()
        child = os.fork()
        if child == 0:
            os.close(told)
            try:
                for number in work():
                    os.write(tell, f"{number}\n".encode())
            except BaseException:
                pass
            os._exit(0)
        os.close(tell)
        if kill_within_s is not None:
            os.read(told, 2)  # it has begun
            time.sleep(self.chance.uniform(0, kill_within_s))
            with suppress(ProcessLookupError):
                os.kill(child, signal.SIGKILL)
        with os.fdopen(told, "rb") as lines:
            said = lines.read()
        os.waitpid(child, 0)
        return [number for line in said.split(b"\n")[:-1] if line and (number := int(line))]

    def notes(self, count: int, moment=lambda: START + timedelta(hours=1)):
        """Write acts, each acknowledged once it is recorded."""
        records = open_records(self.file, busy_s=5)
        hand = self.hand(records, moment)
        yield 0
        for _ in range(count):
            yield staff.note(hand, self.manager, "note", "Something that was seen at the bench.").number

    def looked_at(self, acknowledged: list[int]) -> str:
        """Return what is wrong with the chain after the trial, or an empty text."""
        records = open_records(self.file, busy_s=5)
        try:
            with records.reading() as connection:
                there = list(connection.scalars(select(schema.acts.c.number)))
            if not set(acknowledged) <= set(there):
                return "an acknowledged act is lost"
            if len(there) != len(set(there)):
                return "an act is doubled"
            problems = check_chain(records).problems
            return problems[0] if problems else ""
        finally:
            records.close()


def writer_killed(trial: Trial) -> tuple[int, str]:
    done = trial.in_child(lambda: trial.notes(200), kill_within_s=0.6)
    return len(done), trial.looked_at(done)


def disk_full(trial: Trial) -> tuple[int, str]:
    room = trial.file.stat().st_size + trial.chance.randrange(0, 400_000)

    def work():
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (room, room))
        yield from trial.notes(60)

    done = trial.in_child(work)
    return len(done), trial.looked_at(done)


def clock_leaps(trial: Trial) -> tuple[int, str]:
    days = trial.chance.choice([-4000, -30, -1, 1, 100, 367, 4000])
    turns = iter([timedelta(hours=1)] * 3 + [timedelta(days=days)] * 3 + [timedelta(hours=2)] * 3)

    def work():
        records = open_records(trial.file, busy_s=5)
        for leap in turns:
            with suppress(KitError):
                hand = trial.hand(records, lambda leap=leap: START + leap)
                yield staff.note(hand, trial.manager, "note", "At the bench.").number

    done = trial.in_child(work)
    return len(done), trial.looked_at(done)


def book_of(trial: Trial, answers: int = 14) -> Path:
    writer = Writer(trial.folder / "ana.book", "p-ana", "Ana Lind")
    for day in range(answers):
        writer.attempt(("salt-sum", "core-hold")[day % 2], trial.chance.random() < 0.7, day=day)
    return writer.path


def rows_of(file: Path) -> tuple:
    records = open_records(file, busy_s=5)
    try:
        with records.reading() as connection:
            entries, marks = schema.entries.c, schema.marks.c
            lines = connection.execute(
                select(entries.position, entries.hash, marks.verdict, marks.score)
                .join_from(schema.entries, schema.marks, marks.entry == entries.key, isouter=True)
                .order_by(entries.position)
            ).all()
            tries = connection.scalar(select(func.count()).select_from(schema.first_tries))
        return tuple(map(tuple, lines)), tries, check_chain(records).problems
    finally:
        records.close()


def taking_killed(trial: Trial) -> tuple[int, str]:
    book, plain = book_of(trial), trial.folder / "plain"
    plain.mkdir()
    shutil.copy(trial.file, plain / "records.db")
    now = START + timedelta(days=60)

    def work(file=trial.file):
        yield 0
        records = open_records(file, busy_s=5)
        found = take_in(records, [book], now=now, catalogue=BANK)
        records.close()
        yield found.books[0].new_lines

    done = trial.in_child(work, kill_within_s=0.6)
    for file in (trial.file, trial.file, plain / "records.db"):  # again, and once more: nothing doubles
        list(work(file))
    same = rows_of(trial.file) == rows_of(plain / "records.db")
    return len(done), "" if same else "a book taken in again is not as one taken in once"


def hand_ins_in_any_order(trial: Trial) -> tuple[int, str]:
    book, plain = book_of(trial), trial.folder / "plain"
    plain.mkdir()
    shutil.copy(trial.file, plain / "records.db")
    lines = book.read_bytes().splitlines(keepends=True)
    pieces = []
    for turn in range(4):
        piece = trial.folder / f"{turn}.book"
        piece.write_bytes(b"".join(lines[: trial.chance.randrange(2, len(lines) + 1)]))
        pieces += [piece, piece]
    pieces.append(book)
    trial.chance.shuffle(pieces)
    now = START + timedelta(days=60)
    records = open_records(trial.file, busy_s=5)
    for piece in pieces:
        take_in(records, [piece], now=now, catalogue=BANK)
    records.close()
    records = open_records(plain / "records.db", busy_s=5)
    take_in(records, [book], now=now, catalogue=BANK)
    records.close()
    same = rows_of(trial.file) == rows_of(plain / "records.db")
    return len(pieces), "" if same else "pieces in another order give other rows"


def inbox_killed(trial: Trial) -> tuple[int, str]:
    books = []
    for number in range(6):
        writer = Writer(trial.folder / f"{number}.book", f"p-{number}", f"Invented {number}")
        writer.attempt("salt-sum", day=0)
        books.append(writer.path.read_bytes())
    path, folder = trial.folder / "s", trial.folder / "inbox"

    def serve():
        with InboxServer(path, open_inbox(folder)) as server:
            server.serve_forever()
        yield 0

    child = os.fork()
    if child == 0:
        with suppress(BaseException):
            list(serve())
        os._exit(0)
    for _ in range(200):
        if path.exists():
            break
        time.sleep(0.005)
    timer = threading.Timer(trial.chance.uniform(0, 0.15), lambda: os.kill(child, signal.SIGKILL))
    timer.start()
    taken = []
    for data in books:
        try:
            send_book(data, str(path))
            taken.append(data)
        except KitError:
            break
    timer.cancel()
    timer.join()  # the number of a process that is gone may be another's
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    kept = [each.read_bytes() for each in folder.glob("*.book")] if folder.exists() else []
    if any(kept.count(data) != 1 for data in taken):
        return len(taken), "an acknowledged book is lost or doubled"
    return len(taken), "" if all(data in books for data in kept) else "half a book lies in the inbox"


KINDS = {
    "kill -9 of who writes": writer_killed,
    "kill -9 in a taking": taking_killed,
    "kill -9 of the inbox": inbox_killed,
    "full disk": disk_full,
    "clock leaps": clock_leaps,
    "hand-ins twice, in any order": hand_ins_in_any_order,
}


def database_killed(count: int, chance: random.Random) -> tuple[int, int, Counter]:
    """Kill a process of a PostgreSQL server while acts are written; the server recovers by itself."""
    from tests.throwaway_server import programs, started

    faults, acknowledged = Counter(), 0
    if programs() is None or not count:
        return 0, 0, faults
    with started() as server:
        server.run("ALTER ROLE suite SET synchronous_commit = on")  # as a real server has it
        name = server.database()
        address = server.address(name)
        records = open_records(address, busy_s=5)
        manager = staff.begin(records, "Berit Falk", lambda: START, KEY)
        for _ in range(count):
            done: list[int] = []
            with suppress(KitError, Exception), server.connect(name) as connection:
                query = "SELECT pid FROM pg_stat_activity WHERE usename = 'suite'"
                pids = [row[0] for row in connection.execute(query)] or [connection.info.backend_pid]
                kill = partial(os.kill, chance.choice(pids), signal.SIGKILL)
                timer = threading.Timer(chance.uniform(0, 0.4), kill)
                timer.start()
                try:
                    for _ in range(80):
                        done.append(staff.note(manager, manager.person, "note", "At the bench.").number)
                finally:
                    timer.cancel()
                    timer.join()
            for _ in range(200):
                with suppress(KitError, Exception), records.reading() as connection:
                    there = set(connection.scalars(select(schema.acts.c.number)))
                    break
                time.sleep(0.05)
            acknowledged += len(done)
            faults["an acknowledged act is lost"] += not set(done) <= there
        faults["the chain is broken"] += bool(check_chain(records).problems)
        records.close()
    return count, acknowledged, faults


def tell(name: str, count: int, acknowledged: int, faults: Counter) -> None:
    found = dict(faults) or "all kept"
    print(f"{name:<30} {count:>5} trials, {acknowledged:>6} acknowledged: {found}", flush=True)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--trials", type=int, default=2000)
    parser.add_argument("--database", type=int, default=40, help="Of them so many against a server.")
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    chance, wrong, began = random.Random(asked.seed), Counter(), time.process_time()
    plan = Counter(list(KINDS)[turn % len(KINDS)] for turn in range(asked.trials - asked.database))
    with tempfile.TemporaryDirectory() as scratch:
        os.environ["SMOKEHOUSE_HOME"] = f"{scratch}/home"
        base = Path(scratch) / "base"
        base.mkdir(mode=0o700)
        records = open_records(base / "records.db")
        manager = staff.begin(records, "Berit Falk", lambda: START, KEY).person
        records.close()
        known = Trial(base, Path(scratch) / "known", manager, chance)
        assert known.looked_at([10**6]), "a lost act must be seen, or nothing here means anything"
        for name, count in plan.items():
            acknowledged, faults = 0, Counter()
            for turn in range(count):
                folder = Path(scratch) / "t"
                trial = Trial(base, folder, manager, random.Random(f"{asked.seed} {name} {turn}"))
                done, fault = KINDS[name](trial)
                acknowledged += done
                faults += Counter([fault] if fault else [])
                shutil.rmtree(folder)
            wrong += faults
            tell(name, count, acknowledged, faults)
    count, acknowledged, faults = database_killed(asked.database, chance)
    wrong += +faults
    tell("kill -9 in the database", count, acknowledged, +faults)
    used = time.process_time() - began + sum(resource.getrusage(resource.RUSAGE_CHILDREN)[:2])
    print(f"{sum(plan.values()) + count} trials, {sum(wrong.values())} faults, {used:.0f} s of processor")
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
