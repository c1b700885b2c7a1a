"""Reading an answer book: what stands, where it breaks and how, and how two versions of one book relate."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, Literal

from kit.basics.data_files import json_of
from kit.basics.errors import BadData
from kit.basics.given_files import open_given
from kit.files.book_entry import (
    MAX_LINE_BYTES,
    SCHEMA,
    TITLE,
    Entry,
    Header,
    day_is_odd,
    parse_entry,
    parse_header,
    unseal,
)
from kit.files.refusals import BookRefused, Code

MAX_BOOK_BYTES = 64 * 1024 * 1024
_BOM = b"\xef\xbb\xbf"
Relation = Literal["same", "longer", "shorter", "forked"]


@dataclass(frozen=True)
class BookProblem:
    """Where a book breaks: the line (the header is line 1), the kind of break, and a sentence for people."""

    line: int
    code: Code
    says: str


@dataclass(frozen=True)
class BookReading:
    """What a book holds.

    ``entries`` stand: their chain is whole from the first line on. ``flagged`` are lines after the break that
    can still be read; they prove nothing, but a person may want to look at them. ``problems`` is empty for a
    whole book. ``good_bytes`` is the length of the part that stands. [bytes]
    """

    header: Header
    entries: tuple[Entry, ...]
    problems: tuple[BookProblem, ...] = ()
    flagged: tuple[Entry, ...] = ()
    good_bytes: int = 0
    where: str = ""

    @property
    def hashes(self) -> tuple[str, ...]:
        """The hash of the header and of each entry that stands, in order: what ``relation`` compares."""
        return (self.header.hash, *(entry.hash for entry in self.entries))

    @property
    def last_hash(self) -> str:
        """The hash that the next entry must carry as ``prev``."""
        return self.hashes[-1]

    @property
    def torn(self) -> bool:
        """Whether the only thing wrong is a last line that was cut off while it was written."""
        return bool(self.problems) and all(problem.code == "torn" for problem in self.problems)

    def stepped_back(self) -> tuple[int, ...]:
        """Return ``n`` of each entry dated before an earlier one: the clock was set back in between."""
        return stepped_back([(entry.n, entry.at) for entry in self.entries])

    def odd_days(self) -> tuple[int, ...]:
        """Return ``n`` of each entry whose local day cannot belong to its UTC time."""
        return tuple(entry.n for entry in self.entries if day_is_odd(entry))


def stepped_back(times: Sequence[tuple[int, datetime]]) -> tuple[int, ...]:
    """Return the number of each time that lies before an earlier one in the list.

    Examples
    --------
    >>> from datetime import UTC
    >>> nine, ten = datetime(2026, 3, 2, 9, tzinfo=UTC), datetime(2026, 3, 2, 10, tzinfo=UTC)
    >>> stepped_back([(1, ten), (2, nine), (3, ten)])
    (2,)
    """
    back, latest = [], None
    for number, at in times:
        if latest is not None and at < latest:
            back.append(number)
        else:
            latest = at
    return tuple(back)


def relation(known: Sequence[str], offered: Sequence[str]) -> Relation:
    """Return how an offered book relates to the version known before, both given as ``BookReading.hashes``.

    ``same``; ``longer``: it goes on where the known one ends; ``shorter``: it is an earlier version;
    ``forked``: the two part ways, so one of them was changed or written on another machine. Refuse it.

    Examples
    --------
    >>> relation("ab", "abc"), relation("ab", "a"), relation("ab", "axy")
    ('longer', 'shorter', 'forked')
    """
    shared = min(len(known), len(offered))
    if not shared or tuple(known[:shared]) != tuple(offered[:shared]):
        return "forked"
    if len(known) == len(offered):
        return "same"
    return "longer" if len(offered) > len(known) else "shorter"


def read(path: Path | str, *, person: str = "") -> BookReading:
    """Return what the book at ``path`` holds, as far as its chain is whole.

    Parameters
    ----------
    path : Path or str
        The file.
    person : str
        If given, the book must be this person's (the random id, not the name).

    Raises
    ------
    BookRefused
        If it is no answer book, was written by a newer kit, is not UTF-8, is over 64 MB, its first line was
        damaged, or it is somebody else's.
    BadData, OSError
        If the file cannot be opened or read.
    """
    with open_given(path, "an answer book") as file:
        data = file.read(MAX_BOOK_BYTES + 1)
    return read_bytes(data, where=Path(path).name, person=person)


def read_bytes(data: bytes, *, where: str = "book", person: str = "") -> BookReading:
    """Return what a book given as bytes holds. See ``read``."""
    if len(data) > MAX_BOOK_BYTES:
        raise BookRefused("too long", where, "the file is too large", f"{MAX_BOOK_BYTES // 2**20} MB or less")
    start = len(_BOM) if data.startswith(_BOM) else 0
    end = _line_end(data, start)
    header = _read_header(data[start:end], where)
    if person and header.person != person:
        raise BookRefused(
            "other person", where, f"this is the book of {header.name} ({header.person})", person
        )
    return _read_entries(data, end, header, where)


def read_on(data: bytes, after: int, prev: str) -> tuple[tuple[Entry, ...], int, BookProblem | None]:
    """Return the entries in ``data`` after entry ``after`` with hash ``prev``, their bytes, and the break.

    This is the one walk along the chain: reading a whole book and reading on from its known end both use it.
    """
    entries: list[Entry] = []
    place = 0
    while place < len(data):
        end = _line_end(data, place)
        number = after + len(entries) + 1
        entry = _read_line(data[place:end], number, prev, last=end == len(data))
        if isinstance(entry, BookProblem):
            return tuple(entries), place, entry
        entries.append(entry)
        prev, place = entry.hash, end
    return tuple(entries), place, None


def _read_entries(data: bytes, start: int, header: Header, where: str) -> BookReading:
    rest = data[start:]
    entries, taken, problem = read_on(rest, 0, header.hash)
    good = start + taken
    if problem is None:
        return BookReading(header, entries, good_bytes=good, where=where)
    flagged = _readable(data[good:])
    return BookReading(header, entries, (problem,), flagged, good, where)


def _read_header(line: bytes, where: str) -> Header:
    raw = line.rstrip(b"\r\n")
    if not raw:
        raise BookRefused("not a book", where, "the file is empty", "an answer book")
    facts = _loosely(raw, where)
    schema = facts.get("schema")
    if isinstance(schema, int) and schema > SCHEMA:
        raise BookRefused(
            "newer",
            where,
            f"it was written by a newer kit (schema {schema})",
            f"schema {SCHEMA} or older",
            "Update the kit on this machine.",
        )
    if not unseal(raw):
        raise BookRefused("edited", where, "line 1 was damaged or edited, so the book proves nothing")
    try:
        return parse_header(raw, where)
    except BadData as error:
        raise BookRefused("unreadable", where, error.problem, error.expected) from None


def _loosely(raw: bytes, where: str) -> dict[str, Any]:
    """Return the members of a first line before its hash is checked: a newer kit may seal in another way."""
    try:
        facts = json_of(raw[: MAX_LINE_BYTES + 1].decode("utf-8"), where)
    except UnicodeDecodeError:
        raise BookRefused("not utf-8", where, "line 1 is not UTF-8 text", "an answer book") from None
    except BadData:
        facts = {}
    if facts.get("smokehouse") != TITLE:
        problem = "this is not an answer book, or its first line is damaged"
        raise BookRefused("not a book", where, problem, "a file written by hand-in")
    return facts


def _read_line(line: bytes, number: int, prev: str, *, last: bool) -> Entry | BookProblem:
    """Return the entry, or why the chain breaks here. Entry ``number`` is on the line one further down."""
    place = number + 1
    raw = line.rstrip(b"\n").removesuffix(b"\r")
    if len(raw) > MAX_LINE_BYTES:
        return BookProblem(place, "too long", f"Line {place} is longer than {MAX_LINE_BYTES} bytes.")
    if not unseal(raw):
        if last and not line.endswith(b"\n"):
            return BookProblem(place, "torn", f"Line {place} was cut off while it was written.")
        try:
            raw.decode("utf-8")
        except UnicodeDecodeError:
            return BookProblem(place, "not utf-8", f"Line {place} is not UTF-8 text.")
        return BookProblem(place, "edited", f"Line {place} was damaged or edited after it was written.")
    try:
        entry = parse_entry(raw, f"line {place}")
    except BadData as error:
        return BookProblem(place, "unreadable", f"{error}")
    if entry.prev != prev or entry.n != number:
        return BookProblem(
            place, "reordered", f"Line {place} does not follow the line above: moved, or one is missing."
        )
    return entry


def _readable(data: bytes) -> tuple[Entry, ...]:
    found = []
    for line in data.split(b"\n"):
        raw = line.removesuffix(b"\r")
        if len(raw) <= MAX_LINE_BYTES and unseal(raw):
            try:
                found.append(parse_entry(raw, "line"))
            except BadData:
                continue
    return tuple(found)


def _line_end(data: bytes, start: int) -> int:
    found = data.find(b"\n", start)
    return len(data) if found < 0 else found + 1
