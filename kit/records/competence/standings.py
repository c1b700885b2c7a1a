"""Where each person stands on each criterion, worked out by the one knowledge rule and kept, so a board is
quick.

A standing is no decision. It is worked out again for a person whenever new answers come in, and for all when
the rule, the exercises or the criteria change.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from datetime import date
from typing import Any, NamedTuple

from sqlalchemy import Connection, String, delete, insert, select, type_coerce, update

from kit.criteria.knowledge import Knowledge, Try, knowledge
from kit.exercises.catalogue import Catalogue
from kit.records.storage import schema
from kit.records.storage.store import Records

_BASIS = "standings"
_AT_ONCE = 200


class Practice(NamedTuple):
    """How far one person's practice has come on one criterion: unsupervised, so never a decision.

    ``counted`` holds the keys of the lines of the book that count, as JSON: a board need not read them.
    """

    held: bool
    days_right: int
    days_needed: int
    tries: int
    last_day: date | None
    counted: str


def practice_on_file(
    connection: Connection, people: Collection[str] | None = None, *, held: bool = False
) -> dict[str, dict[str, Practice]]:
    """Return how far these people, or all, are in practice, by id and criterion, as it was last kept.

    With ``held`` only what practice has shown.
    """
    s, person = schema.standings.c, schema.people.c
    counted = type_coerce(s.counted, String)
    who = select(person.key, person.person_id)
    query = select(s.person, s.criterion, s.held, s.days_right, s.days_needed, s.tries, s.last_day, counted)
    if people is not None:
        who = who.where(person.person_id.in_(people))
        query = query.where(s.person.in_(select(person.key).where(person.person_id.in_(people))))
    if held:
        query = query.where(s.held.is_(True))
    ids: dict[int, str] = dict(connection.execute(who).all())
    found: dict[str, dict[str, Practice]] = {one: {} for one in ids.values()}
    for key, criterion, *facts in connection.execute(query).all():
        found[ids[key]][criterion] = Practice._make(facts)
    return found


def refresh(connection: Connection, people: Sequence[int], catalogue: Catalogue) -> None:
    """Work out the standings of these people (keys of ``people``) and replace what was kept."""
    standings = schema.standings
    connection.execute(delete(standings).where(standings.c.person.in_(people)))
    rows = []
    for person, tries in _tries(connection, people).items():
        for criterion, found in standing_of(tries, catalogue).items():
            rows.append(_row(person, criterion, found))
    if rows:
        connection.execute(insert(standings), rows)


def standing_of(tries: Iterable[Try], catalogue: Catalogue) -> dict[str, Knowledge]:
    """Return what these tries show for each criterion they touch. All are one person's."""
    sorted_out: dict[str, list[Try]] = defaultdict(list)
    for one in tries:
        for criterion in catalogue.evidence.get(one.exercise, ()):
            sorted_out[criterion].append(one)
    found = {}
    for criterion, about in sorted_out.items():
        known = catalogue.criteria.get(criterion)
        if known is not None:
            found[criterion] = knowledge(about, safety_critical=known.safety_critical)
    return found


def keep_current(records: Records, catalogue: Catalogue) -> bool:
    """Work all standings out again if they rest on another basis than today's; say whether it was needed."""
    basis = schema.basis
    asked = select(basis.c.value).where(basis.c.name == _BASIS)
    with records.reading() as connection:
        if connection.scalar(asked) == catalogue.basis:
            return False
    with records.writing() as connection:
        keys = list(connection.scalars(select(schema.people.c.key)))
        for start in range(0, len(keys), _AT_ONCE):
            refresh(connection, keys[start : start + _AT_ONCE], catalogue)
        if connection.scalar(asked) is None:
            connection.execute(insert(basis).values(name=_BASIS, value=catalogue.basis))
        else:
            connection.execute(update(basis).where(basis.c.name == _BASIS).values(value=catalogue.basis))
    return True


def _tries(connection: Connection, people: Sequence[int]) -> dict[int, list[Try]]:
    tries, exercises = schema.first_tries, schema.exercises
    rows = connection.execute(
        select(
            tries.c.person,
            exercises.c.exercise_id,
            tries.c.fingerprint,
            tries.c.at,
            tries.c.local_day,
            tries.c.right,
            tries.c.assisted,
            tries.c.entry,
        )
        .join_from(tries, exercises, exercises.c.key == tries.c.exercise)
        .where(tries.c.person.in_(people))
    )
    found: dict[int, list[Try]] = defaultdict(list)
    for person, *facts in rows:
        found[person].append(Try(*facts))
    return found


def _row(person: int, criterion: str, found: Knowledge) -> dict[str, Any]:
    return {
        "person": person,
        "criterion": criterion,
        "held": found.held,
        "days_right": found.days_right,
        "days_needed": found.days_needed,
        "tries": found.first_tries,
        "last_day": found.last_day,
        "counted": list(found.counted),
        "missed": list(found.missed),
    }


def practice_of(records: Records, catalogue: Catalogue) -> Iterator[tuple[str, str, Knowledge]]:
    """Yield person id, criterion and what practice shows, for everybody who tried anything."""
    people = schema.people.c
    with records.reading() as connection:
        ids: dict[int, str] = dict(
            connection.execute(select(people.key, people.person_id).order_by(people.key)).all()
        )
        keys = list(ids)
        for start in range(0, len(keys), _AT_ONCE):
            for person, tries in _tries(connection, keys[start : start + _AT_ONCE]).items():
                for criterion, found in standing_of(tries, catalogue).items():
                    yield ids[person], criterion, found
