"""Attacks on the demo's records: how many were tried, and how many got through.

Every cell of the first and the last row of every table is changed behind the kit's back, rows are taken out,
and a sign-off is asked for without the competence. Ends with code 1 if anything got through.
"""

import shutil
import sqlite3
import sys
import tempfile
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from kit.basics.errors import KitError
from kit.cli.demo.crew import make_cohort
from kit.cli.demo.desk_story import make_desk
from kit.records import open_records, take_in
from kit.records.competence import deciding
from kit.records.competence.observations import Observation, observe
from kit.records.evidence.kept_files import check_files
from kit.records.storage import schema
from kit.records.upkeep.whole_check import check_all
from tests.records.test_tampering import editing, other_value

Attack = tuple[str, list[tuple[str, tuple]]]


def tampering(source: Path) -> Iterator[Attack]:
    """Yield an edit of each cell of the first and the last row of every table, and each of them taken out."""
    with editing(source) as db:
        for table in (one.name for one in schema.metadata.sorted_tables):
            names = [row[1] for row in db.execute(f'PRAGMA table_info("{table}")')]
            rows = db.execute(f'SELECT rowid, * FROM "{table}"').fetchall()
            for row in ({rows[0][0]: rows[0], rows[-1][0]: rows[-1]} if rows else {}).values():
                for place, name in enumerate(names, start=1):
                    sql = f'UPDATE "{table}" SET "{name}" = ? WHERE rowid = ?'
                    yield f"change {table}.{name}", [(sql, (other_value(row[place], name), row[0]))]
                yield f"take a row out of {table}", [(f'DELETE FROM "{table}" WHERE rowid = ?', (row[0],))]


def named(source: Path, folder: Path, attack: Attack) -> bool | None:
    """Return whether the check names an edit; None if the database itself refuses it."""
    path = folder / "records.db"
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    shutil.copy(source, path)
    with editing(path) as db:
        triggers = db.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
        for name, _ in triggers:
            db.execute(f'DROP TRIGGER "{name}"')
        try:
            for sql, values in attack[1]:
                db.execute(sql, values)
        except sqlite3.IntegrityError:
            return None
        for _, sql in triggers:
            db.execute(sql)
    records = open_records(path)
    try:
        files = check_files(records)
        return bool(check_all(records).problems or files.missing or files.changed or files.not_erased)
    finally:
        records.close()


def asking(room) -> Iterator[tuple[str, Callable[[], object]]]:
    """Yield ways to a sign-off without the competence. Each must raise."""
    who, tutor = room.ids["Oskar Lindqvist"], room.tutor
    today = tutor.today()
    long_ago = today - timedelta(days=900)

    def seen(day=today, batch="X-1", **more):
        facts = {"batch": batch, "declared": True} | more
        return observe(tutor, Observation(who, "cook", day, {"COK-P01": "met"}, **facts))

    def decide():
        return deciding.decide(tutor, who, "COK-P01", "competent", "Trust me.")

    yield "competent without any evidence", decide
    yield "a core of 41 °C called met", lambda: seen(measures={"core_temp_c": 41.0})
    yield (
        "an observation before the apprentice began",
        lambda: seen(long_ago, despite="So."),
    )
    yield "an observation of tomorrow", lambda: seen(today + timedelta(days=1))
    yield "one batch three times", lambda: ([seen() for _ in range(3)], decide())


def main() -> int:
    """Attack, and print tried and got through."""
    tried, through = 0, []
    with tempfile.TemporaryDirectory() as scratch:
        home, now = Path(scratch), datetime.now(UTC)
        records = open_records(home / "tutor" / "records.db")
        take_in(records, make_cohort(home, now - timedelta(hours=3)), now=now - timedelta(hours=2))
        room = make_desk(records, now - timedelta(hours=1), home / "tutor" / "keys")
        whole = check_all(records)
        left = "; ".join(whole.not_checked) or "nothing"
        print(f"untouched: {len(whole.problems)} problems; not checked: {left}")
        with editing(records.path) as db:
            db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        for attack in tampering(records.path):
            found = named(records.path, home / "edited", attack)
            tried += found is not None
            through += [attack[0]] if found is False else []
        for name, ask in asking(room):
            tried += 1
            try:
                ask()
            except KitError:
                continue
            through.append(name)
        records.close()
    print(f"tried: {tried}; got through: {len(through)}")
    print("\n".join(through))
    return 1 if through or whole.problems else 0


if __name__ == "__main__":
    sys.exit(main())
