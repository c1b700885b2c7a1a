"""Every attempt as it was marked here, oldest first within a book, without loading all of them at once."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime
from typing import NamedTuple

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
