"""Erasing a person on request: name, words and evidence go; the chain, which holds opaque ids, stays whole.

What goes: every name, all words kept about them, what they wrote in their books, the text of flags, the names
of the files they handed in, and each file kept as evidence that refers to nobody else. What stays, under the
opaque id: that acts happened, when, by which id, marks and decisions, and hashes. What an erased tutor wrote
of a batch that went wrong stays too: it is about the fish.

Only this one file and the evidence beside it are erased. Backups and records moved aside at a restore still
hold the person until they are deleted; so does the person's own answer book. The disk may keep old copies of
deleted files for a while, out of any program's reach: keep records on an encrypted disk.
"""

from __future__ import annotations

import re
import sqlite3
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any

from dateutil.relativedelta import relativedelta
from sqlalchemy import Connection, and_, delete, func, null, select, update

from kit.basics.errors import BadData, OutOfRange, UnknownName
from kit.basics.typed_names import fold
from kit.basics.typed_text import LEAST_REASON
from kit.records.evidence.kept_files import disk_said_plainly, files_about, path_of
from kit.records.ledger import acts
from kit.records.ledger import texts as words
from kit.records.ledger.acts import Draft, NotAllowed
from kit.records.ledger.erased import erased_on
from kit.records.people.joining import why_joined
from kit.records.people.staff import Hand, all_names, check_may, roles_of, write
from kit.records.storage import schema
from kit.records.storage.postgres import is_server
from kit.records.storage.store import Records, said_plainly

RETENTION_YEARS = 3
"""How long records are kept after somebody left: ours, no source. The local rule counts. [years]"""
SERVER_KEEPS = (
    "PostgreSQL shows the erased words to nobody any more. Their bytes lie in its files until it writes over "
    "them, in its log, and in every backup and copy of the server made before. Who looks after the server "
    "runs VACUUM FULL, and says when old logs and backups go."
)
"""What a server keeps of erased words, for whoever asked to be erased."""
_SHORTEST_PART = 3


@dataclass(frozen=True)
class Erased:
    """What was erased. ``act`` is None if the person was erased before and only leftovers went now.

    ``still_named`` counts texts kept about other people or batches that still hold the name: nobody but a
    person can tell whether they mean the erased one. ``in_chain`` counts signed rows that hold it, such as in
    the label of a batch; those cannot be changed. ``bytes_gone`` is false if another program held the
    records open, so that old bytes may still lie in them: erase again later. On a server nobody can see that
    from here: it is false there, and ``server_keeps`` says what the server still holds and until when.
    """

    person: str
    act: acts.Act | None
    names: int
    texts: int
    lines: int
    files: int
    still_named: int
    in_chain: int
    bytes_gone: bool
    server_keeps: str = ""


def erase_person(
    hand: Hand, person: str, reason: str = "", *, retention_years: int = RETENTION_YEARS
) -> Erased:
    """Erase a person from the records and return what went. Doing it again finishes what was cut short.

    Parameters
    ----------
    hand : Hand
        A manager.
    person : str
        The id of the person.
    reason : str
        Why, if the retention time is not over. It must not name the person.
    retention_years : int
        How long records are kept after somebody left. [years]

    Raises
    ------
    NotAllowed
        If the hand is no manager, the person holds a role, or the retention time runs and there is no reason.
    UnknownName, BadData, OutOfRange
        If there is no such person, the reason names them, or the retention time is not from 0 to 100.
    RecordsBusy, DiskTrouble
        If the records cannot be written. Nothing is erased then.
    """
    with hand.records.writing() as connection:
        key, until = _check(connection, hand, person, reason, retention_years)
        facts = {
            "kept_until": None if until is None else until.isoformat(),
            "retention_years": retention_years,
        }
        done = _erase(connection, hand, person, key, reason, facts)
    return _finished(hand.records, done)


def erase_by_rule(hand: Hand, person: str, rule: int, years: int) -> Erased:
    """Erase a leaver whose time is over by the rule of an act; the erasing act names it. See ``retention``.

    Parameters
    ----------
    hand : Hand
        Whoever signed the rule. No key is opened.
    person : str
        The id of the leaver.
    rule : int
        The number of the act that set the rule.
    years : int
        What it says. [years]

    Raises
    ------
    NotAllowed
        If the person does not run out by that rule, or is joined to another id.
    RecordsBusy, DiskTrouble
        If the records cannot be written. Nothing is erased then.
    """
    with hand.records.writing() as connection:
        key = _key_of(connection, person)
        facts = {"kept_until": None, "retention_years": years, "rule": rule}
        done = _erase(connection, hand, person, key, "", facts)
    return _finished(hand.records, done)


@dataclass(frozen=True)
class _ErasedRows:
    """What went from the rows, and which files are to go."""

    person: str
    act: acts.Act | None
    names: int
    counts: dict[str, int]
    files: set[str]
    newly: int
    named: tuple[int, int]


def _erase(
    connection: Connection, hand: Hand, person: str, key: int, reason: str, facts: dict[str, Any]
) -> _ErasedRows:
    if not is_server(connection):
        connection.exec_driver_sql("PRAGMA secure_delete = ON")  # erased bytes are overwritten with zeros
    before, names = erased_on(connection, person), _names(connection, key)
    files = _only_theirs(connection, person)
    counts = _erase_rows(connection, person, key)
    now = hand.clock()
    newly = _mark_files(connection, files, now)
    act = None
    if before is None:
        facts |= {
            "reason": words.keep(connection, reason, hand.person),
            "files": sorted(files),
            "files_at": now.astimezone(UTC).isoformat(),
        }
        act = write(connection, hand, Draft("erased", hand.person, person, facts=facts))
    return _ErasedRows(person, act, len(names), counts, files, newly, _still_named(connection, names))


def _finished(records: Records, done: _ErasedRows) -> Erased:
    """Delete the files once the rows are gone for good, and sweep."""
    _unlink(records, done.files)
    swept = _sweep(records)
    named, fixed = done.named
    return Erased(
        done.person,
        done.act,
        done.names,
        **done.counts,
        files=done.newly,
        still_named=named,
        in_chain=fixed,
        bytes_gone=swept,
        server_keeps=SERVER_KEEPS if records.address else "",
    )


def check_erasing(
    hand: Hand, person: str, reason: str = "", *, retention_years: int = RETENTION_YEARS
) -> None:
    """Raise what ``erase_person`` would raise, before a password is asked for. Nothing is erased."""
    with hand.records.reading() as connection:
        _check(connection, hand, person, reason, retention_years)


def _check(
    connection: Connection, hand: Hand, person: str, reason: str, years: int
) -> tuple[int, date | None]:
    """Return the key in ``people`` and the end of the retention time, if the person may be erased."""
    if not 0 <= years <= 100:
        raise OutOfRange("the retention time", years, "from 0 to 100 years")
    check_may(connection, hand, "erased")
    key = _key_of(connection, person)
    gone = erased_on(connection, person)
    until = None if gone else _check_time(connection, hand, person, key, reason, years)
    _check_reason(reason, person, _names(connection, key))
    return key, until


def _key_of(connection: Connection, person: str) -> int:
    """Return the key in ``people`` of somebody who can be erased by themself."""
    key: int | None = connection.scalar(
        select(schema.people.c.key).where(schema.people.c.person_id == person)
    )
    if key is None:
        raise UnknownName("person", person, sorted(all_names(connection))[:20])
    told = why_joined(connection, person)
    if told:
        raise NotAllowed(f"{told[0].upper()}{told[1:]}. Part them first, then erase each of the two.")
    return key


def _check_time(
    connection: Connection, hand: Hand, person: str, key: int, reason: str, years: int
) -> date | None:
    """Return until when the records would be kept, if that time is not over; refuse what must be refused."""
    held = roles_of(connection, person)
    if held:
        raise NotAllowed(
            f"{person} is {' and '.join(sorted(held))} now. Record first that they left: "
            "`smokehouse staff leave`."
        )
    left = _left_on(connection, person, key)
    until = left + relativedelta(years=years)
    if hand.today() >= until:
        return None
    if len(reason.strip()) < LEAST_REASON:
        raise NotAllowed(
            f"{person} was last here on {left.isoformat()}; records are kept until {until.isoformat()} "
            f"({years} years: the kit's own figure; the local rule counts). To erase sooner, give a reason."
        )
    return until


def _left_on(connection: Connection, person: str, key: int) -> date:
    """Return the day the last role ended or the last book was taken in, whichever is later."""
    roles, takings, people = schema.roles.c, schema.takings.c, schema.people.c
    moments = (
        connection.scalar(select(func.max(roles.until)).where(roles.person == person)),
        connection.scalar(select(func.max(takings.taken_at)).where(takings.person == key)),
        connection.scalar(select(people.first_taken_at).where(people.key == key)),
    )
    latest: datetime = max(moment for moment in moments if moment is not None)
    return latest.astimezone().date()


def _names(connection: Connection, key: int) -> list[str]:
    names = schema.names.c
    return list(connection.scalars(select(names.folded).where(names.person == key)))


def _check_reason(reason: str, person: str, names: list[str]) -> None:
    said = fold(reason)
    parts = {part for name in names for part in name.split() if len(part) >= _SHORTEST_PART}
    told = [each for each in (person, *names, *parts) if re.search(rf"\b{re.escape(each)}\b", said)]
    if told:
        raise BadData("the reason", "it names the person who is to be erased", "a reason without name or id")


def _only_theirs(connection: Connection, person: str) -> set[str]:
    about = files_about(connection)
    theirs = about.pop(person, set())
    return theirs.difference(*about.values())


def _erase_rows(connection: Connection, person: str, key: int) -> dict[str, int]:
    """Erase names, words and the private part of books; return how many texts and lines went."""
    entries, flags, takings, names = schema.entries, schema.flags, schema.takings, schema.names
    texts = _erase_words(connection, person)
    connection.execute(delete(names).where(names.c.person == key))
    written = and_(entries.c.person == key, entries.c.said.is_not(None))
    lines = connection.execute(update(entries).where(written).values(said=null())).rowcount
    connection.execute(update(flags).where(flags.c.person == key).values(says=words.ERASED))
    connection.execute(update(takings).where(takings.c.person == key).values(file_name=words.ERASED))
    return {"texts": texts, "lines": lines}


def _erase_words(connection: Connection, person: str) -> int:
    """Erase the words about a person. What they wrote of a batch as a tutor stays: it is about the fish."""
    about_others = [
        mark
        for act in acts.read(connection)
        if act.by == person and act.kind in ("corrected", "erased")
        for mark in (act.facts.get("happened"), act.facts.get("action"), act.facts.get("reason"))
        if mark
    ]
    kept = schema.words.c
    marks = connection.scalars(select(kept.mark).where(kept.person == person)).all()
    gone = sorted(set(marks).difference(about_others))
    for mark in gone:
        connection.execute(delete(schema.words).where(kept.mark == mark))
    return len(gone)


def _mark_files(connection: Connection, files: set[str], now: datetime) -> int:
    kept, count = schema.files, 0
    for sha in sorted(files):
        count += connection.execute(
            update(kept).where(kept.c.sha256 == sha, kept.c.erased_at.is_(None)).values(erased_at=now)
        ).rowcount
    return count


def _unlink(records: Records, files: set[str]) -> None:
    """Delete erased files under the write lock, so that nobody attaches the same one in between."""
    kept = schema.files.c
    with records.writing() as connection:
        for sha in sorted(files):
            if connection.scalar(select(kept.erased_at).where(kept.sha256 == sha)) is None:
                continue
            with disk_said_plainly(path_of(records, sha)), suppress(FileNotFoundError):
                path_of(records, sha).unlink()


def _still_named(connection: Connection, names: list[str]) -> tuple[int, int]:
    """Count texts about others, and rows of the chain, that hold one of the names."""
    if not names:
        return 0, 0
    table = schema.acts.c
    texts = connection.scalars(select(schema.words.c.text))
    rows = connection.execute(select(table.batch, table.facts))
    return (
        sum(_holds(text, names) for text in texts),
        sum(_holds(f"{row.batch or ''} {row.facts}", names) for row in rows),
    )


def _holds(text: str, names: list[str]) -> bool:
    folded = fold(text)
    return any(name in folded for name in names)


def _sweep(records: Records) -> bool:
    """Write the file anew without what was erased, and empty the write-ahead log; say whether it worked.

    Every free page is dropped and the log is cut to nothing. Another program that is reading keeps the log
    alive: then this says no, and erasing again later finishes it. A server does this in its own time: no.
    """
    if records.address:
        return False
    with said_plainly(records.where), records.engine.connect() as connection:
        raw: Any = connection.connection.driver_connection
        connection.rollback()
        try:
            raw.execute("PRAGMA secure_delete = ON")
            raw.execute("VACUUM")
            (busy, _, _) = raw.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
        except sqlite3.OperationalError:
            return False
    return not busy
