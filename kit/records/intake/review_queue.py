"""What waits for the tutor: flags from taking in, marks that are disputed, explanations to read."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any, Literal

from sqlalchemy import Connection, select

from kit.records.storage import schema
from kit.records.storage.store import Records


@dataclass(frozen=True)
class Waiting:
    """One thing to look at: who, what sort, which line of their book, and the words.

    ``exercise`` is the kind where it is a flag.
    """

    who: str
    sort: Literal["flag", "dispute", "explanation"]
    line: int
    day: date | None
    exercise: str
    says: str


def waiting(records: Records, person: str | None = None, limit: int = 500) -> tuple[Waiting, ...]:
    """Return what was ever kept for the tutor to look at, of one person (by id) or of all.

    Parameters
    ----------
    records : Records
        The open records.
    person : str, optional
        Whose.
    limit : int
        At most so many of each sort. [things]
    """
    with records.reading() as connection:
        return (*_flags(connection, person, limit), *_said(connection, person, limit))


def _flags(connection: Connection, person: str | None, limit: int) -> list[Waiting]:
    flags, people = schema.flags.c, schema.people.c
    query = select(people.person_id, flags.position, flags.kind, flags.says)
    query = query.join_from(schema.flags, schema.people, people.key == flags.person)
    if person is not None:
        query = query.where(people.person_id == person)
    rows = connection.execute(query.order_by(flags.person, flags.key).limit(limit))
    return [Waiting(r.person_id, "flag", r.position or 0, None, r.kind, r.says) for r in rows]


def _said(connection: Connection, person: str | None, limit: int) -> list[Waiting]:
    entries, exercises, people = schema.entries.c, schema.exercises.c, schema.people.c
    query = (
        select(
            people.person_id,
            entries.what,
            entries.position,
            entries.local_day,
            exercises.exercise_id,
            entries.said,
        )
        .join_from(schema.entries, schema.exercises, exercises.key == entries.exercise)
        .join(schema.people, people.key == entries.person)
        .where(entries.what.in_(("dispute", "explained")))
    )
    if person is not None:
        query = query.where(people.person_id == person)
    found: list[Waiting] = []
    for row in connection.execute(query.order_by(entries.person, entries.position).limit(limit)):
        sort: Literal["dispute", "explanation"] = "dispute" if row.what == "dispute" else "explanation"
        line, words = row.position + 1, _words(row.said)
        found.append(Waiting(row.person_id, sort, line, row.local_day, row.exercise_id, words))
    return found


def _words(said: Any) -> str:
    text = said if isinstance(said, str) else ("" if said is None else str(said))
    return text.strip() or "(no words)"
