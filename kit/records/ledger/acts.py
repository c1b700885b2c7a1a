"""The chain of acts: everything people do and decide at the tutor's desk, one row after the other.

A row is never changed and never deleted; triggers of the database stop accidents. Each row holds the hash of
the row before it, so the last hash, printed on reports, stands for the whole chain: a file that was written
anew cannot show the same one. Decisions are also signed with the key of the person who made them.

The chain finds damage, careless edits and a file rewritten after a report was printed. It does not stop
somebody who holds the signing keys and all their passwords.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from json.encoder import encode_basestring
from typing import Any, Protocol

from sqlalchemy import Connection, Row, func, insert, select

from kit.basics.errors import BadData, KitError
from kit.files import signing
from kit.records.storage import schema

CLOCK_SLACK = timedelta(minutes=2)
CLOCK_LEAP = timedelta(days=366)
"""A clock further ahead of the last act than this is doubted before anything is written; ours."""
CLOCK_CORRECTED = "clock corrected"
"""The kind of act by which a manager says that the clock is right now, whatever times stand before it."""
_A_CODE = re.compile(r"[0-9a-f]{24,64}")
TAKEN_IN = "taken in"
"""The kind of act that seals the taking in of a book: a note of the machine, whose clock locks nobody out."""
SIGNED = frozenset(
    {
        "observed",
        "decided",
        "brought in",
        "second",
        "settled",
        "looked at",
        "consented",
        "certificate given",
        "certificate revoked",
        "paper drawn",
        "joined",
        "parted",
        "draft dropped",
        "cases judged",
        "moderated",
        "drawn",
        "record given",
        "seen elsewhere",
    }
)
"""The kinds that carry a signature, or are not written at all."""


class NotAllowed(KitError):
    """This person may not do that: the role, the key, or the rule that nobody checks their own work."""


class ClockBehind(KitError):
    """The clock of this machine shows an earlier time than the last act that was recorded."""


class ClockAhead(KitError):
    """The clock of this machine is more than a year ahead of the last act that was recorded."""


class SigningKey(Protocol):
    """A key that was opened with its password."""

    @property
    def key_id(self) -> str:
        """What the key is called in the records."""

    def sign(self, message: bytes) -> str:
        """Return the signature of a message, in hex."""


@dataclass(frozen=True)
class Act:
    """One row of the chain. ``by`` and ``person`` are opaque ids; ``facts`` hold no name and no free text."""

    number: int
    kind: str
    at: datetime
    by: str
    person: str | None
    criterion: str | None
    batch: str | None
    facts: Mapping[str, Any]
    key_id: str | None
    prev: str
    hash: str
    signature: str | None


@dataclass(frozen=True)
class Draft:
    """An act before it has its place in the chain."""

    kind: str
    by: str
    person: str | None = None
    criterion: str | None = None
    batch: str | None = None
    facts: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class LedgerHead:
    """The end of the chain: how many acts, and the hash of the last. Printed on every report."""

    number: int
    hash: str

    @property
    def short(self) -> str:
        """The hash as it is printed: the first 24 digits in groups of 4.

        Examples
        --------
        >>> LedgerHead(2, "0123456789abcdef" * 4).short
        '0123 4567 89ab cdef 0123 4567'
        """
        return " ".join(self.hash[i : i + 4] for i in range(0, min(24, len(self.hash)), 4)) or "no act yet"


def head(connection: Connection) -> LedgerHead:
    """Return the end of the chain."""
    acts = schema.acts.c
    row = connection.execute(
        select(acts.number, acts.hash).order_by(acts.number.desc()).limit(1)
    ).one_or_none()
    return LedgerHead(0, "") if row is None else LedgerHead(row.number, row.hash)


def follows(connection: Connection, seen: str) -> str:
    """Return what is wrong if today's chain does not go on from a head that was written down; else nothing.

    Parameters
    ----------
    seen : str
        The code of a head as a paper shows it, or the whole hash; spaces do not count.

    Raises
    ------
    BadData
        If it is no such code.
    """
    return head_of(connection, seen)[1]


def head_of(connection: Connection, seen: str) -> tuple[LedgerHead | None, str]:
    """Return the head that a code stands for, or none and what is wrong. Raises as ``follows``."""
    code, table = "".join(seen.split()).lower(), schema.acts.c
    if not _A_CODE.fullmatch(code):
        raise BadData(repr(seen[:80]), "this is no code of a chain", "24 digits, 0-9 and a-f, as on a paper")
    row = connection.execute(select(table.number, table.hash).where(table.hash.startswith(code))).first()
    if row is not None:
        return LedgerHead(row.number, row.hash), ""
    told = f"no act of these records bears the code {seen}"
    return None, f"{told}: its end was cut off, or this is another chain"


def append(connection: Connection, draft: Draft, now: datetime, key: SigningKey | None = None) -> Act:
    """Add an act to the end of the chain and return it. Call it inside a write transaction.

    Raises
    ------
    NotAllowed
        If this kind of act needs a signature and there is no key.
    ClockBehind
        If ``now`` lies more than 2 min before the last act.
    ClockAhead
        If it lies more than 366 days after it: a wrong year would lock the records.
    BadData
        If the facts cannot be kept as JSON.
    """
    if draft.kind in SIGNED and key is None:
        raise NotAllowed(f"An act of the kind {draft.kind!r} needs a signature: open your key first.")
    last = head(connection)
    if draft.kind not in (TAKEN_IN, CLOCK_CORRECTED):
        _check_clock(connection, now)
    text = as_json(draft.facts)
    moment = now.astimezone(UTC)
    key_id = None if key is None else key.key_id
    made = digest(
        last.number + 1, draft.kind, moment, (draft.by, draft.person), draft, text, key_id, last.hash
    )
    signature = None if key is None else key.sign(message(made))
    values = {
        "number": last.number + 1,
        "kind": draft.kind,
        "at": moment,
        "by": draft.by,
        "person": draft.person,
        "criterion": draft.criterion,
        "batch": draft.batch,
        "facts": text,
        "key_id": key_id,
        "prev": last.hash,
        "hash": made,
        "signature": signature,
    }
    connection.execute(insert(schema.acts).values(**values))
    return Act(**{**values, "facts": json.loads(text)})


def read(
    connection: Connection,
    *,
    kind: str | None = None,
    person: str | None = None,
    batch: str | None = None,
    after: int = 0,
    fact: str = "",
) -> Iterator[Act]:
    """Return acts in order, or only those of a kind, about a person, about a batch, or that hold a fact.

    ``fact`` is the name of a fact; one of that name deeper down, or in a text, may let an act through too.
    """
    acts = schema.acts.c
    query = select(schema.acts).where(acts.number > after).order_by(acts.number)
    if fact:  # the database looks before anything is read
        query = query.where(acts.facts.contains(f'"{fact}":', autoescape=True))
    for column, wanted in ((acts.kind, kind), (acts.person, person), (acts.batch, batch)):
        if wanted is not None:
            query = query.where(column == wanted)
    for row in connection.execute(query).all():
        yield act_of(row)


def get(connection: Connection, number: int) -> Act:
    """Return one act by its number.

    Raises
    ------
    BadData
        If there is no such act.
    """
    row = connection.execute(select(schema.acts).where(schema.acts.c.number == number)).one_or_none()
    if row is None:
        raise BadData("the records", f"there is no act {number}")
    return act_of(row)


def as_json(facts: Mapping[str, Any]) -> str:
    """Return facts as the one text that is hashed: sorted, compact, as Unicode.

    Examples
    --------
    >>> as_json({"b": 1, "a": "é"})
    '{"a":"é","b":1}'
    """
    try:
        return json.dumps(facts, ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False)
    except (TypeError, ValueError) as error:
        raise BadData("an act", f"its facts cannot be kept ({error})") from None


def digest(
    number: int,
    kind: str,
    at: datetime,
    who: tuple[str, str | None],
    about: Draft | Act,
    facts: str,
    key_id: str | None,
    prev: str,
) -> str:
    """Return the hash of an act: SHA-256 over a JSON list of all it says, the hash before it last."""
    by, person = who
    words = (kind, at.isoformat(), by, person, about.criterion, about.batch, facts, key_id, prev)
    said = ", ".join("null" if word is None else encode_basestring(word) for word in words)
    return hashlib.sha256(f"[{number}, {said}]".encode()).hexdigest()


def message(act_hash: str) -> bytes:
    """Return what is signed for an act: a word of ours, so that no other signature fits, and its hash."""
    return b"smokehouse act\n" + act_hash.encode("ascii")


MISFIT = "has a signature that does not fit its key"
PublicKeys = Mapping[tuple[str | None, str | None], str]
"""Public keys in hex, by the id of the key and the id of its owner."""


def problem_of(row: Any, before: LedgerHead, *, signatures: bool = True) -> str:
    """Return what is wrong with a row of the chain, or an empty text. That its signature fits is not checked.

    Parameters
    ----------
    row : Row
        A row of ``acts``.
    before : LedgerHead
        The end of the chain before it.
    signatures : bool
        Whether one that is missing is a fault.
    """
    if row.number != before.number + 1:
        return f"act {before.number + 1} is missing"
    if row.prev != before.hash:
        return f"act {row.number} does not follow the act before it"
    fault = _fault_of(row, signatures)
    return f"act {row.number} {fault}" if fault else ""


def fault_of(row: Any, publics: PublicKeys) -> str:
    """Return what is wrong with an act by itself, or an empty text.

    Its hash is worked out again, and its signature held to a key of the person who made it.
    """
    if fault := _fault_of(row, signatures=True):
        return fault
    return "" if not row.signature or signature_fits(*to_check(row, publics)) else MISFIT


def _fault_of(row: Any, signatures: bool) -> str:
    made = digest(row.number, row.kind, row.at, (row.by, row.person), row, row.facts, row.key_id, row.prev)
    if made != row.hash:
        return "was changed after it was recorded"
    return "has no signature" if signatures and not row.signature and row.kind in SIGNED else ""


def to_check(row: Any, publics: PublicKeys) -> tuple[str, str, str]:
    """Return the key that must have signed an act, its hash and its signature; no key where none is known."""
    return publics.get((row.key_id, row.by), ""), row.hash, row.signature


def signature_fits(public: str, made: str, signature: str) -> bool:
    """Return whether a key signed the hash of an act."""
    try:
        return bool(public) and signing.check(public, message(made), signature)
    except ValueError:  # a key or a signature that is none
        return False


def misfits(told: Sequence[tuple[int, tuple[str, str, str]]]) -> list[int]:
    """Return which acts, each with what ``to_check`` gives, are not signed with their key."""
    return [number for number, what in told if not signature_fits(*what)]


def public_keys(connection: Connection) -> PublicKeys:
    """Return the public half of every key that was ever put on file, from the chain."""
    table = schema.acts.c
    rows = connection.execute(select(table.person, table.facts).where(table.kind == "key added"))
    return {one: public for row in rows for one, public in key_in(row).items()}


def key_in(row: Any) -> PublicKeys:
    """Return the public key that an act puts on file."""
    facts = facts_of(row.facts)
    return {(facts.get("key_id"), row.person): str(facts.get("public"))}


def facts_of(text: str) -> dict[str, Any]:
    """Return the facts of an act; none if somebody made them unreadable.

    Examples
    --------
    >>> facts_of('{"day":"2026-03-02"}'), facts_of("{")
    ({'day': '2026-03-02'}, {})
    """
    try:
        facts = json.loads(text)
    except ValueError:
        return {}
    return facts if isinstance(facts, dict) else {}


def _check_clock(connection: Connection, now: datetime) -> None:
    acts = schema.acts.c
    corrected = select(func.max(acts.number)).where(acts.kind == CLOCK_CORRECTED).scalar_subquery()
    since = acts.number >= func.coalesce(corrected, 0)
    latest = connection.scalar(select(func.max(acts.at)).where(acts.kind != TAKEN_IN, since))
    if latest is None:
        return
    told = (
        f"The clock of this machine says {now:%Y-%m-%d %H:%M} UTC, but the last act was recorded at "
        f"{latest:%Y-%m-%d %H:%M} UTC. Nothing was recorded. Set the clock, then try again. "
        "If it is right now, a manager says so: `smokehouse record correct-clock`."
    )
    if now < latest - CLOCK_SLACK:
        raise ClockBehind(told)
    if now > latest + CLOCK_LEAP:
        raise ClockAhead(told)


def act_of(row: Row[Any]) -> Act:
    """Return a whole row of the chain as an act."""
    values: Sequence[Any] = row
    number, kind, at, by, person, criterion, batch, facts, key_id, prev, made, signature = values
    told = json.loads(facts)
    return Act(number, kind, at, by, person, criterion, batch, told, key_id, prev, made, signature)
