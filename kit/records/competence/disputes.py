"""Disputed marks that nobody has looked at yet, and what was looked at."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable

from sqlalchemy import Connection, select

from kit.exercises.catalogue import Catalogue
from kit.records.ledger import acts
from kit.records.ledger.acts import Act
from kit.records.storage import schema


def disputed_criteria(
    connection: Connection, catalogue: Catalogue, people: Collection[str] | None = None
) -> dict[str, set[str]]:
    """Return for each person id the criteria on which they dispute a mark, and nobody has looked yet."""
    entries, person, exercises = schema.entries.c, schema.people.c, schema.exercises.c
    query = (
        select(person.person_id, exercises.exercise_id, entries.position)
        .join_from(schema.entries, schema.people, person.key == entries.person)
        .join(schema.exercises, exercises.key == entries.exercise)
        .where(entries.what == "dispute")
    )
    if people is not None:
        query = query.where(person.person_id.in_(people))
    rows = connection.execute(query).all()
    done = looked_at(connection) if rows else set()
    found: dict[str, set[str]] = defaultdict(set)
    for row in rows:
        if (row.person_id, "dispute", row.position + 1, "") not in done:
            found[row.person_id].update(catalogue.evidence.get(row.exercise_id, ()))
    return dict(found)


def looked_at(connection: Connection) -> set[tuple[str, str, int, str]]:
    """Return what was looked at: person, sort, line of the book, and kind of flag."""
    looks: Iterable[Act] = acts.read(connection, kind="looked at")
    return {(str(act.person), act.facts["sort"], int(act.facts["line"]), act.facts["flag"]) for act in looks}


def settled_appeals(connection: Connection, tutor: str) -> list[str]:
    """Return how each settled appeal against a tutor's decisions came out, oldest first."""
    mine = {act.number for act in acts.read(connection, kind="decided") if act.by == tutor}
    about = {act.number for act in acts.read(connection, kind="appealed") if act.facts["act"] in mine}
    told = acts.read(connection, kind="settled")
    return [str(act.facts["outcome"]) for act in told if act.facts["appeal"] in about]
