"""Kill whoever writes, at any moment, and see whether anything that was acknowledged is lost.

    python tests/benchmarks/kill_trials.py --trials 300

A child writes answers into a book, takes the book in, observes, decides, attaches files, makes backups, and
says each time that it is kept. After a random moment it gets SIGKILL. Then each line and act that it called
kept must be there, none twice, and the chain whole; every 25th time and at the end everything is checked.
Records in one file; POSIX only.
"""

import argparse
import os
import random
import signal
import sys
import tempfile
import time
import traceback
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from sqlalchemy import func, select

from kit.files import Book
from kit.records import open_records, take_in
from kit.records.competence import deciding
from kit.records.competence.observations import Observation, observe
from kit.records.evidence.kept_files import attach, check_files
from kit.records.storage import schema
from kit.records.upkeep.backup import backup, verify_backup
from kit.records.upkeep.whole_check import check_all
from tests.records.conftest import Kitchen, SmallBank, Writer

LONGEST_S = 1.0
WHOLE_EVERY = 25


class Work:
    """What the child does, over and over, until it is killed."""

    def __init__(self, home: Path, kitchen: Kitchen, trial: int, say) -> None:
        self.home, self.trial, self.say = home, trial, say
        self.records = open_records(home / "tutor" / "records.db")
        self.tutor = replace(kitchen.tutor, records=self.records, clock=lambda: datetime.now(UTC))
        self.person = kitchen.apprentice
        self.writer = writer_of(home, trial)

    def answer(self, turn: int) -> None:
        """Write a line into the book."""
        line = self.writer.attempt("salt-sum", right=turn % 3 > 0)
        self.say("line", len(self.writer.book.entries), line.hash)

    def book(self, _turn: int) -> None:
        """Take the book in."""
        take_in(self.records, [self.writer.path], catalogue=SmallBank())
        self.say("taken", len(self.writer.book.entries), self.writer.book.entries[-1].hash)

    def see(self, turn: int) -> None:
        """Observe something."""
        facts = {"batch": f"K{self.trial}-{turn}", "declared": True}
        seen = Observation(self.person, "cook", self.tutor.today(), {"COK-P01": "met"}, **facts)
        self.act(observe(self.tutor, seen))

    def decide(self, _turn: int) -> None:
        """Decide something."""
        self.act(deciding.decide(self.tutor, self.person, "COK-P01", "not yet competent", "Practise more."))

    def note(self, turn: int) -> None:
        """Attach a file."""
        file = self.home / f"weights-{os.getpid()}.txt"
        file.write_text(f"{self.trial} {turn} " + os.urandom(2000).hex(), encoding="ascii")
        self.say("file", 0, attach(self.tutor, file, self.person, "weights").sha256)

    def backup(self, turn: int) -> None:
        """Make a backup; it is there whole, or not at all."""
        out = self.home / "backups" / f"{self.trial}-{turn}"
        backup(self.records, out)
        self.say("backup", 0, str(out))

    def act(self, act) -> None:
        """Say that an act is kept."""
        self.say("act", act.number, act.hash)


def writer_of(home: Path, trial: int) -> Writer:
    """Return the writer of this trial's book: it goes on where the last one was cut off."""
    made = home / "p-kill.book"
    writer = Writer.__new__(Writer)
    writer.bank, writer.person, writer.path = SmallBank(), "p-kill", made
    writer.clock = lambda: datetime.now(UTC)
    writer.book = Book(made, clock=writer.clock)
    writer.occasions = {"salt-sum": len(writer.book.entries) + 1000 * trial}
    return writer


def killed(home: Path, kitchen: Kitchen, trial: int, chance: random.Random) -> list[list[str]]:
    """Let a child work, kill it, and return what it called kept."""
    reading, writing = os.pipe()
    child = os.fork()
    if not child:
        os.close(reading)

        def say(*what) -> None:
            os.write(writing, (" ".join(map(str, what)) + "\n").encode())

        try:
            work = Work(home, kitchen, trial, say)
            deeds = (
                [work.answer] * 6 + [work.see] * 4 + [work.decide, work.note, work.book] * 2 + [work.backup]
            )
            mine = random.Random(trial)
            say("begun")
            for turn in range(10**6):
                mine.choice(deeds)(turn)
        except BaseException:
            traceback.print_exc()
        finally:
            os._exit(3)
    os.close(writing)
    told = os.read(reading, 6)  # it has begun
    time.sleep(chance.uniform(0, LONGEST_S))
    os.kill(child, signal.SIGKILL)
    _, state = os.waitpid(child, 0)
    assert os.WIFSIGNALED(state), "the child stopped by itself"
    while more := os.read(reading, 65536):
        told += more
    os.close(reading)
    return [line.split() for line in told.decode().splitlines()[1:]]


def lost(home: Path, told: list[list[str]]) -> list[str]:
    """Return what was called kept and is not there."""
    lines = [one.hash for one in Book(home / "p-kill.book").entries]
    records, missing = open_records(home / "tutor" / "records.db"), []
    acts, entries, files = schema.acts.c, schema.entries.c, schema.files.c
    with records.reading() as connection:
        for what, number, mark in told:
            if what == "line":
                here = lines[int(number) - 1 : int(number)] == [mark]
            elif what == "taken":
                here = connection.scalar(select(func.count()).where(entries.hash == mark)) == 1
            elif what == "act":
                here = connection.scalar(select(acts.hash).where(acts.number == int(number))) == mark
            elif what == "file":
                here = connection.scalar(select(files.size).where(files.sha256 == mark)) is not None
            else:
                here = verify_backup(Path(mark)).problems == ()
            missing += [] if here else [f"{what} {number} {mark}"]
        twice = select(entries.hash).group_by(entries.hash).having(func.count() > 1)
        missing += [f"line {mark} is there twice" for mark in connection.scalars(twice)]
        if connection.exec_driver_sql("PRAGMA quick_check").scalar() != "ok":
            missing.append("the file is damaged")
    records.close()
    return missing


def whole(home: Path) -> list[str]:
    """Return what the check of everything finds."""
    records = open_records(home / "tutor" / "records.db")
    problems, kept = check_all(records, SmallBank()).problems, check_files(records)
    records.close()
    return [*problems, *(f"the file {one} is missing or changed" for one in (*kept.missing, *kept.changed))]


def main() -> int:
    """Kill, look, and print what was lost."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--trials", type=int, default=300)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    chance, faults, kept = random.Random(options.seed), [], 0
    with tempfile.TemporaryDirectory() as scratch:
        home = Path(scratch)
        (home / "tutor").mkdir(mode=0o700)
        (home / "backups").mkdir()
        records = open_records(home / "tutor" / "records.db")
        kitchen = Kitchen(records, SmallBank())
        kitchen.clock.now = datetime.now(UTC)
        records.close()
        Book.make(home / "p-kill.book", person="p-kill", name="Kit Sorrel").append("name", name="Kit Sorrel")
        for trial in range(1, options.trials + 1):
            told = killed(home, kitchen, trial, chance)
            kept += len(told)
            faults += [f"trial {trial}: {one}" for one in lost(home, told)]
            if trial % WHOLE_EVERY == 0 or trial == options.trials:
                faults += [f"trial {trial}: {one}" for one in whole(home)]
        left = [path.name for path in home.rglob("*") if path.name.startswith(".")]
        print(f"kills: {options.trials}; acknowledged: {kept}; lost, doubled or damaged: {len(faults)}")
        print(
            f"drafts left behind by kills: {len(left)}; the next backup takes those older than an hour away"
        )
    print("\n".join(faults[:20]))
    return 1 if faults or not kept else 0


if __name__ == "__main__":
    sys.exit(main())
