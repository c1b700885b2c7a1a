"""What waits for a tutor's eye, and what the tutor found: flags from taking in, disputed marks, explanations.

Each look is an act of the chain. A mark itself is never changed; a ruling that it was wrong counts the try
as right, and says so.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from datetime import datetime
from typing import Any, NamedTuple

from sqlalchemy import Connection, Row, func, select, update

from kit.basics.errors import BadData, OutOfRange, UnknownName
from kit.basics.typed_text import LEAST_REASON
from kit.records.competence.disputes import looked_at
from kit.records.competence.standings import refresh
from kit.records.intake.review_queue import Waiting, waiting
from kit.records.ledger import texts
from kit.records.ledger.acts import Act, Draft, NotAllowed
from kit.records.people.staff import Hand, write
from kit.records.storage import schema
from kit.records.storage.store import Records

OUTCOMES: dict[str, tuple[str, ...]] = {
    "flag": ("nothing wrong", "talked about", "not to be counted on"),
    "dispute": ("mark stands", "mark was wrong"),
    "explanation": ("shows it", "not yet"),
}


class Tally(NamedTuple):
    """What was taken in of one person, and what of it waits for a tutor's look."""

    answers: int
    flags: int
    disputes: int
    explanations: int
    last_taken_at: datetime | None


_SORT_OF = {"dispute": "dispute", "explained": "explanation"}


def look_at(hand: Hand, person: str, sort: str, line: int, outcome: str, reason: str, kind: str = "") -> Act:
    """Record what a tutor found on looking at something that waited, signed.

    Parameters
    ----------
    hand : Hand
        The tutor, with an opened key.
    person : str
        Whose book it is in.
    sort : str
        ``flag``, ``dispute`` or ``explanation``.
    line : int
        The line of the book; 0 for a flag on the whole book.
    outcome : str
        What was found: see ``OUTCOMES``.
    reason : str
        In words.
    kind : str
        The kind of flag, where it is one.

    Raises
    ------
    UnknownName, OutOfRange
        If the sort or the outcome is unknown, or there is no reason.
    BadData
        If nothing of that sort waits on that line.
    NotAllowed
        If it is the tutor's own book.
    """
    if sort not in OUTCOMES:
        raise UnknownName("sort of matter", sort, OUTCOMES)
    if outcome not in OUTCOMES[sort]:
        raise UnknownName("outcome", outcome, OUTCOMES[sort])
    if len(reason.strip()) < LEAST_REASON:
        raise OutOfRange("the reason", repr(reason), "a few words")
    if person == hand.person:
        raise NotAllowed("Nobody judges their own book: another tutor must.")
    with hand.records.writing() as connection:
        entry = _waits(connection, person, sort, line, kind)
        facts = {
            "sort": sort,
            "line": line,
            "flag": kind,
            "entry": "" if entry is None else entry.hash,
            "outcome": outcome,
            "reason": texts.keep(connection, reason, person),
        }
        act = write(connection, hand, Draft("looked at", hand.person, person, facts=facts))
        if outcome == "mark was wrong" and entry is not None:
            _count_as_right(connection, hand, entry)
        return act


def open_matters(records: Records, person: str | None = None, limit: int = 500) -> tuple[Waiting, ...]:
    """Return what waits and nobody has looked at yet, of one person (by id) or of all."""
    with records.reading() as connection:
        done = looked_at(connection)
    found = waiting(records, person, limit + len(done))
    return tuple(one for one in found if (one.who, one.sort, one.line, _kind(one)) not in done)[: 3 * limit]


def tallies(connection: Connection, person: str | None = None) -> dict[str, Tally]:
    """Return what was taken in of one person, or of everybody, and how much of it waits for a look, by id."""
    people, entries, flags, takings = schema.people.c, schema.entries.c, schema.flags.c, schema.takings.c
    who = select(people.key, people.person_id)
    counted = select(entries.person, entries.what, func.count()).group_by(entries.what, entries.person)
    flagged = select(flags.person, func.count()).group_by(flags.person)
    last = select(takings.person, takings.taken_at).order_by(takings.key)
    if person is not None:
        who = who.where(people.person_id == person)
        key = select(people.key).where(people.person_id == person).scalar_subquery()
        counted, flagged = counted.where(entries.person == key), flagged.where(flags.person == key)
        last = last.where(takings.person == key)
    kinds: dict[int, dict[str, int]] = defaultdict(dict)
    for number, what, count in connection.execute(counted):
        kinds[number][what] = count
    flag_count = dict(map(tuple, connection.execute(flagged)))
    taken = dict(map(tuple, connection.execute(last)))
    looked = Counter((who, sort) for who, sort, _, _ in looked_at(connection))
    return {
        one: Tally(
            kinds[key].get("attempt", 0),
            max(0, flag_count.get(key, 0) - looked[one, "flag"]),
            max(0, kinds[key].get("dispute", 0) - looked[one, "dispute"]),
            max(0, kinds[key].get("explained", 0) - looked[one, "explanation"]),
            taken.get(key),
        )
        for key, one in connection.execute(who)
    }


def _kind(one: Waiting) -> str:
    return one.exercise if one.sort == "flag" else ""  # a flag carries its kind where others name an exercise


def _waits(connection: Connection, person: str, sort: str, line: int, kind: str) -> Row[Any] | None:
    people, entries, flags = schema.people.c, schema.entries.c, schema.flags.c
    key = connection.scalar(select(people.key).where(people.person_id == person))
    where = f"line {line} of the book of {person}"
    if key is None:
        raise BadData(where, "there is no such book here")
    if (person, sort, line, kind) in looked_at(connection):
        raise BadData(where, "somebody has looked at this already")
    entry = connection.execute(
        select(schema.entries).where(entries.person == key, entries.position == line - 1)
    ).one_or_none()
    if sort == "flag":
        place = flags.position.is_(None) if line == 0 else flags.position == line
        there = connection.scalar(
            select(flags.key).where(flags.person == key, place, flags.kind == kind).limit(1)
        )
        if there is None:
            raise BadData(where, f"there is no flag {kind!r}")
        return entry
    if entry is None or _SORT_OF.get(entry.what) != sort:
        raise BadData(where, f"no {sort} waits there")
    return entry


def _count_as_right(connection: Connection, hand: Hand, dispute: Row[Any]) -> None:
    """Count the first try at the disputed variant as right, if it is the answer that was disputed."""
    tries, entries = schema.first_tries, schema.entries.c
    same = (entries.person == dispute.person) & (entries.exercise == dispute.exercise)
    disputed = connection.scalar(
        select(entries.key)
        .where(same, entries.fingerprint == dispute.fingerprint, entries.what == "attempt")
        .where(entries.position < dispute.position)
        .order_by(entries.position.desc())
        .limit(1)
    )
    counted = connection.execute(update(tries).where(tries.c.entry == disputed).values(right=True)).rowcount
    if counted:
        refresh(connection, [dispute.person], hand.catalogue)
