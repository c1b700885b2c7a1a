"""Behind a disputed mark or an explanation: the question, drawn again, and the answers given to it.

A tutor who looks into a mark needs to see what was asked, what was answered and what the kit takes for right.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Row, select

from kit.basics.errors import KitError
from kit.exercises.catalogue import Catalogue
from kit.files.joined_kitchen import RuleShelf
from kit.marking.model import Question
from kit.records.storage import schema
from kit.records.storage.store import Records

OTHER_VERSION = (
    "This kit draws another question by now, so it cannot be shown. Ask the apprentice for the book."
)


@dataclass(frozen=True)
class Answer:
    """One answer to the question: its line in the book, as it was read, and how it was marked."""

    line: int
    said: str
    verdict: str
    slip: str


@dataclass(frozen=True)
class Matter:
    """The question behind a line of a book; ``right`` and ``worked`` are empty where a tutor marks."""

    question: str
    answers: tuple[Answer, ...] = ()
    right: str = ""
    worked: str = ""


def matter(
    records: Records, person: str, line: int, catalogue: Catalogue, shelf: RuleShelf | None = None
) -> Matter:
    """Return the question behind a line, and what was answered before it.

    Parameters
    ----------
    records : Records
        The open records.
    person : str
        Whose book it is.
    line : int
        The line of the dispute or the explanation.
    catalogue : Catalogue
        What draws and marks the question again.
    """
    with records.reading() as connection:
        row = _line(connection, person, line)
        if row is None:
            return Matter(OTHER_VERSION)
        tries = _tries(connection, row)
    question = _question(row, catalogue, shelf or RuleShelf())
    if question is None:
        return Matter(OTHER_VERSION)
    answers = tuple(
        Answer(one.position + 1, _read(catalogue, question, one.said), one.verdict, one.slip) for one in tries
    )
    right = "" if row.what == "explained" else _read(catalogue, question, question.answer)
    return Matter(question.text, answers, right, question.worked if right else "")


def _question(row: Row[Any], catalogue: Catalogue, shelf: RuleShelf) -> Question | None:
    """Return the question that was answered: under the profile, or under a kitchen's rules on top of it."""
    with suppress(KitError):
        for rules in shelf.all_on(row.profile):
            question = catalogue.question(row.exercise_id, row.seed, rules)
            if catalogue.fingerprint(question) == row.fingerprint:
                return question
    return None


def _line(connection: Connection, person: str, line: int) -> Row[Any] | None:
    entries, people, exercises = schema.entries.c, schema.people.c, schema.exercises.c
    return connection.execute(
        select(schema.entries, exercises.exercise_id)
        .join_from(schema.entries, schema.people, people.key == entries.person)
        .join(schema.exercises, exercises.key == entries.exercise)
        .where(people.person_id == person, entries.position == line - 1)
    ).one_or_none()


def _tries(connection: Connection, row: Row[Any]) -> list[Row[Any]]:
    entries, marks = schema.entries.c, schema.marks.c
    same = (entries.person == row.person) & (entries.exercise == row.exercise)
    return list(
        connection.execute(
            select(entries.position, entries.said, marks.verdict, marks.slip)
            .join_from(schema.entries, schema.marks, marks.entry == entries.key)
            .where(same, entries.fingerprint == row.fingerprint, entries.position < row.position)
            .where(entries.what == "attempt")
            .order_by(entries.position)
        )
    )


def _read(catalogue: Catalogue, question: Question, raw: Any) -> str:
    """Return an answer as the kit reads it, or as it was typed where it cannot be read."""
    return catalogue.mark(question, raw).read_as or str(raw)
