"""How much quicker COPY is than INSERT on PostgreSQL: `python tests/benchmarks/postgres_bulk.py`.

Both ways write the same rows, by turns, each in a transaction that is thrown away.
"""

import argparse
import sys
import tempfile
import time
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy import insert

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
from kit.records import open_records
from kit.records.storage import schema
from kit.records.storage.bulk import insert_rows
from tests.throwaway_server import started

NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
BATCH = 5000


def rows(count):
    line = {"person": 1, "taking": 1, "hash": "0" * 64, "what": "attempt", "at": NOW, "said": "12.5 g"}
    mark = {"score": 1.0, "of": 1.0, "verdict": "right", "slip": "", "claimed_score": 1.0}
    mark |= {"claimed_verdict": "right", "counts": True}
    numbers = range(1, count + 1)
    return [line | {"key": n, "position": n} for n in numbers], [mark | {"entry": n} for n in numbers]


def seconds(records, write, lines, marks):
    with records.engine.execution_options(write=True).connect() as connection:
        connection.execute(insert(schema.people).values(key=1, person_id="p", first_taken_at=NOW))
        taking = {"key": 1, "person": 1, "taken_at": NOW, "kit_version": "0", "file_name": "p.book"}
        connection.execute(insert(schema.takings).values(first_position=0, entries=len(lines), **taking))
        began = time.perf_counter()
        for table, many in ((schema.entries, lines), (schema.marks, marks)):
            for first in range(0, len(many), BATCH):
                write(connection, table, many[first : first + BATCH])
        took = time.perf_counter() - began
        connection.rollback()
    return took


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--rows", type=int, default=20_000)
    parser.add_argument("--rounds", type=int, default=2)
    asked = parser.parse_args()
    ways = {"INSERT": lambda c, table, many: c.execute(insert(table), many), "COPY": insert_rows}
    best = dict.fromkeys(ways, float("inf"))
    with started() as server, tempfile.TemporaryDirectory() as folder:
        address = server.address(server.database())
        records = open_records(address, beside=Path(folder) / "records.db")
        made = rows(asked.rows)
        for _ in range(asked.rounds):
            for name, write in ways.items():
                best[name] = min(best[name], seconds(records, write, *made))
        records.close()
    for name, took in best.items():
        print(f"{name}: {took:.2f} s for {asked.rows:,} lines and as many marks")
    print(f"INSERT / COPY: {best['INSERT'] / best['COPY']:.1f}")


if __name__ == "__main__":
    main()
