"""Marking a whole site's history again after a change of the bank: every verdict that would change is shown.

Nothing is kept here. Answers come from the records, not from the books, so no book has to be at hand.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache, partial
from typing import Any

from sqlalchemy import select

from kit.basics.errors import KitError
from kit.basics.many_workers import Engine
from kit.basics.site_log import log_event
from kit.exercises.catalogue import Catalogue
from kit.files.joined_kitchen import RuleShelf
from kit.records.storage import schema
from kit.records.storage.store import Records

ANSWERS_EACH = 500
"""So many answers are one piece of work. [answers]"""
_Row = tuple[int, str, int, str, int, int, str, str, Any, float, str]


@dataclass(frozen=True)
class ChangedVerdict:
    """An answer that would be marked otherwise today. ``line`` counts as in the book: its first line is 1."""

    person: str
    line: int
    exercise: str
    was: str
    was_score: float
    now: str
    now_score: float


@dataclass(frozen=True)
class MarkedAgain:
    """What marking again found: how many answers were looked at, and what would change.

    ``not_drawn`` are answers whose question this kit does not draw any more: an exercise that is gone,
    another version, other rules. ``left`` were never marked: the tutor decides about them.
    """

    answers: int
    not_drawn: int
    left: int
    changed: tuple[ChangedVerdict, ...]


@dataclass(frozen=True)
class _Piece:
    answers: int
    not_drawn: int
    changed: tuple[ChangedVerdict, ...]


def mark_again(
    records: Records,
    *,
    engine: Engine | None = None,
    catalogue: Catalogue | None = None,
    shelf: RuleShelf | None = None,
    progress: Callable[[int], None] | None = None,
) -> MarkedAgain:
    """Mark every recorded answer again with today's bank, and return what would change. Nothing is written.

    Parameters
    ----------
    records : Records
        The open records.
    engine : Engine, optional
        Where answers are marked. Default: in this process.
    catalogue : Catalogue, optional
        Draws and marks in this process. Default, and with an engine always: the kit's own.
    shelf : RuleShelf, optional
        The rules that answers may have been given under. Default: those of this machine.
    progress : callable, optional
        Told after each piece how many answers are done.

    Raises
    ------
    WorkersLost, OtherKit
        If the engine fails. Nothing was changed: begin again.
    """
    shelf, marks = shelf or RuleShelf(), schema.marks.c
    if engine is None:
        bank = catalogue or Catalogue()
        pieces: Iterator[_Piece] = (_mark_rows(bank, shelf, rows) for rows in _pieces(records))
    else:
        pieces = engine.spread(partial(_mark_piece_of_rows, shelf), _pieces(records))
    answers, not_drawn, changed = 0, 0, list[ChangedVerdict]()
    for piece in pieces:
        answers += piece.answers
        not_drawn += piece.not_drawn
        changed += piece.changed
        if progress is not None:
            progress(answers)
    with records.reading() as connection:
        left = len(connection.scalars(select(marks.entry).where(marks.score.is_(None))).all())
    log_event("books marked again", answers=answers, changed=len(changed), not_drawn=not_drawn)
    return MarkedAgain(answers, not_drawn, left, tuple(changed))


def _pieces(records: Records) -> Iterator[list[_Row]]:
    """Yield every answer that was marked, in lots, the records' order kept."""
    lines, marks, people, exercises = schema.entries.c, schema.marks.c, schema.people.c, schema.exercises.c
    query = (
        select(
            lines.key, people.person_id, lines.position, exercises.exercise_id, lines.version, lines.seed,
            lines.profile, lines.fingerprint, lines.said, marks.score, marks.verdict,
        )
        .join_from(schema.entries, schema.marks, marks.entry == lines.key)
        .join(schema.people, people.key == lines.person)
        .join(schema.exercises, exercises.key == lines.exercise)
        .where(marks.score.is_not(None))
        .order_by(lines.key)
        .limit(ANSWERS_EACH)
    )  # fmt: skip
    after = 0
    while True:
        with records.reading() as connection:
            rows = [tuple(row) for row in connection.execute(query.where(lines.key > after)).all()]
        if not rows:
            return
        after = rows[-1][0]
        yield rows


@cache
def _bank() -> Catalogue:
    return Catalogue()


def _mark_piece_of_rows(shelf: RuleShelf, rows: list[_Row]) -> _Piece:
    return _mark_rows(_bank(), shelf, rows)


def _mark_rows(bank: Catalogue, shelf: RuleShelf, rows: list[_Row]) -> _Piece:
    not_drawn, changed = 0, []
    for _, person, position, exercise, version, seed, profile, fingerprint, said, score, verdict in rows:
        question = _question(bank, shelf, exercise, version, seed, profile, fingerprint)
        if question is None:
            not_drawn += 1
            continue
        now: str = "not markable"
        try:
            outcome = bank.mark(question, said)
            now, now_score = outcome.verdict, outcome.score
        except Exception:  # whatever an answer sets off, the others go on
            now_score = 0.0
        if now != verdict or abs(now_score - score) > 1e-9:
            one = ChangedVerdict(person, position + 1, exercise, verdict, score, now, now_score)
            changed.append(one)
    return _Piece(len(rows), not_drawn, tuple(changed))


def _question(
    bank: Catalogue, shelf: RuleShelf, exercise: str, version: int, seed: int, profile: str, fingerprint: str
) -> Any:
    """Return the question that was answered, or None if this kit does not draw it any more.

    The records keep no kitchen beside an answer: whichever rules draw the same question are its rules.
    """
    try:
        if bank.info(exercise).version != version:
            return None
        for rules in shelf.all_on(profile):
            question = bank.question(exercise, seed, rules)
            if bank.fingerprint(question) == fingerprint:
                return question
    except KitError:
        return None
    return None
