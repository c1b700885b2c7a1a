"""What a backup costs. Prints its figures; exits with 1 if one is missed.

    python tests/benchmarks/bench_backup.py [--books 1000] [--answers 60] [--marks 300000]

Figure to reach on 2 cores: a backup of 1,000 people and 300,000 marks, with 200 kept files, within 10 s.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
from pathlib import Path

from bench_records import multiply_marks, timed, write_book

from kit.records import open_records, take_in
from kit.records.evidence.kept_files import attach
from kit.records.people import staff
from kit.records.upkeep.backup import backup, restore, verify_backup

BACKUP_S = 10.0
FILES, FILE_BYTES = 200, 100_000


def main() -> int:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--books", type=int, default=1000)
    parser.add_argument("--answers", type=int, default=60)
    parser.add_argument("--marks", type=int, default=300_000)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        records = open_records(folder / "tutor" / "records.db")
        books = [write_book(folder, number, options.answers) for number in range(options.books)]
        take_in(records, books, processes=os.cpu_count() or 1)
        manager = staff.begin(records, "Invented manager")
        for number in range(FILES):
            path = folder / "weights.txt"
            path.write_text(f"{number} " + os.urandom(FILE_BYTES // 2).hex())
            attach(manager, path, manager.person, "weights")
        whole = backup(records, folder / "whole").path  # copies of marks, below, would not check
        print(f"{options.books * options.answers:,} answers and {FILES} kept files")
        print(f"checked from end to end: {timed(lambda: verify_backup(whole)):.1f} s")
        print(f"restored: {timed(lambda: restore(whole, folder / 'new' / 'records.db')):.1f} s")
        multiply_marks(records, options.marks)
        size = records.path.stat().st_size
        print(f"records of {size / 1e6:.0f} MB and {FILES} kept files")
        takes = [timed(lambda turn=turn: backup(records, folder / f"backup-{turn}")) for turn in range(3)]
        made = folder / "backup-0"
        print(f"backup: {', '.join(f'{took:.1f} s' for took in takes)}; {made.stat().st_size / 1e6:.0f} MB")
        records.close()
    return 0 if min(takes) <= BACKUP_S else 1


if __name__ == "__main__":
    sys.exit(main())
