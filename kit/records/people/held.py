"""Everything that is held about one person, as rows with the names of their columns."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Connection, Table, select

from kit.records.ledger.joins import book_id
from kit.records.storage import schema


def about_person(connection: Connection, person: str) -> dict[str, Any]:
    """Return who a person is on record: names, roles, keys, and which acts about others they made."""
    table, people, names = schema.acts.c, schema.people.c, schema.names.c
    words = schema.words.c
    made = connection.execute(
        select(table.number, table.kind, table.at, table.criterion)
        .where(table.by == person, table.person.is_distinct_from(person))
        .order_by(table.number)
    )
    known = connection.execute(
        select(names.name, names.since)
        .join_from(schema.names, schema.people, people.key == names.person)
        .where(people.person_id == person)
        .order_by(names.key)
    )
    kept = select(words.text).where(words.person == person).order_by(words.mark)
    return {
        "person": person,
        "names": _rows(known),
        "roles": _of(connection, schema.roles, person),
        "signing keys": _of(connection, schema.signing_keys, person),
        "competence to assess": _of(connection, schema.assessors, person),
        "acts made by this person about others": _rows(made),
        "words kept under this id": list(connection.scalars(kept)),
    }


def answers_of(connection: Connection, person: str) -> dict[str, Any]:
    """Return what was taken in from a person's book, every mark, and what practice has shown."""
    people, entries, exercises = schema.people.c, schema.entries, schema.exercises
    key = connection.scalar(select(people.key).where(people.person_id == book_id(connection, person)))
    if key is None:
        return {}
    lines = connection.execute(
        select(entries, exercises.c.exercise_id.label("exercise name"))
        .outerjoin(exercises, exercises.c.key == entries.c.exercise)
        .where(entries.c.person == key)
        .order_by(entries.c.position)
    )
    marks = connection.execute(
        select(schema.marks)
        .join(entries, entries.c.key == schema.marks.c.entry)
        .where(entries.c.person == key)
        .order_by(schema.marks.c.entry)
    )
    return {
        "books taken in": _of(connection, schema.takings, key),
        "lines": _rows(lines),
        "marks": _rows(marks),
        "first tries": _of(connection, schema.first_tries, key),
        "shown in practice": _of(connection, schema.standings, key),
        "flags": _of(connection, schema.flags, key),
    }


def _of(connection: Connection, table: Table, person: object) -> list[dict[str, Any]]:
    return _rows(connection.execute(select(table).where(table.c.person == person)))


def _rows(rows: Any) -> list[dict[str, Any]]:
    return [dict(row._mapping) for row in rows]
