"""Which ids stand for one person: what the acts say that join two ids, and that part them again."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from sqlalchemy import Connection, select

from kit.records.ledger.acts import facts_of
from kit.records.storage import schema

JOINED, PARTED = "joined", "parted"


def joins_standing(connection: Connection) -> dict[int, tuple[str, str]]:
    """Return for the number of each act that joins, and was not undone, the other id and the one kept."""
    table = schema.acts.c
    query = select(table.number, table.kind, table.person, table.facts)
    found: dict[int, tuple[str, str]] = {}
    for number, kind, person, facts in connection.execute(
        query.where(table.kind.in_((JOINED, PARTED))).order_by(table.number)
    ):
        said = facts_of(facts)
        if kind == JOINED:
            found[number] = (str(said.get("other")), str(person))
        else:
            found.pop(said.get("act", 0), None)
    return found


def joined_ids(connection: Connection) -> dict[str, str]:
    """Return for each id that was joined to another the id that it counts as."""
    return dict(joins_standing(connection).values())


def together(connection: Connection, person: str) -> tuple[str, ...]:
    """Return every id that stands for a person, the one asked for first."""
    return with_others(joined_ids(connection), [person])


def with_others(joined: Mapping[str, str], people: Iterable[str]) -> tuple[str, ...]:
    """Return ids with those that are joined to them.

    Examples
    --------
    >>> with_others({"p-book": "s-crew"}, ["s-crew", "s-else"])
    ('s-crew', 's-else', 'p-book')
    """
    asked = list(dict.fromkeys(people))
    return tuple(dict.fromkeys([*asked, *(other for other, kept in joined.items() if kept in asked)]))


def book_id(connection: Connection, person: str) -> str:
    """Return the id under which a person's answer book was taken in: their own, or one joined to it."""
    people, takings = schema.people.c, schema.takings.c
    ids = together(connection, person)
    if len(ids) == 1:
        return person
    query = select(people.person_id).join_from(schema.people, schema.takings, takings.person == people.key)
    found: str | None = connection.scalar(query.where(people.person_id.in_(ids)).limit(1))
    return found or person
