"""The lines of an answer book as evidence: what each first try did for a criterion, in words."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from sqlalchemy import Connection, func, select

from kit.exercises.catalogue import Catalogue
from kit.records.ledger.joins import together
from kit.records.storage import schema


@dataclass(frozen=True)
class Evidence:
    """One first try at a variant: when, what, how it went, and what it does for the criterion."""

    day: date
    exercise: str
    line: int
    score: float
    of: float
    verdict: str
    slip: str
    role: str


@dataclass(frozen=True)
class BookLine:
    """A line of an answer book that a decision rests on."""

    line: int
    day: date | None
    exercise: str


@dataclass(frozen=True)
class PracticeDay:
    """What was tried first on one day: how many right, how many not."""

    day: date
    right: int
    tried: int


@dataclass(frozen=True)
class SlipAgain:
    """A slip made at least twice: in which exercise, how often, and when last."""

    exercise: str
    slip: str
    times: int
    last: date


SLIP_TWICE = 2


def evidence_of(connection: Connection, person: int, catalogue: Catalogue) -> dict[str, list[Evidence]]:
    """Return a person's first tries by criterion, oldest first, and what each does for it."""
    tries, marks, exercises = schema.first_tries.c, schema.marks.c, schema.exercises.c
    rows = connection.execute(
        select(
            tries.entry,
            tries.local_day,
            exercises.exercise_id,
            tries.position,
            tries.right,
            tries.assisted,
            marks.score,
            marks.of,
            marks.verdict,
            marks.slip,
        )
        .join_from(schema.first_tries, schema.marks, marks.entry == tries.entry)
        .join(schema.exercises, exercises.key == tries.exercise)
        .where(tries.person == person)
        .order_by(tries.at)
    ).all()
    standings = schema.standings.c
    counted = {
        row.criterion: set(row.counted)
        for row in connection.execute(
            select(standings.criterion, standings.counted).where(standings.person == person)
        )
    }
    found: dict[str, list[Evidence]] = defaultdict(list)
    for row in rows:
        for criterion in catalogue.evidence.get(row.exercise_id, ()):
            role = _role(row.entry in counted.get(criterion, ()), row.right, row.assisted)
            if criterion in catalogue.criteria and catalogue.criteria[criterion].kind == "performance":
                role = "prepares"
            found[criterion].append(
                Evidence(
                    row.local_day,
                    row.exercise_id,
                    row.position + 1,
                    row.score,
                    row.of,
                    row.verdict,
                    row.slip,
                    role,
                )
            )
    return found


def _role(counted: bool, right: bool, helped: bool) -> str:
    if counted:
        return "counts"
    if not right:
        return "missed"
    return "with help" if helped else "asked before"


def hashes_of(connection: Connection, lines: Iterable[int]) -> list[str]:
    """Return the hashes of lines of a book, given as keys of ``entries``, in the order of the book."""
    entries = schema.entries.c
    wanted = select(entries.hash).where(entries.key.in_(tuple(lines))).order_by(entries.key)
    return list(connection.scalars(wanted))


def profiles_of(connection: Connection, person: str | None = None) -> tuple[str, ...]:
    """Return the rule profiles under which a person, or anybody, gave answers."""
    entries, people = schema.entries.c, schema.people.c
    query = select(entries.profile).distinct().where(entries.profile.is_not(None))
    if person is not None:
        query = query.join_from(schema.entries, schema.people, people.key == entries.person)
        query = query.where(people.person_id.in_(together(connection, person)))
    return tuple(sorted(name for name in connection.scalars(query) if name))


def lines_of(connection: Connection, person: str) -> dict[str, BookLine]:
    """Return the lines of a person's book that answer an exercise, by hash."""
    entries, people, exercises = schema.entries.c, schema.people.c, schema.exercises.c
    rows = connection.execute(
        select(entries.hash, entries.position, entries.local_day, exercises.exercise_id)
        .join_from(schema.entries, schema.people, people.key == entries.person)
        .join(schema.exercises, exercises.key == entries.exercise)
        .where(people.person_id.in_(together(connection, person)))
    )
    return {row.hash: BookLine(row.position + 1, row.local_day, row.exercise_id) for row in rows}


def days_of(connection: Connection, person: int) -> tuple[PracticeDay, ...]:
    """Return what a person (a key of ``people``) tried first on each day."""
    tries = schema.first_tries.c
    found: dict[date, list[bool]] = defaultdict(list)
    for day, right in connection.execute(
        select(tries.local_day, tries.right).where(tries.person == person).order_by(tries.local_day)
    ):
        found[day].append(right)
    return tuple(PracticeDay(day, sum(rights), len(rights)) for day, rights in found.items())


def slips_of(connection: Connection, person: int) -> tuple[SlipAgain, ...]:
    """Return the slips that a person (a key of ``people``) made more than once, the most frequent first."""
    entries, marks, exercises = schema.entries.c, schema.marks.c, schema.exercises.c
    times = func.count()
    rows = connection.execute(
        select(exercises.exercise_id, marks.slip, times, func.max(entries.local_day))
        .join_from(schema.entries, schema.marks, marks.entry == entries.key)
        .join(schema.exercises, exercises.key == entries.exercise)
        .where(entries.person == person, marks.slip != "")
        .group_by(exercises.exercise_id, marks.slip)
        .having(times >= SLIP_TWICE)
        .order_by(times.desc(), exercises.exercise_id)
    )
    return tuple(SlipAgain(*row) for row in rows)
