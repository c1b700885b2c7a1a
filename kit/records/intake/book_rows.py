"""Writing one checked book into the tables. Every function works inside the caller's transaction."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Table, func, insert, select

from kit import __version__
from kit.basics.typed_names import fold
from kit.criteria.knowledge import first_tries
from kit.files import relation
from kit.files.tries import try_of
from kit.records.intake.remark import Flag, RemarkedBook, RemarkedEntry
from kit.records.storage import schema
from kit.records.storage.bulk import insert_rows


@dataclass(frozen=True)
class RecordedBook:
    """What the records hold of one person's book: their key (0: unknown), and the hash of every line."""

    person: int
    hashes: tuple[str, ...]

    @property
    def known(self) -> bool:
        """Whether this id is in the records."""
        return self.person > 0


@dataclass(frozen=True)
class Touched:
    """Whose records changed, by which taking, and whether anything that counts came in."""

    person: int
    taking: int
    counted: bool


def known_hashes(connection: Connection, person_id: str) -> RecordedBook:
    """Return what is recorded of this person's book."""
    people, entries = schema.people.c, schema.entries.c
    key = connection.scalar(select(people.key).where(people.person_id == person_id))
    if key is None:
        return RecordedBook(0, ())
    hashes = connection.scalars(select(entries.hash).where(entries.person == key).order_by(entries.position))
    return RecordedBook(key, tuple(hashes))


def why_forked(kept: RecordedBook, checked: RemarkedBook) -> str:
    """Return why this book cannot be the one that was taken in before, or an empty text."""
    if not kept.hashes or relation(kept.hashes, checked.hashes) != "forked":
        return ""
    pairs = zip(kept.hashes, checked.hashes, strict=False)
    line = next(i for i, (ours, theirs) in enumerate(pairs, start=1) if ours != theirs)
    return (
        f"forked: from line {line} on it differs from the book that was taken in before. One of the two was "
        "changed, or one person worked in two folders. Nothing of this file was taken; ask the apprentice "
        "which is theirs."
    )


def new_flags(
    connection: Connection,
    kept: RecordedBook,
    checked: RemarkedBook,
    fresh: Sequence[RemarkedEntry],
    another: bool,
) -> list[Flag]:
    """Return the flags this book adds: those of new lines, and those of the whole book not raised before."""
    flags = [flag for line in fresh for flag in line.flags]
    whole = list(checked.flags)
    if another:
        whole.append(Flag("name in two ids", f"Another person called {checked.name!r} has a different id."))
    if kept.known:
        names = _names(connection, kept.person)
        if fold(checked.name) not in {fold(name) for name in names}:
            whole.append(
                Flag("name changed", f"This id was {names[-1]!r} before and is now {checked.name!r}.")
            )
    if not whole:
        return flags
    raised = {
        (row.kind, row.position, row.says)
        for row in connection.execute(
            select(schema.flags.c.kind, schema.flags.c.position, schema.flags.c.says).where(
                schema.flags.c.person == kept.person
            )
        )
    }
    return [*(f for f in whole if (f.kind, f.line or None, f.says) not in raised), *flags]


def record(
    connection: Connection,
    kept: RecordedBook,
    checked: RemarkedBook,
    fresh: Sequence[RemarkedEntry],
    flags: Sequence[Flag],
    now: datetime,
) -> Touched:
    """Write the new lines with their marks, first tries and flags."""
    person = kept.person or _add_person(connection, checked, now)
    _keep_name(connection, person, checked.name, now)
    taking = _insert_one(
        connection,
        schema.takings,
        person=person,
        taken_at=now,
        kit_version=__version__,
        file_name=checked.file,
        first_position=len(kept.hashes),
        entries=len(fresh),
    )
    first_key = (connection.scalar(select(func.max(schema.entries.c.key))) or 0) + 1
    if not kept.hashes:
        insert_rows(connection, schema.entries, [_header_row(person, taking, checked, first_key)])
        first_key += 1
    exercises = _exercise_keys(connection, {line.entry.exercise for line in fresh if line.entry.exercise})
    keyed = list(enumerate(fresh, start=first_key))
    insert_rows(connection, schema.entries, [_entry_row(k, person, taking, n, exercises) for k, n in keyed])
    insert_rows(connection, schema.marks, [_mark_row(k, n) for k, n in keyed if n.entry.what == "attempt"])
    counted = _add_first_tries(connection, person, keyed, exercises)
    insert_rows(
        connection,
        schema.flags,
        [
            {"person": person, "taking": taking, "position": f.line or None, "kind": f.kind, "says": f.says}
            for f in flags
        ],
    )
    return Touched(person, taking, counted)


def _insert_one(connection: Connection, table: Table, **values: Any) -> int:
    made = connection.execute(insert(table).values(**values)).inserted_primary_key
    assert made is not None
    return int(made[0])


def _add_person(connection: Connection, checked: RemarkedBook, now: datetime) -> int:
    return _insert_one(connection, schema.people, person_id=checked.person, first_taken_at=now)


def _names(connection: Connection, person: int) -> list[str]:
    names = schema.names.c
    return list(connection.scalars(select(names.name).where(names.person == person).order_by(names.key)))


def _keep_name(connection: Connection, person: int, name: str, now: datetime) -> None:
    if name not in _names(connection, person):
        _insert_one(connection, schema.names, person=person, name=name, folded=fold(name), since=now)


def _exercise_keys(connection: Connection, ids: set[str]) -> dict[str, int]:
    table = schema.exercises
    known = {
        row.exercise_id: row.key
        for row in connection.execute(select(table).where(table.c.exercise_id.in_(sorted(ids))))
    }
    for name in sorted(ids - known.keys()):
        known[name] = _insert_one(connection, table, exercise_id=name)
    return known


def _header_row(person: int, taking: int, checked: RemarkedBook, key: int) -> dict[str, Any]:
    return {
        "key": key,
        "person": person,
        "position": 0,
        "taking": taking,
        "hash": checked.hashes[0],
        "what": "header",
        "at": checked.made,
    }


def _entry_row(
    key: int, person: int, taking: int, line: RemarkedEntry, exercises: dict[str, int]
) -> dict[str, Any]:
    entry = line.entry
    same = ("hash", "what", "at", "version", "occasion", "seed", "profile", "fingerprint")
    return {
        "key": key,
        "person": person,
        "position": entry.n,
        "taking": taking,
        "local_day": entry.day,
        "exercise": exercises.get(entry.exercise),
        "said": entry.text if entry.what == "dispute" else entry.answer,
        **{name: getattr(entry, name) for name in same},
    }


def _mark_row(key: int, line: RemarkedEntry) -> dict[str, Any]:
    entry, outcome = line.entry, line.outcome
    claimed = {"entry": key, "claimed_score": entry.score, "claimed_verdict": entry.verdict}
    if outcome is None:
        return {**claimed, "score": None, "of": None, "verdict": "kept", "slip": "", "counts": False}
    marked = {name: getattr(outcome, name) for name in ("score", "of", "verdict", "slip")}
    return {**claimed, **marked, "counts": line.counts}


def _add_first_tries(
    connection: Connection, person: int, keyed: Sequence[tuple[int, RemarkedEntry]], exercises: dict[str, int]
) -> bool:
    """Record the first counted attempt at each variant; say whether there was any."""
    table = schema.first_tries
    before = connection.execute(
        select(schema.exercises.c.exercise_id, table.c.variant)
        .join_from(table, schema.exercises, schema.exercises.c.key == table.c.exercise)
        .where(table.c.person == person)
    )
    tries = [
        try_of(line.entry, line.outcome.verdict, line.helped, key, line.day)
        for key, line in keyed
        if line.counts and line.outcome is not None
    ]
    positions = {key: line.entry.n for key, line in keyed}
    rows = [
        {
            "person": person,
            "exercise": exercises[one.exercise],
            "variant": one.variant,
            "entry": one.key,
            "position": positions[one.key],
            "at": one.at,
            "local_day": one.day,
            "right": one.right,
            "assisted": one.helped,
        }
        for one in first_tries(tries, ((row.exercise_id, row.variant) for row in before))
    ]
    insert_rows(connection, table, rows)
    return bool(rows)
