"""The outbox: drafts that were signed away from the records, one JSON line each, taken in later.

The first line says whose outbox it is, with which key, and what stood in the records when it was made. Every
line holds the hash of the line before it and is signed. So a line that was edited, moved or taken out is
found. Lines cut off the end are not: the same outbox, whole, brings them later. A draft is no act yet.
"""

from __future__ import annotations

import hashlib
import json
import secrets
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Annotated, Any, Literal

from msgspec import Meta

from kit.basics.atomic_files import sync
from kit.basics.data_files import Moment, Text, build, json_of
from kit.basics.errors import BadData, KitError
from kit.basics.given_files import read_given
from kit.files import signing
from kit.files.refusals import new_file, saving
from kit.files.signing import Signer

MAX_BYTES = 8 * 2**20
_WHAT, _SCHEMA = "an outbox that `smokehouse outbox begin` wrote", 1
_Hash = Annotated[str, Meta(pattern=r"\A[0-9a-f]{64}\Z", description="64 lower-case hex digits")]
_Signature = Annotated[str, Meta(pattern=r"\A[0-9a-f]{128}\Z", description="128 lower-case hex digits")]
_Id = Annotated[str, Meta(pattern=r"\A[0-9a-f]{16}\Z", description="16 lower-case hex digits")]
_Count = Annotated[int, Meta(ge=0, description="a whole number, 0 or more")]
DraftKind = Literal["observed", "decided"]


class OutboxEdited(BadData):
    """A line of an outbox does not fit its hash, its signature or the line before it."""


class DraftTooEarly(KitError):
    """The clock of this machine shows an earlier time than the last draft of the outbox."""


@dataclass(frozen=True)
class OutboxHead:
    """Whose outbox it is, and what stood in the records when it was made.

    ``crew`` holds the names of who learns, by id; ``standing`` the act of each decision, by person and
    criterion; ``number`` and ``chain`` the end of the chain of acts.
    """

    id: _Id
    person: Text
    name: Text
    public: signing.KeyHex
    made_at: Moment
    number: _Count
    chain: str
    crew: Mapping[str, str] = field(default_factory=dict)
    standing: Mapping[str, Mapping[str, int]] = field(default_factory=dict)
    schema: int = _SCHEMA


@dataclass(frozen=True)
class OutboxDraft:
    """One signed draft: the line it stands on, from 1; its time; its kind; what it says; and its hash."""

    line: int
    at: Moment
    what: DraftKind
    facts: Mapping[str, Any]
    hash: str


@dataclass(frozen=True)
class Outbox:
    """An outbox as read: its head, its drafts, and whether its last line was torn off in the middle."""

    path: Path
    head: OutboxHead
    drafts: tuple[OutboxDraft, ...]
    last_hash: str
    torn: bool = False


@dataclass(frozen=True)
class _OutboxLine:
    """A line as it is written."""

    n: _Count
    at: Moment
    what: Literal["outbox", "observed", "decided"]
    facts: Mapping[str, Any]
    prev: str
    hash: _Hash
    signature: _Signature


def make_outbox(path: Path, head: OutboxHead, key: Signer) -> Outbox:
    """Write a new outbox that only its owner can read, and return it.

    Raises
    ------
    BadData
        If there is a file of this name already, or the key is another than the head names.
    NotSaved
        If the disk refuses.
    """
    if key.public != head.public:
        raise BadData(path.name, "this is not the key that the outbox names")
    facts = asdict(head) | {"made_at": head.made_at.astimezone(UTC).isoformat()}
    line, made = _signed(0, head.made_at, "outbox", facts, "", key)
    with new_file(path, "The outbox") as file:
        file.write(line)
    sync(path)
    return Outbox(path, head, (), made)


def new_outbox_id() -> str:
    """Return a random name for an outbox: 16 hex digits."""
    return secrets.token_hex(8)


def add_draft(
    outbox: Outbox,
    what: DraftKind,
    facts: Mapping[str, Any],
    key: Signer,
    clock: Callable[[], datetime] = lambda: datetime.now(UTC),
) -> OutboxDraft:
    """Add a signed draft to the end of an outbox and return it. It is on the disk then.

    Raises
    ------
    BadData
        If the key is another than the outbox names, or its last line was torn: take that outbox in first.
    DraftTooEarly
        If the clock shows an earlier time than the last draft.
    NotSaved
        If the disk refuses, or another window is writing.
    """
    if key.public != outbox.head.public:
        raise BadData(outbox.path.name, "this is not the key that the outbox names")
    with saving("The draft", alone=outbox.path):
        now, there = clock(), read_outbox(outbox.path)
        if there.torn:
            cause = "Take this outbox in, then begin a new one."
            raise BadData(outbox.path.name, "its last line was cut off", "a whole outbox", cause)
        last = there.drafts[-1].at if there.drafts else there.head.made_at
        if now < last:
            raise DraftTooEarly(
                f"The clock of this machine says {now:%Y-%m-%d %H:%M} UTC, but the last draft is of "
                f"{last:%Y-%m-%d %H:%M} UTC. Nothing was written. Set the clock, then try again."
            )
        number = len(there.drafts) + 1
        line, made = _signed(number, now, what, facts, there.last_hash, key)
        with outbox.path.open("ab") as file:
            file.write(line)
        sync(outbox.path)
    return OutboxDraft(number, now, what, facts, made)


def read_outbox(path: Path | str) -> Outbox:
    """Return an outbox after checking every line: its order, its time, its hash and its signature.

    A last line without an end was cut off while it was written: it is left out, and ``torn`` says so.

    Raises
    ------
    OutboxEdited
        If a line was edited, moved or taken out. Nothing of such an outbox is taken.
    BadData
        If it is no outbox, or from a newer kit.
    """
    where = Path(path).name
    data = read_given(path, _WHAT, MAX_BYTES)
    whole, _, rest = data.rpartition(b"\n")
    if not whole:
        raise BadData(where, "this is no outbox", _WHAT)
    rows = [_line_of(row, f"{where}, line {n}") for n, row in enumerate(whole.split(b"\n"), start=1)]
    first, *others = rows
    if first.what != "outbox":
        raise BadData(where, "its first line says nothing of whose it is", _WHAT)
    if first.facts.get("schema") != _SCHEMA:
        raise BadData(where, "it was written by a newer kit", f"schema {_SCHEMA}", "Update this kit.")
    head = build(OutboxHead, dict(first.facts), f"{where}, line 1")
    before, at = "", first.at
    for number, row in enumerate(rows):
        if fault := _fault(row, number, before, at, head.public):
            raise OutboxEdited(f"{where}, line {number + 1}", fault, "the line as it was signed")
        before, at = row.hash, row.at
    drafts = tuple(OutboxDraft(row.n, row.at, row.what, row.facts, row.hash) for row in others)  # type: ignore[arg-type]  # _fault refuses a second "outbox"
    return Outbox(Path(path), head, drafts, before, bool(rest))


def _line_of(row: bytes, where: str) -> _OutboxLine:
    facts = json_of(row, where)
    line = build(_OutboxLine, facts, where)
    if row != _bytes_of(facts):  # another way to write the same is not what was signed
        raise OutboxEdited(where, "it is not written as it was signed", "the line as it was signed")
    return line


def _fault(row: _OutboxLine, number: int, before: str, at: datetime, public: str) -> str:
    if row.n != number or row.prev != before or (number > 0) == (row.what == "outbox"):
        return "it does not follow the line before it"
    if row.at < at:
        return "it is earlier than the line before it"
    if _hash_of(row.n, row.at, row.what, row.facts, row.prev) != row.hash:
        return "it was edited after it was signed"
    if not signing.check(public, _message(row.hash), row.signature):
        return "its signature does not fit the key of this outbox"
    return ""


def _signed(
    n: int, at: datetime, what: str, facts: Mapping[str, Any], prev: str, key: Signer
) -> tuple[bytes, str]:
    made = _hash_of(n, at, what, facts, prev)
    told = {"n": n, "at": at.astimezone(UTC).isoformat(), "what": what, "facts": dict(facts), "prev": prev}
    return _bytes_of(told | {"hash": made, "signature": key.sign(_message(made))}) + b"\n", made


def _hash_of(n: int, at: datetime, what: str, facts: Mapping[str, Any], prev: str) -> str:
    told = [n, at.astimezone(UTC).isoformat(), what, facts, prev]
    return hashlib.sha256(_bytes_of(told)).hexdigest()


def _bytes_of(told: object) -> bytes:
    text = json.dumps(told, ensure_ascii=True, sort_keys=True, separators=(",", ":"), allow_nan=False)
    return text.encode("ascii")


def _message(made: str) -> bytes:
    """Return what is signed: a word of ours, so that no other signature of the key fits, and the hash."""
    return b"smokehouse draft\n" + made.encode("ascii")
