"""A group on paper: 1,000 kitchens, 50,000 people, ten years. Storage, memory, time and money.

    python tests/benchmarks/on_paper.py [--kitchens 1000] [--people 50000] [--years 10] [--markdown]

Each unit is measured here, on a small crew, in a moment: what an act, and a line of a book with its mark,
takes in the file; seconds of processor to take in and check one. The rest is arithmetic on what a person does
in a year, which is assumed and printed. Prices are assumed too, from memory of what small servers cost, and
stand as arguments: put in your own. At the end: what breaks first, and what it moves to.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
import time
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from bench_records import write_book
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from sqlalchemy import func, select

from kit.files import signing
from kit.records import open_records, take_in
from kit.records.ledger.projection import check_chain
from kit.records.people import staff
from kit.records.storage import schema
from kit.records.upkeep.backup import backup

ANSWERS_A_YEAR, ACTS_A_YEAR, PHOTOS_A_YEAR, PHOTO_MB = 600, 40, 6, 2.0
"""What one apprentice does in a year: 12 answers a week, 40 acts about them, 6 photographs. Assumed."""
LEARNING_YEARS = 2.0
"""So long somebody learns; then another comes. Assumed. [years]"""
ONLINE_SHARE, SEAT_MB, KEPT_BACK_GB = 0.04, 370, 1.5
"""How many of those who learn have a lesson open at the busiest hour: assumed. A seat was measured once."""


@dataclass(frozen=True)
class Units:
    """What one of each costs: bytes on disk and seconds of processor."""

    answer_bytes: float
    act_bytes: float
    backup_share: float
    take_in_s: float
    act_s: float
    check_act_s: float


def size_of(folder: Path) -> int:
    return sum(each.stat().st_size for each in folder.iterdir() if each.name.startswith("records.db"))


def measured(books: int, answers: int, notes: int) -> Units:
    """Measure each unit on a small crew of its own."""
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch) / "tutor"
        folder.mkdir(mode=0o700)
        os.environ["SMOKEHOUSE_HOME"] = scratch
        paths = [write_book(Path(scratch), number, answers) for number in range(books)]
        records = open_records(folder / "records.db")
        key = signing.Signer(Ed25519PrivateKey.generate())
        hand = staff.begin(records, "Berit Falk", lambda: datetime.now(UTC) - timedelta(days=1), key)
        settle(records)
        empty = size_of(folder)
        take_in(records, paths[:1])  # warm: the bank's questions are remembered from here on
        began = time.process_time()
        take_in(records, paths[1:])
        take_in_s = (time.process_time() - began) / (len(paths) - 1) / answers
        settle(records)
        with_answers = size_of(folder)
        began = time.process_time()
        for _ in range(notes):
            staff.note(hand, hand.person, "note", "What was seen at the bench, in some words of a sentence.")
        act_s = (time.process_time() - began) / notes
        settle(records)
        with_acts = size_of(folder)
        with records.reading() as connection:
            acts = connection.scalar(select(func.count()).select_from(schema.acts))
        began = time.process_time()
        assert not check_chain(records).problems
        check_s = (time.process_time() - began) / acts
        made = backup(records, Path(scratch) / "b")
        share = made.path.stat().st_size / with_acts
        records.close()
        print(f"measured on {books} books of {answers} answers and {notes} acts")
        return Units(
            (with_answers - empty) / (books * answers),
            (with_acts - with_answers) / notes,
            share,
            take_in_s,
            act_s,
            check_s,
        )


def settle(records) -> None:
    """Write the log into the file, so that its size says what the rows take."""
    raw = records.engine.raw_connection()
    raw.driver_connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    raw.close()


def table(units: Units, asked: argparse.Namespace) -> list[tuple[str, str, str]]:
    """Return what it comes to: what, for the whole group, for one kitchen."""
    people, kitchens, years = asked.people, asked.kitchens, asked.years
    answers, acts = people * ANSWERS_A_YEAR * years, people * ACTS_A_YEAR * years
    rows_gb = (answers * units.answer_bytes + acts * units.act_bytes) / 1e9
    photos_gb = people * PHOTOS_A_YEAR * PHOTO_MB * years / 1e3
    backup_gb = rows_gb * units.backup_share * asked.backups
    whole_gb = backup_gb + photos_gb * asked.backups  # each backup holds every photograph
    seats = people * ONLINE_SHARE
    memory_gb = seats * SEAT_MB * 1.04 / 1024 + KEPT_BACK_GB
    take_in_h = people * ANSWERS_A_YEAR * units.take_in_s / 3600
    check_s = acts / kitchens * units.check_act_s
    others = rows_gb * asked.on_server + photos_gb
    money, once = (
        (others + more) * asked.disk_gb_month + memory_gb * asked.memory_gb_month
        for more in (whole_gb, backup_gb + photos_gb)
    )

    def pair(whole: float, form: str, unit: str, share: float | None = None) -> tuple[str, str]:
        each = whole / kitchens if share is None else share
        return f"{whole:{form}} {unit}".strip(), f"{each:,.2f} {unit}".strip()

    return [
        ("Answers", *pair(answers, ",.0f", "")),
        ("Acts", *pair(acts, ",.0f", "")),
        ("People who ever were here", *pair(people * max(1.0, years / LEARNING_YEARS), ",.0f", "")),
        ("Rows, in files", *pair(rows_gb, ",.0f", "GB")),
        ("Rows, on PostgreSQL", *pair(rows_gb * asked.on_server, ",.0f", "GB")),
        ("Photographs", *pair(photos_gb, ",.0f", "GB")),
        (f"Backups, {asked.backups} kept, the rows alone", *pair(backup_gb, ",.0f", "GB")),
        (f"Backups, {asked.backups} kept, as they are: with photographs", *pair(whole_gb, ",.0f", "GB")),
        ("Lessons open at the busiest hour", *pair(seats, ",.0f", "")),
        ("Memory for them", *pair(memory_gb, ",.0f", "GB")),
        ("Taking in, a year, one processor", *pair(take_in_h, ",.0f", "h")),
        ("Check of the whole chain, one kitchen", "–", f"{check_s:,.1f} s"),
        ("Money a month in the last year, assumed prices", *pair(money, ",.0f", "€")),
        ("The same, if each photograph were backed up once", *pair(once, ",.0f", "€")),
    ]


def what_breaks(asked: argparse.Namespace) -> list[str]:
    """Return what stops first on one machine, in order, and what it moves to."""
    a_year_gb = asked.people / asked.kitchens * PHOTOS_A_YEAR * PHOTO_MB / 1e3 * asked.backups
    seats = int((32 - KEPT_BACK_GB) * 1024 / (SEAT_MB * 1.04))
    open_at_once = asked.people * ONLINE_SHARE
    return [
        f"1. Backups: each holds every photograph, {a_year_gb:,.0f} GB more a kitchen and year. They move "
        "to a backup of the folder `evidence` that keeps a file once; its names are hashes.",
        f"2. Memory: a machine of 32 GB seats {seats}, and {open_at_once:,.0f} are open at once: "
        f"{open_at_once / seats:,.0f} machines, a hub each, for the kitchens near it.",
        f"3. One database: its figures are for 50 kitchens. {asked.kitchens / 50:,.0f} servers of 50; a "
        "kitchen moves by `records move`. No query reads two kitchens, so nothing has to be split.",
        "4. The chain of one kitchen grows, and its check with it. `record check --since CODE --only-new` "
        "looks at what is new; the whole check goes to the night.",
    ]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kitchens", type=int, default=1000)
    parser.add_argument("--people", type=int, default=50_000, help="Who learn at one time, in all kitchens.")
    parser.add_argument("--years", type=float, default=10)
    parser.add_argument("--books", type=int, default=12)
    parser.add_argument("--answers", type=int, default=60)
    parser.add_argument("--notes", type=int, default=200)
    parser.add_argument("--backups", type=int, default=42, help="35 nights and a few kept longer.")
    parser.add_argument("--on-server", type=float, default=1.78, help="PostgreSQL's bytes for one of a file.")
    parser.add_argument("--disk-gb-month", type=float, default=0.05, help="€; from memory, confirm.")
    parser.add_argument("--memory-gb-month", type=float, default=3.0, help="€; from memory, confirm.")
    parser.add_argument("--markdown", action="store_true")
    asked = parser.parse_args()
    units = measured(asked.books, asked.answers, asked.notes)
    print(
        f"an answer {units.answer_bytes:,.0f} bytes and {1e3 * units.take_in_s:.1f} ms; an act "
        f"{units.act_bytes:,.0f} bytes, {1e3 * units.act_s:.1f} ms to write, "
        f"{1e6 * units.check_act_s:.0f} µs to check; a backup {units.backup_share:.2f} of the file"
    )
    print(
        f"assumed: {ANSWERS_A_YEAR} answers, {ACTS_A_YEAR} acts, {PHOTOS_A_YEAR} photographs of {PHOTO_MB:g} "
        f"MB a person and year; {ONLINE_SHARE:.0%} online at once at {SEAT_MB} MB"
    )
    rows = table(units, asked)
    head = ("", f"{asked.kitchens:,} kitchens, {asked.people:,} people, {asked.years:g} years", "one kitchen")
    if asked.markdown:
        print("| " + " | ".join(head) + " |\n|---|---|---|")
        print("\n".join(f"| {' | '.join(row)} |" for row in rows))
    else:
        for row in (head, *rows):
            print(f"{row[0]:<52} {row[1]:>22} {row[2]:>16}")
    print("\n".join(what_breaks(asked)))


if __name__ == "__main__":
    sys.exit(main())
