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
    """One thing to look at: whose, what sort, which line of their book, and the words."""

    person: int
    sort: Literal["flag", "dispute", "explanation"]
    line: int
    day: date | None
    exercise: str
    says: str


def waiting(records: Records, person: int | None = None, limit: int = 500) -> tuple[Waiting, ...]:
    """Return what waits for the tutor, of one person (a key of the board) or of all.

    Parameters
    ----------
    records : Records
        The open records.
    person : int, optional
        ``Person.key`` of a board.
    limit : int
        At most so many of each sort. [things]
    """
    with records.reading() as connection:
        return (*_flags(connection, person, limit), *_said(connection, person, limit))


def _flags(connection: Connection, person: int | None, limit: int) -> list[Waiting]:
    flags = schema.flags.c
    query = select(flags.person, flags.position, flags.kind, flags.says)
    if person is not None:
        query = query.where(flags.person == person)
    rows = connection.execute(query.order_by(flags.person, flags.key).limit(limit))
    return [Waiting(r.person, "flag", r.position or 0, None, r.kind, r.says) for r in rows]


def _said(connection: Connection, person: int | None, limit: int) -> list[Waiting]:
    entries, exercises = schema.entries.c, schema.exercises.c
    query = (
        select(
            entries.person,
            entries.what,
            entries.position,
            entries.local_day,
            exercises.exercise_id,
            entries.said,
        )
        .join_from(schema.entries, schema.exercises, exercises.key == entries.exercise)
        .where(entries.what.in_(("dispute", "explained")))
    )
    if person is not None:
        query = query.where(entries.person == person)
    found: list[Waiting] = []
    for row in connection.execute(query.order_by(entries.person, entries.position).limit(limit)):
        sort: Literal["dispute", "explanation"] = "dispute" if row.what == "dispute" else "explanation"
        line, words = row.position + 1, _words(row.said)
        found.append(Waiting(row.person, sort, line, row.local_day, row.exercise_id, words))
    return found


def _words(said: Any) -> str:
    text = said if isinstance(said, str) else ("" if said is None else str(said))
    return text.strip() or "(no words)"
