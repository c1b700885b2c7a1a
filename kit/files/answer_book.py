"""Writing an answer book: one line an entry, on the disk before anybody is told that it is saved."""

from __future__ import annotations

import os
from collections.abc import Callable
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from kit.basics.atomic_files import make_private_folder, sync, write_private
from kit.basics.errors import BadData, OutOfRange
from kit.files.book_entry import Entry, Header, LineSigner, entry_line, header_line, key_in_force, storable
from kit.files.book_reading import MAX_BOOK_BYTES, BookReading, read_bytes, read_on
from kit.files.refusals import NotSaved, saving

MAX_TEXT_BYTES = 16 * 1024
Clock = Callable[[], datetime]


def local_now() -> datetime:
    """Return the time now, with the zone of this machine."""
    return datetime.now(UTC).astimezone()


class Book:
    """One person's answer book on this machine: read it, and append to it.

    Two lessons are two programs that may append at the same moment. Each append takes a lock between
    programs, reads what the other wrote, writes one line, and returns only once the line is on the disk. A
    program that is killed leaves at worst one torn last line; it is set aside beside the book and never
    joined to the next entry.

    Parameters
    ----------
    path : Path
        The file. Its folder must exist, or is made by ``Book.make``.
    clock : callable
        Returns the time now, with a zone: it gives both the UTC time and the local day of an entry.
    signer : LineSigner, optional
        The person's open key. A book that has a key takes no line without it.

    Raises
    ------
    BookRefused
        If the file is no answer book that this kit can read.
    OSError
        If it cannot be read.

    Examples
    --------
    >>> import tempfile
    >>> folder = tempfile.TemporaryDirectory()
    >>> book = Book.make(Path(folder.name) / "answers.book", person="p1", name="Ana")
    >>> facts = {"exercise": "hold", "version": 1, "occasion": 1, "seed": 7, "fingerprint": "f"}
    >>> entry = book.append("opened", **facts)
    >>> entry.n, Book(book.path).entries[0].exercise
    (1, 'hold')
    >>> folder.cleanup()
    """

    def __init__(self, path: Path, *, clock: Clock = local_now, signer: LineSigner | None = None) -> None:
        self.path, self.clock, self.signer = Path(path), clock, signer
        self._load()

    @classmethod
    def make(cls, path: Path, *, person: str, name: str, clock: Clock = local_now) -> Book:
        """Return the book at ``path``; make it with its first line if need be. Only its owner may read it."""
        path = Path(path)
        if path.exists():  # no lock then: a book on a disk that can only be read may still be read
            return cls(path, clock=clock)
        with saving():
            make_private_folder(path.parent)
            with saving(alone=path):
                if not path.exists():
                    write_private(path, header_line(person, name, clock().astimezone(UTC)))
        return cls(path, clock=clock)

    @staticmethod
    def set_aside(path: Path, *, clock: Clock = local_now) -> Path:
        """Rename a book whose first line is of no use, so that a new one can be made; return where it is."""
        with saving(alone=path):
            kept = _beside(path, "damaged", clock)
            path.rename(kept)
            sync(path.parent)
            return kept

    @property
    def header(self) -> Header:
        """Whose book this is."""
        return self._reading.header

    @property
    def entries(self) -> tuple[Entry, ...]:
        """The entries that stand, as last read. ``refresh`` reads what another lesson wrote since."""
        return tuple(self._entries)

    @property
    def reading(self) -> BookReading:
        """The whole file, read again now."""
        return read_bytes(self.path.read_bytes(), where=self.path.name)

    @property
    def damaged(self) -> bool:
        """Whether a line in the middle was damaged or edited. ``mend`` sets such a book aside."""
        return bool(self._reading.problems) and not self._reading.torn

    def refresh(self) -> tuple[Entry, ...]:
        """Read what was appended since and return all entries. A line still being written is not yet one."""
        with self.path.open("rb") as file:
            self._read_tail(file.fileno())
        return self.entries

    def append(self, what: str, **facts: Any) -> Entry:
        """Write one entry and return it once it is safely on the disk.

        Parameters
        ----------
        what : str
            The kind of entry, such as ``attempt``.
        facts : Any
            Further members of ``Entry`` by name. ``n``, ``at``, ``day``, ``prev`` and ``hash`` are made here.

        Raises
        ------
        NotSaved
            If the disk is full or read-only, the book is damaged, its key is not open, or another lesson
            held the lock for 10 s.
        OutOfRange, BadData
            If the answer is too large or cannot be kept (see ``storable``). Nothing is written.
        """
        storable(facts.get("answer"))
        if len(str(facts.get("text", "")).encode("utf-8", "surrogatepass")) > MAX_TEXT_BYTES:
            raise OutOfRange("the text", "too long", f"{MAX_TEXT_BYTES // 1024} KB or less")
        with saving(alone=self.path):
            file = os.open(self.path, os.O_RDWR | getattr(os, "O_BINARY", 0))
            try:
                self._read_tail(file)
                if self.damaged:
                    problem = self._reading.problems[0]
                    raise NotSaved(f"the answer book is damaged. {problem.says}", "Ask your tutor.")
                self._set_torn_line_aside(file)
                entry, line = self._line(what, facts, self._key_for(what))
                self._write(file, line)
                self._entries.append(entry)
                return entry
            finally:
                os.close(file)

    def mend(self) -> Path | None:
        """Set a damaged book aside, whole, and go on from the part that stands; return where the old one is.

        Returns None if there was nothing to mend. The tutor's side sees a book mended after it was handed in
        as one that forked, and asks.
        """
        with saving(alone=self.path):
            self._load()
            if not self.damaged:
                return None
            kept = _beside(self.path, "damaged", self.clock)
            data = self.path.read_bytes()
            write_private(kept, data)
            write_private(self.path, data[: self._reading.good_bytes])
            self._load()
            return kept

    @property
    def _last_hash(self) -> str:
        return self._entries[-1].hash if self._entries else self._reading.header.hash

    def _load(self) -> None:
        self._reading = self.reading
        self._entries = list(self._reading.entries)
        self._end = self._reading.good_bytes

    def _read_tail(self, file: int) -> None:
        """Take in what was appended since the last look; read it all again if the end is not where it was."""
        size = os.fstat(file).st_size
        mark = f'"hash": "{self._last_hash}"}}'.encode()
        before = _read_at(file, max(0, self._end - len(mark) - 2), self._end)
        if size < self._end or mark not in before or self.damaged:
            self._load()
            return
        data = _read_at(file, self._end, size)
        if data.startswith(b"\n") and not before.endswith(
            b"\n"
        ):  # the last line had not got its line end yet
            data, self._end = data[1:], self._end + 1
        found, taken, problem = read_on(data, len(self._entries), self._last_hash)
        self._entries += found
        self._end += taken
        if problem is not None and problem.code != "torn":
            self._load()

    def _set_torn_line_aside(self, file: int) -> None:
        size = os.fstat(file).st_size
        if size == self._end:
            return
        write_private(_beside(self.path, "torn", self.clock), _read_at(file, self._end, size))
        os.ftruncate(file, self._end)
        os.fsync(file)

    def _key_for(self, what: str) -> LineSigner | None:
        """Return the key that signs the next line, or None if it needs none."""
        wanted = key_in_force(self._entries)
        if what == "key":
            return self.signer
        if wanted and (self.signer is None or self.signer.public != wanted):
            advice = "Open the workbook again with `smokehouse open`."
            raise NotSaved("this answer book is signed, and its PIN was not given", advice)
        return self.signer if wanted else None

    def _line(
        self, what: str, facts: dict[str, Any], signer: LineSigner | None = None
    ) -> tuple[Entry, bytes]:
        """Return the next entry and its line, read back from the line as any reader would read it."""
        now = self.clock()
        stamp = {"n": len(self._entries) + 1, "what": what, "at": now.astimezone(UTC).isoformat()}
        try:
            line = entry_line({**stamp, "day": now.date().isoformat(), **facts}, self._last_hash, signer)
        except (TypeError, ValueError):
            raise BadData("the entry", "it cannot be kept as text") from None
        found, taken, problem = read_on(line, len(self._entries), self._last_hash)
        if problem is not None or taken != len(line):
            raise BadData("the entry", problem.says if problem else "it does not read back as written")
        return found[0], line

    def _write(self, file: int, line: bytes) -> None:
        start = self._end
        if start + len(line) > MAX_BOOK_BYTES:
            raise NotSaved("the answer book is full", "Ask your tutor.")
        lead = b"" if _read_at(file, start - 1, start) == b"\n" else b"\n"
        try:
            _write_all(file, lead + line, start)
            os.fsync(file)
        except OSError:
            _cut_back(file, start)
            raise
        self._end = start + len(lead) + len(line)


def _beside(path: Path, word: str, clock: Clock) -> Path:
    """Return a free name beside the book, such as ``answers.torn-20260302T091500Z``."""
    stem = f"{path.stem}.{word}-{clock().astimezone(UTC):%Y%m%dT%H%M%SZ}"
    names = (path.with_name(stem + (f"-{k}" if k else "")) for k in range(10_000))
    return next(name for name in names if not name.exists())


def _read_at(file: int, start: int, end: int) -> bytes:
    os.lseek(file, max(0, start), os.SEEK_SET)
    parts, left = [], end - max(0, start)
    while left > 0 and (part := os.read(file, left)):
        parts.append(part)
        left -= len(part)
    return b"".join(parts)


def _write_all(file: int, data: bytes, start: int) -> None:
    os.lseek(file, start, os.SEEK_SET)
    while data:
        data = data[os.write(file, data) :]


def _cut_back(file: int, size: int) -> None:
    with suppress(OSError):  # a line that cannot be cut back is set aside as torn by the next append
        os.ftruncate(file, size)
        os.fsync(file)
