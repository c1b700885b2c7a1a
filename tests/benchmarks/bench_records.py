"""What taking in and the board cost. Prints its figures; exits with 1 if one is missed.

    python tests/benchmarks/bench_records.py [--books 1000] [--answers 60] [--signed] [--marks 300000]

Figures to reach on 2 cores: 1,000 books of 60 answers taken in within 60 s; the board of 1,000 people and
100 criteria from 300,000 marks within 0.5 s.
"""

from __future__ import annotations

import argparse
import hashlib
import os
import sys
import tempfile
import time
from datetime import UTC, datetime, timedelta
from itertools import cycle, islice
from pathlib import Path

from kit import exercises
from kit.exercises.catalogue import Catalogue
from kit.files import Book
from kit.files.book_entry import entry_line, unseal
from kit.files.book_keys import make_pin_key, signer_of
from kit.marking import mark
from kit.marking.draw import seed_for
from kit.records import board, open_records, take_in
from kit.rules import load

START = datetime(2026, 1, 5, 8, tzinfo=UTC)
TAKE_IN_S, BOARD_S = 60.0, 0.5


def write_book(folder: Path, number: int, answers: int, signed: bool = False) -> Path:
    """Write one real book: real questions, right answers and slips by turns. Not part of the measurement."""
    person = hashlib.sha256(f"person {number}".encode()).hexdigest()[:32]
    path = folder / f"{number:05}.book"
    clock = [START]
    book = Book.make(path, person=person, name=f"Invented {number}", clock=lambda: clock[0])
    profile = load("ie")
    signer = signer_of(make_pin_key("2719", cost=2**14)[1]) if signed else None
    if signer is not None:
        book.signer = signer
        book.append("key", public=signer.public)
    lines, last = [], book.reading.hashes[-1]
    for turn, name in enumerate(islice(cycle(exercises.ids()), answers)):
        clock[0] += timedelta(hours=7)
        info = exercises.info(name)
        occasion = turn // len(exercises.ids()) + 1
        seed = seed_for(person, name, info.version, occasion)
        question = exercises.question(name, seed, profile)
        answer = question.slips[0].value if (turn + number) % 3 == 0 and question.slips else question.answer
        outcome = mark(question, answer)
        facts = {
            "n": turn + (2 if signed else 1),
            "what": "attempt",
            "at": clock[0].isoformat(),
            "day": clock[0].date().isoformat(),
            "exercise": name,
            "version": info.version,
            "occasion": occasion,
            "seed": seed,
            "fingerprint": exercises.fingerprint(question),
            "profile": "ie",
            "profile_fingerprint": profile.fingerprint,
            "answer": answer,
            "read_as": outcome.read_as,
            "score": outcome.score,
            "of": outcome.of,
            "verdict": outcome.verdict,
            "slip": outcome.slip,
            "hints": 0,
        }
        line = entry_line(facts, last, signer)
        last = unseal(line.rstrip(b"\n"))
        lines.append(line)
    with path.open("ab") as file:
        file.writelines(lines)
    return path


def main() -> int:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--books", type=int, default=1000)
    parser.add_argument("--answers", type=int, default=60)
    parser.add_argument("--signed", action="store_true", help="every book has a key")
    parser.add_argument("--marks", type=int, default=300_000, help="for the board")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        books = [
            write_book(folder, number, options.answers, options.signed) for number in range(options.books)
        ]
        records = open_records(folder / "tutor" / "records.db")
        begun = time.perf_counter()
        found = take_in(records, books, processes=os.cpu_count() or 1)
        taking = time.perf_counter() - begun
        answers = sum(book.answers for book in found.books)
        flags = [flag.says for book in found.books for flag in book.flags]
        print(
            f"{len(found.of('taken'))} books, {answers} answers marked again, {len(flags)} flags: "
            f"{taking:.1f} s"
        )
        print(*flags[:3], sep="\n")
        assert answers == options.books * options.answers and not flags
        multiply_marks(records, options.marks)
        print(f"standings worked out again from all of them: {timed(lambda: recount(records)):.1f} s")
        best = min(timed(lambda: board(records)) for _ in range(5))
        shown = board(records)
        print(f"board of {len(shown.people)} people and {len(shown.criteria)} criteria: {best * 1e3:.0f} ms")
        records.close()
    return 0 if taking <= TAKE_IN_S and best <= BOARD_S else 1


def timed(work) -> float:
    """Return how long something took. [s]"""
    begun = time.perf_counter()
    work()
    return time.perf_counter() - begun


def recount(records) -> None:
    """Work every standing out again, as after a change to the rule, the exercises or the criteria."""
    from sqlalchemy import update

    from kit.records.competence.standings import keep_current
    from kit.records.storage.schema import basis

    with records.writing() as connection:
        connection.execute(update(basis).values(value="another basis"))
    assert keep_current(records, Catalogue())


def multiply_marks(records, wanted: int) -> None:
    """Copy the entries and marks until there are as many as wanted: as if the books had gone on."""
    from sqlalchemy import func, insert, literal, select

    from kit.records.storage.schema import entries, first_tries, marks

    with records.writing() as connection:
        have = connection.execute(select(func.count()).select_from(marks)).scalar_one()
        shift = connection.execute(select(func.max(entries.c.position))).scalar_one() + 1
        top = connection.execute(select(func.max(entries.c.key))).scalar_one()
        turn = 0
        while have < wanted:
            turn += 1
            copied = [c for c in entries.c if c.name not in ("key", "position", "hash")]
            source = select(
                (entries.c.key + top * turn).label("key"),
                (entries.c.position + shift * turn).label("position"),
                (entries.c.hash + f"-{turn}").label("hash"),
                *copied,
            ).where(entries.c.key <= top)
            names = ["key", "position", "hash", *(c.name for c in copied)]
            connection.execute(insert(entries).from_select(names, source))
            rest = [c for c in marks.c if c.name != "entry"]
            again = select((marks.c.entry + literal(top * turn)).label("entry"), *rest).where(
                marks.c.entry <= top
            )
            connection.execute(insert(marks).from_select(["entry", *(c.name for c in rest)], again))
            rest = [c for c in first_tries.c if c.name not in ("variant", "entry", "position", "local_day")]
            tries = select(
                (first_tries.c.variant + f"-{turn}").label("variant"),
                (first_tries.c.entry + top * turn).label("entry"),
                (first_tries.c.position + shift * turn).label("position"),
                first_tries.c.local_day,
                *rest,
            ).where(first_tries.c.entry <= top)
            names = ["variant", "entry", "position", "local_day", *(c.name for c in rest)]
            connection.execute(insert(first_tries).from_select(names, tries))
            have = connection.execute(select(func.count()).select_from(marks)).scalar_one()
        print(f"marks in the records: {have}")


if __name__ == "__main__":
    sys.exit(main())
