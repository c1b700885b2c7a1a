"""Opening the tutor's records: one SQLite file that only its owner can read, or one schema on a server.

What the database says goes to a tutor as an error in plain words.
"""

from __future__ import annotations

import json
import os
import shutil
import tomllib
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.exc import DatabaseError, OperationalError

from kit.basics import places
from kit.basics.atomic_files import create_private, make_private_folder, write_private
from kit.basics.errors import BadData, KitError
from kit.records.storage import postgres
from kit.records.storage.migrate import bring_up_to_date, version

BUSY_S = 30.0


class RecordsBusy(KitError):
    """Somebody else is writing to the records, and went on for too long."""


class DiskTrouble(KitError):
    """The disk refused: it is full, read-only or failing. Nothing of the step in hand was recorded."""


@dataclass(frozen=True)
class Records:
    """The open records: where they are, and the engine that reads and writes them.

    Where file or folder is read-only, ``copy`` holds what the engine reads, and nothing can be recorded.
    Records on a server have an ``address`` (shown without its password); ``path`` then holds no database:
    kept files and notes lie beside it.
    """

    path: Path
    engine: Engine
    copy: TemporaryDirectory[str] | None = field(default=None, kw_only=True)
    address: str = field(default="", kw_only=True)

    @property
    def where(self) -> str:
        """Where the rows lie, in words that may be shown."""
        return self.address or str(self.path)

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Give a connection that sees one moment of the records."""
        with said_plainly(self.where), self.engine.connect() as connection:
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """Give a connection that holds the write lock from the start; all or nothing is recorded.

        Raises
        ------
        DiskTrouble
            If the file or its folder is read-only: the records can be read, checked and reported.
        """
        if self.copy is not None:
            raise _read_only(self.where)
        with self.deriving() as connection:
            yield connection

    @contextmanager
    def deriving(self) -> Iterator[Connection]:
        """Give a connection like ``writing``, for what only follows from the records: a copy will do."""
        with said_plainly(self.where), self.engine.execution_options(write=True).begin() as connection:
            yield connection

    def close(self) -> None:
        """Let go of the file."""
        self.engine.dispose()
        if self.copy is not None:
            self.copy.cleanup()


def open_records(
    path: str | Path | None = None,
    *,
    make: bool = True,
    busy_s: float = BUSY_S,
    beside: Path | None = None,
) -> Records:
    """Return the tutor's records, made or brought up to date where needed.

    The file is readable by its owner only, and so is its folder when it is made here. Records on a read-only
    disk are read from a private copy, which is gone when they are closed.

    Parameters
    ----------
    path : str or Path, optional
        The file, or an address ``postgresql://…`` of a schema. Default: what the home of this machine names
        in ``tutor/records.toml``, else its ``tutor/records.db``.
    make : bool
        Make a missing file; otherwise a missing file is an error.
    busy_s : float
        How long to wait for another writer. [s]
    beside : Path, optional
        For records on a server: beside which file name kept files and notes lie. Default: the home's file.

    Raises
    ------
    BadData
        If the file is missing (and ``make`` is false), damaged, not ours, or from a newer kit.
    RecordsBusy, DiskTrouble
        If another program holds the file, or the disk refuses.

    Examples
    --------
    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     records = open_records(Path(folder) / "records.db")
    ...     print(records.path.name)
    ...     records.close()
    records.db
    """
    place = records_place() if path is None else path
    if places.is_address(place):
        return _open_server(str(place), beside or places.records_file(), busy_s, make=make)
    file = Path(place)
    if not file.exists():
        if not make:
            raise BadData(
                str(file),
                "there are no records here",
                "a file made by `smokehouse staff begin` or `smokehouse take-in`",
                "Is SMOKEHOUSE_HOME as it should be?",
            )
        make_private_folder(file.parent)
        with suppress(FileExistsError):
            create_private(file).close()
    read_only = not (os.access(file, os.W_OK) and os.access(file.parent, os.W_OK))
    copy = _copy_of(file) if read_only else None
    engine = engine_for(file if copy is None else Path(copy.name) / file.name, busy_s)
    return _up_to_date(Records(file, engine, copy=copy))


def records_place() -> str | Path:
    """Return where this machine's records are: the address its home names, else the home's file.

    Raises
    ------
    BadData
        If the home's ``records.toml`` cannot be read.
    """
    file = places.records_file()
    settings = file.with_suffix(".toml")
    if not settings.exists():
        return file
    try:
        told = tomllib.loads(settings.read_text(encoding="utf-8"))["address"]
    except (OSError, ValueError, KeyError):
        told = None
    if not isinstance(told, str) or not places.is_address(told):
        raise BadData(str(settings), "it names no address", 'one line: address = "postgresql://…"')
    return told


def remember_address(address: str) -> Path:
    """Write to the home's settings where its records are, for its owner only, and return the file."""
    settings = places.records_file().with_suffix(".toml")
    make_private_folder(settings.parent)
    write_private(settings, f"address = {json.dumps(address)}\n".encode())
    return settings


def records_there() -> bool:
    """Return whether this machine has records: an address in its home, or a file."""
    place = records_place()
    return not isinstance(place, Path) or place.exists()


def _open_server(address: str, beside: Path, busy_s: float, *, make: bool) -> Records:
    opened = Records(beside, engine_for(address, busy_s), address=postgres.shown(address))
    if not make:
        with said_plainly(opened.where):
            try:
                _check_begun(opened)
            except BaseException:
                opened.close()
                raise
    return _up_to_date(opened)


def _check_begun(records: Records) -> None:
    with records.engine.connect() as connection:
        if not version(connection):
            raise BadData(
                records.where, "there are no records here", "a schema filled by `smokehouse staff begin`"
            )


def _up_to_date(opened: Records) -> Records:
    with said_plainly(opened.where):
        try:
            bring_up_to_date(opened.engine, where=opened.where)
        except BaseException:
            opened.close()
            raise
    return opened


def _copy_of(file: Path) -> TemporaryDirectory[str]:
    """Copy a database that cannot be written, with the log beside it, into a private folder."""
    copy = TemporaryDirectory(prefix="records-")
    try:
        for each in (file, file.with_name(f"{file.name}-wal")):
            if each.exists():
                shutil.copyfile(each, Path(copy.name) / each.name)
    except OSError as error:
        copy.cleanup()
        raise DiskTrouble(f"{file}: the file cannot be read here ({error.strerror}).") from error
    return copy


def engine_for(path: str | Path, busy_s: float = BUSY_S) -> Engine:
    """Return an engine on one SQLite file or on one schema of a PostgreSQL server, with our transactions.

    A file has a write-ahead log, full sync and foreign keys. ``busy_s`` is the wait for another writer. [s]
    """
    if places.is_address(path):
        return postgres.server_engine(str(path), busy_s)
    engine = create_engine(f"sqlite:///{path}", connect_args={"timeout": busy_s})
    event.listen(engine, "connect", _set_up)
    event.listen(engine, "begin", _begin)
    return engine


def _set_up(connection: Any, _record: object) -> None:
    connection.isolation_level = None  # the driver begins nothing on its own: `_begin` does
    for pragma in ("foreign_keys = ON", "synchronous = FULL"):
        connection.execute(f"PRAGMA {pragma}")
    with suppress(Exception):  # a read-only file keeps the journal it has
        connection.execute("PRAGMA journal_mode = WAL")


def _begin(connection: Connection) -> None:
    write = connection.get_execution_options().get("write", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if write else "BEGIN")


@contextmanager
def said_plainly(path: Path | str) -> Iterator[None]:
    """Turn what the database driver says into an error a tutor can act on."""
    try:
        yield
    except DatabaseError as error:
        state = postgres.state_of(error.orig)
        raise _plain_server(str(path), state, error) if state else _plain(path, error) from error
    except UnicodeEncodeError as error:
        raise _bad_text(str(path)) from error


def _bad_text(where: str) -> BadData:
    return BadData(
        where,
        "a text holds a sign that cannot be kept, or is too long",
        "letters, digits and signs that can be printed",
        "Nothing of this step was recorded.",
    )


_LATER = "Nothing of this step was recorded. What was already taken is safe."


def _plain_server(where: str, state: str, error: DatabaseError) -> KitError:
    """Say what PostgreSQL's state means. Its own words are left out: they may hold rows or a password."""
    if state == postgres.OUR_RULE:  # the words are those of our own trigger
        said = getattr(getattr(error.orig, "diag", None), "message_primary", "")
        return BadData(where, f"the records could not be used ({said})")
    if state in postgres.BUSY:
        return _busy(where)
    if state in postgres.FULL:
        return DiskTrouble(f"{where}: the disk of the server is full or failing. {_LATER}")
    if state in postgres.READ_ONLY:
        return DiskTrouble(f"{where}: the server takes no changes now. Nothing was recorded.")
    if state in postgres.GONE:
        return DiskTrouble(f"{where}: the server cannot be reached. {_LATER} Is it running?")
    if state in postgres.NO_ENTRY:
        return BadData(where, "the server does not let this role in", "a role, its password, a database")
    if state in postgres.NO_RIGHT:
        return BadData(
            where,
            "this role may not do that here",
            "the role of this kitchen; the owner's role for new records and for a newer kit",
            "Is it another kitchen's schema?",
        )
    if state in postgres.THERE_ALREADY:
        return BadData(where, "a role, schema or table of this name is there already", "a new name")
    if state in postgres.NO_TABLE:
        return BadData(where, "a table or the schema is not as it should be", "records made by this kit")
    if state in postgres.BAD_TEXT:
        return _bad_text(where)
    return BadData(where, f"the records could not be used (PostgreSQL state {state})")


def _busy(where: Path | str) -> RecordsBusy:
    return RecordsBusy(
        f"{where}: another program is writing to the records. Nothing of this step was recorded. "
        "Wait until it has finished, then try again: what was already taken is safe."
    )


def _read_only(path: Path | str) -> DiskTrouble:
    return DiskTrouble(f"{path}: this file or its folder is read-only. Nothing was recorded.")


def _plain(path: Path | str, error: DatabaseError) -> KitError:
    text = str(error.orig).lower()
    if "locked" in text or "busy" in text:
        return _busy(path)
    if "full" in text or "disk i/o" in text:
        return DiskTrouble(f"{path}: the disk is full or failing. Nothing of this step was recorded.")
    if "readonly" in text or "read-only" in text:
        return _read_only(path)
    if "unable to open" in text:
        return DiskTrouble(f"{path}: the file cannot be opened. Is the folder there, and is it yours?")
    if isinstance(error, OperationalError) and ("no such table" in text or "no such column" in text):
        return BadData(
            str(path), f"a table is not as it should be ({error.orig})", "records made by this kit"
        )
    if "not a database" in text or "malformed" in text or "encrypted" in text:
        return BadData(
            str(path),
            "the records are damaged, or this is not a records file",
            "a file made by this kit",
            "Move it aside and put back your last copy, or take all books in again.",
        )
    return BadData(str(path), f"the records could not be used ({error.orig})")
