"""Where each person stands on each criterion, worked out by the one knowledge rule and kept, so a board is
quick.

A standing is no decision. It is worked out again for a person whenever new answers come in, and for all when
the rule, the exercises or the criteria change.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from datetime import date
from typing import Any, NamedTuple

from sqlalchemy import Connection, Text, cast, delete, func, insert, select, update

from kit.criteria.knowledge import TOO_MANY, Knowledge, Sure, Try, sure_on
from kit.exercises.catalogue import Catalogue
from kit.records.storage import schema
from kit.records.storage.store import Records

_BASIS = "standings"
_AT_ONCE = 200


class Practice(NamedTuple):
    """How far one person's practice has come on one criterion: unsupervised, so never a decision.

    The fields are those of ``Knowledge``. ``counted`` holds the keys of the lines of the book that count, as
    JSON: a board need not read them.
    """

    held_until: date | None
    notches: int
    days_right: int
    days_needed: int
    tries: int
    last_day: date | None
    still: int
    first_held: date | None
    lost_on: date | None
    counted: str = "[]"

    def sure_on(self, day: date) -> Sure:
        """Return in words how sure it is on a day."""
        return sure_on(day, self.held_until, self.first_held, self.tries)

    def held_on(self, day: date) -> bool:
        """Whether practice shows it on a day."""
        return self.held_until is not None and day <= self.held_until

    def says_on(self, day: date) -> str:
        """Return how sure it is on a day, in words, with what is still to do."""
        sure = self.sure_on(day)
        if sure == "quite sure":
            return sure
        since = self.lost_on if self.held_until is None else self.held_until
        shaky = f"{sure} since {since:%B %Y}" if sure == "shaky" and since is not None else sure
        if self.still >= TOO_MANY:
            return f"{shaky}: its exercises are too easily guessed, so ask aloud"
        days = max(self.days_needed - self.days_right, 1)
        more = f"about {max(self.still, 1)} more right, on {days} more {'day' if days == 1 else 'days'}"
        return f"{shaky}: {more}"


def practice_on_file(
    connection: Connection, people: Collection[str] | None = None, *, held: bool = False
) -> dict[str, dict[str, Practice]]:
    """Return how far these people, or all, are in practice, by id and criterion, as it was last kept.

    With ``held`` only what practice has shown.
    """
    s, person = schema.standings.c, schema.people.c
    counted = cast(s.counted, Text)  # as its text: reading thousands of lists takes long
    who = select(person.key, person.person_id)
    facts = [s[name] for name in Practice._fields[:-1]]
    query = select(s.person, s.criterion, *facts, counted)
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


def last_practice_days(connection: Connection) -> dict[str, date]:
    """Return for each person id the last day on which they answered anything."""
    s, person = schema.standings.c, schema.people.c
    query = select(person.person_id, func.max(s.last_day)).where(person.key == s.person)
    rows = connection.execute(query.group_by(person.person_id)).all()
    return {who: day for who, day in rows if day is not None}


def stuck_at(connection: Connection, tries: int, among: Collection[str]) -> dict[str, str]:
    """Return for each person id the criterion tried most, of those never shown in so many tries."""
    s, person = schema.standings.c, schema.people.c
    query = select(person.person_id, s.criterion).where(
        person.key == s.person, s.first_held.is_(None), s.tries >= tries, s.criterion.in_(among)
    )
    found: dict[str, str] = dict(connection.execute(query.order_by(s.tries)).all())  # the last is the most
    return found


def refresh(connection: Connection, people: Sequence[int], catalogue: Catalogue) -> None:
    """Work out the standings of these people (keys of ``people``) and replace what was kept."""
    standings = schema.standings
    connection.execute(delete(standings).where(standings.c.person.in_(people)))
    rows = standing_rows(tries_on_file(connection, people), catalogue)
    if rows:
        connection.execute(insert(standings), rows)


def standing_rows(tries: Mapping[int, Sequence[Try]], catalogue: Catalogue) -> list[dict[str, Any]]:
    """Return the rows of ``standings`` that follow from the first tries of people (keys of ``people``)."""
    return [
        _row(person, criterion, found)
        for person, each in tries.items()
        for criterion, found in catalogue.knowledge(each).items()
    ]


def keep_current(records: Records, catalogue: Catalogue) -> bool:
    """Work all standings out again if they rest on another basis than today's; say whether it was needed."""
    basis = schema.basis
    asked = select(basis.c.value).where(basis.c.name == _BASIS)
    with records.reading() as connection:
        if connection.scalar(asked) == catalogue.basis:
            return False
    with records.deriving() as connection:
        keys = list(connection.scalars(select(schema.people.c.key)))
        for start in range(0, len(keys), _AT_ONCE):
            refresh(connection, keys[start : start + _AT_ONCE], catalogue)
        if connection.scalar(asked) is None:
            connection.execute(insert(basis).values(name=_BASIS, value=catalogue.basis))
        else:
            connection.execute(update(basis).where(basis.c.name == _BASIS).values(value=catalogue.basis))
    return True


def tries_on_file(connection: Connection, people: Sequence[int]) -> dict[int, list[Try]]:
    """Return the first tries of people (keys of ``people``) as the rule of knowledge sees them."""
    tries, exercises = schema.first_tries, schema.exercises
    rows = connection.execute(
        select(
            tries.c.person,
            exercises.c.exercise_id,
            tries.c.variant,
            tries.c.at,
            tries.c.local_day,
            tries.c.right,
            tries.c.assisted,
            tries.c.entry,
        )
        .join_from(tries, exercises, exercises.c.key == tries.c.exercise)
        .where(tries.c.person.in_(people))
    ).all()
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
        "held_until": found.held_until,
        "first_held": found.first_held,
        "lost_on": found.lost_on,
        "still": found.still,
        "notches": found.notches,
        "evidence": found.evidence,
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
            for person, tries in tries_on_file(connection, keys[start : start + _AT_ONCE]).items():
                for criterion, found in catalogue.knowledge(tries).items():
                    yield ids[person], criterion, found
