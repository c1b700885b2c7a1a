"""One line of an answer book: what it holds, and the chain that ties it to the line before.

A line is a JSON object. Its last member is ``hash``: the SHA-256 of every byte of the line before it. The
member before that is ``prev``: the hash of the line above. So the hash is checked on the bytes as they stand
in the file, and nothing needs to be written the same way twice.

The chain finds damage and careless edits. It holds no secret, so it does not stop a determined forger, who
can work out every hash again. What a book claims is therefore never believed: the tutor's side marks each
answer again.

Where the person set a PIN, an entry of the kind ``key`` tells the public half of a key, and every line from
there on is signed: ``signature`` then stands between ``prev`` and ``hash``, over all bytes before it.
"""

import hashlib
import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, fields
from datetime import date, datetime, timedelta
from typing import Any, Protocol

from kit.basics.data_files import Moment, Number, Text, build, in_utc, json_of
from kit.basics.errors import BadData, OutOfRange
from kit.basics.typed_text import has_unseen

SCHEMA = 1
TITLE = "answer book"
KINDS = ("opened", "attempt", "hint", "worked", "dispute", "explained", "key")
MAX_ANSWER_BYTES = 64 * 1024
MAX_LINE_BYTES = 256 * 1024
_MAX_DEPTH = 6
_TAIL = re.compile(rb', "hash": "([0-9a-f]{64})"}\Z')
_SIGNATURE = re.compile(rb', "signature": "([0-9a-f]{128})", "hash": "[0-9a-f]{64}"}\Z')


class LineSigner(Protocol):
    """An open key that signs lines: see ``kit.files.signing.Signer``."""

    @property
    def public(self) -> str:
        """The public half, in hex."""

    def sign(self, message: bytes) -> str:
        """Return the signature of a message, in hex."""


@dataclass(frozen=True)
class Header:
    """The first line: whose book this is, and by which version of the format."""

    person: Text
    name: str
    made: Moment
    schema: int
    hash: str

    def __post_init__(self) -> None:
        object.__setattr__(self, "made", in_utc(self.made))
        for what, text in (("person", self.person), ("name", self.name)):
            if has_unseen(text):
                raise ValueError(f"{what} holds characters that no screen shows")


@dataclass(frozen=True)
class Entry:
    """One thing that happened, as the book tells it.

    ``what`` is one of ``KINDS``; a kind this kit does not know is kept as it is. ``at`` is in UTC, ``day`` is
    the local date where it happened. ``answer`` is the raw answer; ``text`` is what was written in a dispute.
    ``kitchen`` names the kitchen file whose rules held, as ``id@fingerprint``; empty where there was none.
    ``content`` is the content print of what was asked; books of before the kit noted it have none.
    ``number`` is the kitchen's at the time, which is in the seed; empty where it gave none.
    ``public`` is the key that signs from an entry of the kind ``key`` on; empty where it takes the key away.
    ``signature`` is that of this line, and ``said`` the hash of what it signs; both empty if it has none.
    ``extra`` keeps members this kit does not know.
    """

    n: int
    what: str
    at: Moment
    day: date
    exercise: str = ""
    version: int = 0
    occasion: int = 0
    seed: int = 0
    fingerprint: str = ""
    profile: str = ""
    profile_fingerprint: str = ""
    answer: Any = None
    read_as: str = ""
    score: Number = 0.0
    of: Number = 0.0
    verdict: str = ""
    slip: str = ""
    hints: int = 0
    text: str = ""
    kitchen: str = ""
    content: str = ""
    number: str = ""
    public: str = ""
    signature: str = ""
    said: str = ""
    extra: Mapping[str, Any] = field(default_factory=dict)
    prev: str = ""
    hash: str = ""

    def __post_init__(self) -> None:
        object.__setattr__(self, "at", in_utc(self.at))


_NAMES = tuple(f.name for f in fields(Entry) if f.name not in ("extra", "prev", "hash"))
_KNOWN = frozenset((*_NAMES, "prev", "hash"))
_BY_KIND = {
    "attempt": _NAMES[: _NAMES.index("text")],  # a kitchen is noted only where there is one
    "dispute": (*_NAMES[:12], "verdict", "text"),
    "explained": _NAMES[:12],
    "opened": _NAMES[:9],
    "hint": _NAMES[:9],
    "worked": _NAMES[:9],
}


def storable(answer: Any) -> Any:
    """Return the raw answer if it can be kept in a book, unchanged.

    Parameters
    ----------
    answer : Any
        What came from the page: text, a number, or lists and mappings of them.

    Raises
    ------
    OutOfRange
        If it is larger than 64 KB as JSON.
    BadData
        If it is no JSON (a NaN, an object, nested too deep), or its text is no Unicode.

    Examples
    --------
    >>> storable({"decision": "hold", "reason": "b"})
    {'decision': 'hold', 'reason': 'b'}
    >>> storable("7" * 70_000)
    Traceback (most recent call last):
    ...
    kit.basics.errors.OutOfRange: the answer is 70002 bytes long; it must be 65536 bytes or less. Was a whole
    file pasted in?
    """
    _check_depth(answer, _MAX_DEPTH)
    try:
        size = len(_json(answer).encode("utf-8"))
    except (TypeError, ValueError, RecursionError):
        raise BadData("the answer", "it cannot be kept as text", "words, numbers, or lists of them") from None
    if size > MAX_ANSWER_BYTES:
        raise OutOfRange(
            "the answer",
            f"{size} bytes long",
            f"{MAX_ANSWER_BYTES} bytes or less",
            "Was a whole file pasted in?",
        )
    return answer


def header_line(person: str, name: str, made: datetime) -> bytes:
    """Return the first line of a book, with its line end.

    Examples
    --------
    >>> from datetime import UTC
    >>> header_line("p1", "Ana", datetime(2026, 3, 2, 9, tzinfo=UTC))[:60]
    b'{"smokehouse": "answer book", "schema": 1, "person": "p1", "'
    """
    facts = {"smokehouse": TITLE, "schema": SCHEMA, "person": person, "name": name, "made": made.isoformat()}
    return seal(facts)


def entry_line(facts: Mapping[str, Any], prev: str, signer: LineSigner | None = None) -> bytes:
    """Return one line of a book, with its line end. ``facts`` are members of Entry by name."""
    body = _json({**facts, "prev": prev})[:-1].encode("utf-8")
    if signer is not None:
        mark = signer.sign(line_message(hashlib.sha256(body).hexdigest()))
        body += b', "signature": "' + mark.encode("ascii") + b'"'
    return _closed(body)


def line_message(said: str) -> bytes:
    """Return what is signed for a line: a word of ours, so that no other signature fits, and its hash."""
    return b"smokehouse line\n" + said.encode("ascii")


def key_in_force(entries: Sequence[Entry]) -> str:
    """Return the public half of the key that the next line must be signed with; empty if there is none."""
    return next((entry.public for entry in reversed(entries) if entry.what == "key"), "")


def seal(facts: Mapping[str, Any]) -> bytes:
    """Return ``facts`` as one JSON line that ends in its own hash."""
    return _closed(_json(facts)[:-1].encode("utf-8"))


def _closed(body: bytes) -> bytes:
    """Return all of a line but its end, closed with its own hash."""
    return body + b', "hash": "' + hashlib.sha256(body).hexdigest().encode() + b'"}\n'


def unseal(line: bytes) -> str:
    """Return the hash of a line if its bytes agree with it, else an empty text.

    Examples
    --------
    >>> line = seal({"n": 1}).rstrip()
    >>> len(unseal(line)), unseal(line.replace(b"1", b"2", 1))
    (64, '')
    """
    found = _TAIL.search(line)
    if found is None:
        return ""
    claimed = found.group(1).decode()
    return claimed if hashlib.sha256(line[: found.start()]).hexdigest() == claimed else ""


def parse_header(line: bytes, where: str) -> Header:
    """Return the header in ``line``, whose hash was checked before.

    Raises
    ------
    BadData
        If a member is missing or of the wrong type.
    """
    facts = json_of(line, where, "a line of an answer book")
    if facts.get("smokehouse") != TITLE:
        raise BadData(where, "this is not an answer book", "a file written by the workbook")
    return build(Header, facts, where, more=True)


def parse_entry(line: bytes, where: str) -> Entry:
    """Return the entry in ``line``, whose hash was checked before.

    Raises
    ------
    BadData
        If a member that every entry has is missing, or a member is of the wrong type.
    """
    facts = json_of(line, where, "a line of an answer book")
    if missing := [name for name in _BY_KIND.get(str(facts.get("what")), ()) if name not in facts]:
        raise BadData(where, f"{', '.join(missing)} is missing", "all that such an entry has")
    extra = {name: facts.pop(name) for name in facts.keys() - _KNOWN}
    found = _SIGNATURE.search(line)
    mark, body = (found.group(1).decode(), line[: found.start()]) if found else ("", b"")
    signed = {"signature": mark, "said": hashlib.sha256(body).hexdigest() if body else ""}
    return build(Entry, facts | signed | {"extra": extra}, where, more=True)


def day_is_odd(entry: Entry) -> bool:
    """Return whether the local day lies more than a day from the UTC time: no clock on Earth shows that."""
    return abs(entry.day - entry.at.date()) > timedelta(days=1)


def _json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


def _check_depth(value: Any, left: int) -> None:
    if left == 0 and isinstance(value, list | tuple | dict):
        raise BadData("the answer", "it is nested too deep", "words, numbers, or lists of them")
    if isinstance(value, dict):
        for key, inner in value.items():
            if not isinstance(key, str):
                raise BadData("the answer", "it cannot be kept as text", "words, numbers, or lists of them")
            _check_depth(inner, left - 1)
    elif isinstance(value, list | tuple):
        for inner in value:
            _check_depth(inner, left - 1)
