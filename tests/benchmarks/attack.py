"""Attacks on the demo's records: how many were tried, and how many got through.

Every cell of the first and the last row of every table is changed behind the kit's back, rows are taken out,
a sign-off is asked for without the competence, a forged backup is restored, and a colleague's book is written
into without the PIN. Ends with code 1 if anything got through.
"""

import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import closing, suppress
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from sqlalchemy import func, select

from kit.basics.errors import KitError
from kit.cli.demo.crew import make_crew
from kit.cli.demo.desk_story import make_desk
from kit.files import Book, NotSaved, signing
from kit.files.book_keys import signer_of
from kit.practice import Session, create, get, set_pin, start
from kit.practice.pins import WrongPin, unlock
from kit.records import open_records, take_in
from kit.records.competence import deciding
from kit.records.competence.observations import Observation, observe
from kit.records.evidence.kept_files import attach
from kit.records.ledger import acts
from kit.records.ledger.acts import Draft
from kit.records.ledger.projection import follow
from kit.records.people import keys, staff
from kit.records.storage import schema
from kit.records.upkeep.backup import backup, restore, verify_backup
from kit.records.upkeep.whole_check import check_all
from tests.records.test_backing_up import resealed
from tests.records.test_tampering import Edited, other_value


def tampering(edited: Edited) -> Iterator[tuple[str, tuple[str, tuple]]]:
    """Yield an edit of each cell of the first and the last row of every table, and each of them taken out."""
    for table in (one.name for one in schema.metadata.sorted_tables):
        names, rows = edited.rows(table)
        for row in ({rows[0][0]: rows[0], rows[-1][0]: rows[-1]} if rows else {}).values():
            for place, name in enumerate(names, start=1):
                sql = f'UPDATE "{table}" SET "{name}" = ? WHERE rowid = ?'
                yield f"change {table}.{name}", (sql, (other_value(row[place], name), row[0]))
            yield f"take a row out of {table}", (f'DELETE FROM "{table}" WHERE rowid = ?', (row[0],))


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
    batches = [(today - timedelta(days=days), f"R-{days}") for days in (0, 1, 2)]
    yield "a cook that nobody measured", lambda: ([seen(day, batch) for day, batch in batches], decide())
    nobody = replace(room.manager, key=None)
    mine = signing.Signer(Ed25519PrivateKey.generate())
    yield (
        "the tutor's key retired without a password",
        lambda: keys.retire_key(nobody, tutor.key.key_id, "Lost."),
    )
    yield (
        "a key for the manager without a password",
        lambda: keys.add_key(nobody, nobody.person, mine.key_id, mine.public),
    )
    yield "a tutor without a password", lambda: staff.take_on(nobody, "tutor", name="A friend")
    yield (
        "a decision under a key that nobody put on file",
        lambda: deciding.decide(replace(tutor, key=mine), who, "COK-P01", "not yet competent", "Mine."),
    )
    yield (
        "a new key for the tutor by the manager alone",
        lambda: (
            keys.retire_key(room.manager, tutor.key.key_id, "Lost."),
            keys.add_key(room.manager, tutor.person, mine.key_id, mine.public),
            deciding.decide(replace(tutor, key=mine), who, "COK-P01", "not yet competent", "Mine."),
        ),
    )


FORGERIES = {
    "a word of a mark": "UPDATE marks SET verdict = verdict || '.'",
    "a standing": "UPDATE standings SET held = 1 - held",
    "a trigger of their own": "CREATE TRIGGER quietly AFTER INSERT ON acts BEGIN DELETE FROM flags; END",
    "a view of their own": "CREATE VIEW helpful AS SELECT * FROM acts",
}


def bringing(room, home: Path) -> Iterator[tuple[str, Callable[[], object]]]:
    """Yield files made to harm whoever opens them, and a clock made to lock the records. Each must raise."""
    made = backup(room.manager.records, home / "one.backup")
    for name, statement in FORGERIES.items():
        forged = resealed(made, Path(tempfile.mkdtemp(dir=home)), [statement])
        yield (
            f"a backup with {name}",
            lambda at=forged: restore(at, home / "new" / "records.db", unsigned="Trust me."),
        )
        yield f"a backup with {name}, checked", lambda at=forged: verify_backup(at)
    yield "a backup that nobody signed", lambda: restore(made.path, home / "new" / "records.db")
    yield (
        "a backup under somebody else's signature",
        lambda: backup(room.manager.records, home / "two", by=replace(room.tutor, key=room.manager.key)),
    )
    yield (
        "an older backup put back without a password",
        lambda: restore(made.path, room.manager.records.path, replace=True),
    )
    yield "the last key that can grant trust retired", lambda: retire_last(home)
    sealed, _ = signing.make_key("plain words in a row", cost=2**14)
    costly = replace(sealed, by_password=replace(sealed.by_password, cost=2**27))
    signing.write_key(home / "costly.json", costly)
    yield "a key file that asks for 128 GB", lambda: signing.read_key(home / "costly.json")
    yield "a password that many people take", lambda: signing.make_key("Kitchen-2026!", cost=2**14)
    for name, days in {"ten years ahead": 3653, "a year back": -366}.items():
        wrong = replace(room.manager, clock=lambda days=days: datetime.now(UTC) + timedelta(days=days))
        yield f"a clock {name}", lambda hand=wrong: staff.take_on(hand, "apprentice", name="A friend")


def deciding_past_the_rules(room) -> Iterator[tuple[str, Callable[[], object]]]:
    """Yield decisions that a changed kit writes with the tutor's own key. The check must name each."""
    who, tutor, today = room.ids["Oskar Lindqvist"], room.tutor, room.tutor.today()
    facts = {"decision": "competent", "day": today.isoformat(), "points": [], "missing": []}

    def written(criterion: str, **more) -> None:
        before = len(check_all(tutor.records).problems)
        draft = Draft("decided", tutor.person, who, criterion, facts=facts | more)
        with tutor.records.writing() as connection:
            follow(connection, acts.append(connection, draft, tutor.clock(), tutor.key))
        if len(check_all(tutor.records).problems) > before:
            raise NotSaved("the check names it")

    yield "competent with no evidence, past the rules", lambda: written("COK-P01")
    yield "competent at knowledge with no line, past the rules", lambda: written("COK-K01")
    yield (
        "competent on lines of nobody's book, past the rules",
        lambda: written("COK-K01", entries=["0" * 64]),
    )


def retire_last(home: Path) -> None:
    """Retire the only key of new records, so that nobody can grant trust there any more."""
    with closing(open_records(home / "alone" / "tutor" / "records.db")) as records:
        key = signing.Signer(Ed25519PrivateKey.generate())
        manager = staff.begin(records, "Una Roe", lambda: datetime.now(UTC), key)
        keys.retire_key(manager, key.key_id, "I leave.")


def writing(home: Path) -> Iterator[tuple[str, Callable[[], object]]]:
    """Yield ways to write into a colleague's book on a shared account without their PIN. Each must raise."""
    ana = set_pin(create("Ana Lind", home=home / "shared"), "2719")
    mine = unlock(set_pin(create("Bo Falk", home=home / "shared"), "4321"), "4321")
    session = start(ana.id, home=home / "shared", private=unlock(ana, "2719"))
    exercise = session.catalogue.ids()[0]
    solve(session, exercise)
    path, signer = ana.book_path, signer_of(mine)

    def refused(wrote: Session) -> None:
        solve(wrote, exercise)
        if wrote.book.path == path:
            return
        raise NotSaved("it went into no book of hers")

    yield "an answer without the PIN", lambda: refused(start(ana.id, home=home / "shared"))
    yield "an answer with one's own key", lambda: refused(start(ana.id, home=home / "shared", private=mine))
    yield "a line by the kit's own hand", lambda: Book(path).append("hint", exercise=exercise)
    yield (
        "a line signed with another key",
        lambda: Book(path, signer=signer).append("hint", exercise=exercise),
    )
    yield "lines that count, past the kit", lambda: counted_beyond(home, path, None, exercise)
    yield "lines under a key of one's own", lambda: counted_beyond(home, path, signer, exercise)

    def guess() -> None:
        for pin in ("0000", "1111", "2222"):
            with suppress(WrongPin):
                unlock(ana, pin)
        unlock(ana, "2719")

    yield "PINs tried one after the other", guess


def solve(session: Session, exercise: str) -> None:
    """Answer the next variant of an exercise rightly."""
    session.check(exercise, session.next_variant(exercise).question.answer)


def counted_beyond(home: Path, path: Path, signer, exercise: str) -> None:
    """Forge a right answer at the end of a copy of a book, and raise if taking in does not count it."""
    folder = Path(tempfile.mkdtemp(dir=home))
    copy = folder / "answers.book"
    copy.write_bytes(path.read_bytes())
    if signer is not None:
        Book(copy, signer=signer).append("key", public=signer.public)
    book = Book(copy)
    person = replace(get(book.header.person, home / "shared"), folder=folder)
    book._key_for = lambda what: signer  # what an editor of text would do
    solve(Session(person, book), exercise)
    with closing(open_records(folder / "tutor" / "records.db")) as records:
        take_in(records, [copy])
        with records.reading() as connection:
            if connection.scalar(select(func.count()).select_from(schema.first_tries)) < 2:
                raise NotSaved("it does not count")


def main() -> int:
    """Attack, and print tried and got through."""
    tried, through = 0, []
    with tempfile.TemporaryDirectory() as scratch:
        home, now = Path(scratch), datetime.now(UTC)
        records = open_records(home / "tutor" / "records.db")
        take_in(records, make_crew(home, now - timedelta(hours=3)), now=now - timedelta(hours=2))
        room = make_desk(records, now - timedelta(hours=1), home / "tutor" / "keys")
        log = home / "cook.csv"
        log.write_text(
            "time (min);Core (°C)\n" + "".join(f"{minute};{40 + minute}\n" for minute in range(40))
        )
        attach(room.tutor, log, room.ids["Oskar Lindqvist"], "logger")
        left = "; ".join(check_all(records).not_checked) or "nothing"
        edited = Edited(records.path, None, home / "edited")
        if edited.after() != ():
            print("the untouched records are called edited: nothing below would prove anything")
            return 1
        print(f"untouched: whole; not checked: {left}")
        for name, statement in tampering(edited):
            found = edited.after(statement)
            tried += found is not None
            through += [name] if found == () else []
        for name, ask in (
            *bringing(room, home),
            *asking(room),
            *writing(home),
            *deciding_past_the_rules(room),
        ):
            tried += 1
            try:
                ask()
            except KitError:
                continue
            through.append(name)
        records.close()
    print(f"tried: {tried}; got through: {len(through)}")
    print("\n".join(through))
    return 1 if through else 0


if __name__ == "__main__":
    sys.exit(main())
