"""Seals: what an act of the chain says about rows that stand beside it, so that a change of them shows.

A book's lines, marks and flags, a person's names and the notes of upgrades are no acts themselves. So the act
"taken in" of each taking, and the act that takes somebody on, carry digests of them. What may be erased one
day is sealed under a random salt, kept with the person's words: when that is gone, the digest says nothing
more.
"""

import hashlib
import json
import secrets
from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import Any

from sqlalchemy import Connection, select

from kit.records.ledger import texts
from kit.records.storage import schema

_LINE = (
    "key",
    "person",
    "position",
    "hash",
    "what",
    "at",
    "local_day",
    "exercise",
    "version",
    "occasion",
    "seed",
    "profile",
    "fingerprint",
)
_MARK = ("score", "of", "verdict", "slip", "claimed_score", "claimed_verdict", "counts")
_TRY = ("person", "exercise", "variant", "position", "at", "local_day", "assisted")


def seal_of_taking(connection: Connection, person: str, taking: int, number: str = "") -> dict[str, Any]:
    """Return what the act "taken in" says: digests of all that one taking wrote, and the person's names.

    ``number`` is the kitchen's from here on, if it gives one.
    """
    salt = secrets.token_hex(16)
    (found,) = digests(connection, {taking: salt}).values()
    return {
        "taking": taking,
        **found,
        "salt": texts.keep(connection, salt, person),
        **seal_of_person(connection, person),
        **({"number": number} if number else {}),
    }


def seal_of_person(connection: Connection, person: str) -> dict[str, Any]:
    """Return what an act says of a person: since when they are on file, their new names, and the upgrades."""
    people = schema.people.c
    row = connection.execute(
        select(people.key, people.first_taken_at).where(people.person_id == person)
    ).one()
    sealed = set(connection.scalars(select(schema.words.c.text).where(schema.words.c.person == person)))
    new = [name for name in names_of(connection).get(person, ()) if name not in sealed]
    return {
        "since": [row.key, row.first_taken_at.isoformat()],
        "names": [texts.keep(connection, name, person) for name in new],
        "upgrades": upgrades_digest(connection),
        "basis": connection.scalar(select(schema.basis.c.value)) or "",
    }


def names_of(connection: Connection) -> dict[str, list[str]]:
    """Return every row of names as the text that is sealed, by the id of the person."""
    people, names = schema.people.c, schema.names.c
    query = select(people.person_id, *(column for column in names)).join_from(
        schema.names, schema.people, people.key == names.person
    )
    found: dict[str, list[str]] = defaultdict(list)
    for person, *row in connection.execute(query.order_by(names.key)):
        found[person].append(_text(row))
    return found


def upgrades_digest(connection: Connection) -> list[str]:
    """Return the number of the newest upgrade, and the digest of the notes of all."""
    rows = connection.execute(select(schema.upgrades).order_by(schema.upgrades.c.change)).all()
    told = "\n".join(_text(list(row)) for row in rows)
    return [max((row.change for row in rows), default=""), hashlib.sha256(told.encode()).hexdigest()]


def digests(connection: Connection, takings: Mapping[int, str] | None = None) -> dict[int, dict[str, str]]:
    """Return the digests of these takings, or of all, by key.

    Parameters
    ----------
    connection : Connection
        Inside a transaction.
    takings : mapping, optional
        The salt of each taking; without one the private part cannot be worked out, and is left empty.

    Returns
    -------
    dict
        ``open``: lines, marks and first tries, without what people wrote. ``closed``: what they wrote.
    """
    salts = dict(takings or {})
    only = list(salts) if takings is not None and len(salts) < 100 else None
    public: dict[int, Any] = defaultdict(hashlib.sha256)
    private: dict[int, Any] = defaultdict(hashlib.sha256)
    for taking, told, said in _rows(connection, only):
        public[taking].update(_text(told).encode() + b"\n")
        private[taking].update(_text(said).encode() + b"\n")
    return {
        taking: {"open": public[taking].hexdigest(), "closed": _salted(salts.get(taking), private[taking])}
        for taking in public
    }


def _salted(salt: str | None, found: Any) -> str:
    return "" if salt is None else hashlib.sha256(f"{salt}\n{found.hexdigest()}".encode()).hexdigest()


def _rows(connection: Connection, only: list[int] | None) -> Iterable[tuple[int, list[Any], Any]]:
    """Yield of each taking its own row, its lines with their marks and first tries, and its flags."""
    takings, entries, marks = schema.takings.c, schema.entries.c, schema.marks.c
    tries, flags, exercises = schema.first_tries.c, schema.flags.c, schema.exercises.c
    heads = select(schema.takings).order_by(takings.key)
    lines = (
        select(
            entries.taking,
            entries.said,
            *(entries[name] for name in _LINE),
            exercises.exercise_id,
            *(marks[name].label(f"mark_{name}") for name in _MARK),
            *(tries[name].label(f"try_{name}") for name in _TRY),
        )
        .join_from(schema.entries, schema.exercises, exercises.key == entries.exercise, isouter=True)
        .join(schema.marks, marks.entry == entries.key, isouter=True)
        .join(schema.first_tries, tries.entry == entries.key, isouter=True)
        .order_by(entries.taking, entries.position, tries.variant)
    )
    raised = select(schema.flags).order_by(flags.key)
    if only is not None:
        heads = heads.where(takings.key.in_(only))
        lines, raised = lines.where(entries.taking.in_(only)), raised.where(flags.taking.in_(only))
    for head in connection.execute(heads).all():
        yield (
            head.key,
            [head.person, head.taken_at, head.kit_version, head.first_position, head.entries],
            (head.file_name),
        )
    for taking, said, *told in connection.execute(lines).all():
        yield taking, told, said
    for flag in connection.execute(raised):
        yield flag.taking, [flag.key, flag.person, flag.position, flag.kind], flag.says


def _text(told: Any) -> str:
    """Return what a row holds as one text: the same for the same values, on every machine."""
    return _ENCODED(told)


def _plain(value: Any) -> Any:
    return value.isoformat() if hasattr(value, "isoformat") else repr(value)


_ENCODED = json.JSONEncoder(ensure_ascii=True, default=_plain).encode
