"""Who learns here, and what to call people so that nobody is taken for another."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from sqlalchemy import Connection, select

from kit.basics.errors import UnknownName
from kit.records.ledger import acts, texts
from kit.records.ledger.joins import book_id, joined_ids
from kit.records.people.staff import all_names
from kit.records.storage import schema


class CrewMember(NamedTuple):
    """Somebody who learns or learned here: ``enrolled`` as apprentice now, and whether they learn ``now``."""

    key: int
    person: str
    name: str
    enrolled: bool
    now: bool


@dataclass(frozen=True)
class RoleHeld:
    """A role with its days."""

    role: str
    since: date
    until: date | None


def learners(connection: Connection) -> tuple[CrewMember, ...]:
    """Return everyone who is or was an apprentice, or sent in a book and never held a role, by name.

    They learn now if they were taken on as apprentices, or hold no other role.
    """
    roles, people = schema.roles.c, schema.people.c
    now, ever = defaultdict[str, set[str]](set), defaultdict[str, set[str]](set)
    for person, role, until in connection.execute(select(roles.person, roles.role, roles.until)):
        ever[person].add(role)
        if until is None:
            now[person].add(role)
    with_book = set(connection.scalars(select(schema.takings.c.person).distinct()))
    rows = connection.execute(select(people.key, people.person_id)).all()
    names = all_names(connection)
    joined = joined_ids(connection)
    books = {joined.get(person, person): key for key, person in rows if key in with_book}
    found = [
        CrewMember(
            books.get(person, key), person, names.get(person, texts.ERASED), "apprentice" in now[person],
            "apprentice" in now[person] or not now[person],
        )
        for key, person in rows
        if person not in joined
        and ("apprentice" in ever[person] or (not ever[person] and key in with_book))
    ]  # fmt: skip
    return tuple(sorted(found, key=lambda one: (one.name.casefold(), one.person)))


def roles_held(connection: Connection, person: str) -> tuple[RoleHeld, ...]:
    """Return every role a person holds or held, the oldest first."""
    roles = schema.roles.c
    rows = connection.execute(select(schema.roles).where(roles.person == person).order_by(roles.since))
    return tuple(
        RoleHeld(
            row.role,
            row.since.astimezone().date(),
            None if row.until is None else row.until.astimezone().date(),
        )
        for row in rows
    )


def began_on(connection: Connection, person: str) -> date | None:
    """Return the day on which a person began here as an apprentice, or None if nobody said."""
    days = [
        date.fromisoformat(act.facts["started"]) if "started" in act.facts else act.at.astimezone().date()
        for act in acts.read(connection, kind="enrolled", person=person)
        if act.facts["role"] == "apprentice"
    ]
    return min(days, default=None)


def crew_by_name(connection: Connection) -> list[CrewMember]:
    """Return everyone who learns now, each by a name that stands for one person only."""
    names = names_of(connection)
    return [one._replace(name=names[one.person]) for one in learners(connection) if one.now]


def key_of(connection: Connection, person: str) -> int:
    """Return the key in ``people`` of a person; where two ids are one, that of the id with the book.

    Raises
    ------
    UnknownName
        If there is no such person.
    """
    people = schema.people.c
    asked = book_id(connection, person)
    key: int | None = connection.scalar(select(people.key).where(people.person_id == asked))
    if key is None:
        raise UnknownName("person", person, sorted(all_names(connection))[:20])
    return key


def names_of(connection: Connection) -> dict[str, str]:
    """Return everybody's name by id; those who share one are told apart by the start of their id.

    An id that was joined to another goes by the name of that.
    """
    names, joined = all_names(connection), joined_ids(connection)
    one_each = told_apart({who: name for who, name in names.items() if joined.get(who) not in names})
    return {who: one_each.get(joined.get(who, who), name) for who, name in names.items()}


def told_apart(names: Mapping[str, str]) -> dict[str, str]:
    """Return names that each stand for one person.

    Examples
    --------
    >>> told_apart({"p-1a2b3c4d": "Tam Ferris", "p-9f8e7d6c": "Tam Ferris", "p-0": "Ana Lind"})
    {'p-1a2b3c4d': 'Tam Ferris (p-1a2b3c)', 'p-9f8e7d6c': 'Tam Ferris (p-9f8e7d)', 'p-0': 'Ana Lind'}
    """
    times = Counter(names.values())
    return {who: f"{name} ({who[:8]})" if times[name] > 1 else name for who, name in names.items()}
