"""Disputed marks that nobody has looked at yet, and what was looked at."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from sqlalchemy import Connection, select

from kit.records.ledger import acts
from kit.records.ledger.acts import Act
from kit.records.storage import schema


def open_disputes(connection: Connection, person: str | None = None) -> dict[str, set[str]]:
    """Return for each person id the exercises whose mark they dispute and nobody has looked at yet."""
    entries, people, exercises = schema.entries.c, schema.people.c, schema.exercises.c
    query = (
        select(people.person_id, exercises.exercise_id, entries.position)
        .join_from(schema.entries, schema.people, people.key == entries.person)
        .join(schema.exercises, exercises.key == entries.exercise)
        .where(entries.what == "dispute")
    )
    if person is not None:
        query = query.where(people.person_id == person)
    rows = connection.execute(query).all()
    done = looked_at(connection) if rows else set()
    found: dict[str, set[str]] = defaultdict(set)
    for row in rows:
        if (row.person_id, "dispute", row.position + 1, "") not in done:
            found[row.person_id].add(row.exercise_id)
    return dict(found)


def looked_at(connection: Connection) -> set[tuple[str, str, int, str]]:
    """Return what was looked at: person, sort, line of the book, and kind of flag."""
    looks: Iterable[Act] = acts.read(connection, kind="looked at")
    return {(str(act.person), act.facts["sort"], int(act.facts["line"]), act.facts["flag"]) for act in looks}
