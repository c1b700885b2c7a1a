"""Every attempt as it was marked here, oldest first within a book, without loading all of them at once."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime
from typing import Any, NamedTuple

from sqlalchemy import select

from kit.records.storage import schema
from kit.records.storage.store import Records

_AT_ONCE = 5_000


class MarkedAttempt(NamedTuple):
    """One answer with the mark it got here. ``right_first_time`` is None where it was no first try."""

    person: str
    line: int
    at: datetime
    day: date
    exercise: str
    version: int
    occasion: int
    profile: str
    score: float | None
    of: float | None
    verdict: str
    slip: str
    counts: bool
    right_first_time: bool | None
    with_help: bool | None


def marked_attempts(records: Records) -> Iterator[MarkedAttempt]:
    """Yield every attempt of every book, person by person. ``person`` is the id."""
    people, entries, exercises = schema.people.c, schema.entries.c, schema.exercises.c
    marks, tries = schema.marks.c, schema.first_tries.c
    query = (
        select(
            people.person_id,
            entries.position + 1,
            entries.at,
            entries.local_day,
            exercises.exercise_id,
            entries.version,
            entries.occasion,
            entries.profile,
            marks.score,
            marks.of,
            marks.verdict,
            marks.slip,
            marks.counts,
            tries.right & ~tries.assisted,
            tries.assisted,
        )
        .join_from(schema.entries, schema.people, people.key == entries.person)
        .join(schema.marks, marks.entry == entries.key)
        .join(schema.exercises, exercises.key == entries.exercise)
        .outerjoin(schema.first_tries, tries.entry == entries.key)
        .order_by(entries.person, entries.position)
        .execution_options(yield_per=_AT_ONCE)
    )
    with records.reading() as connection:
        for row in connection.execute(query):
            yield MarkedAttempt._make(row)


class UnnamedAnswer(NamedTuple):
    """A wrong answer that showed no known slip, as it was given."""

    exercise: str
    person: str
    seed: int
    profile: str
    answer: Any


def unnamed_answers(records: Records) -> Iterator[UnnamedAnswer]:
    """Yield every wrong answer without a slip, as its mark stands here, book by book."""
    people, entries, exercises = schema.people.c, schema.entries.c, schema.exercises.c
    query = (
        select(exercises.exercise_id, people.person_id, entries.seed, entries.profile, entries.said)
        .join_from(schema.entries, schema.people, people.key == entries.person)
        .join(schema.marks, schema.marks.c.entry == entries.key)
        .join(schema.exercises, exercises.key == entries.exercise)
        .where(schema.marks.c.verdict.in_(["not yet", "partly"]), schema.marks.c.slip == "")
        .order_by(entries.person, entries.position)
        .execution_options(yield_per=_AT_ONCE)
    )
    with records.reading() as connection:
        for row in connection.execute(query):
            yield UnnamedAnswer._make(row)
