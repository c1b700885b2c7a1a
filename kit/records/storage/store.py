"""Opening the tutor's records: one SQLite file that only its owner can read, and errors in plain words."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.exc import DatabaseError, OperationalError

from kit.basics import places
from kit.basics.atomic_files import create_private, make_private_folder
from kit.basics.errors import BadData, KitError
from kit.records.storage.migrate import bring_up_to_date

BUSY_S = 30.0


class RecordsBusy(KitError):
    """Somebody else is writing to the records, and went on for too long."""


class DiskTrouble(KitError):
    """The disk refused: it is full, read-only or failing. Nothing of the step in hand was recorded."""


@dataclass(frozen=True)
class Records:
    """The open records: where they are, and the engine that reads and writes them.

    Where file or folder is read-only, ``copy`` holds what the engine reads, and nothing can be recorded.
    """

    path: Path
    engine: Engine
    copy: TemporaryDirectory[str] | None = field(default=None, kw_only=True)

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Give a connection that sees one moment of the records."""
        with said_plainly(self.path), self.engine.connect() as connection:
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
            raise _read_only(self.path)
        with self.deriving() as connection:
            yield connection

    @contextmanager
    def deriving(self) -> Iterator[Connection]:
        """Give a connection like ``writing``, for what only follows from the records: a copy will do."""
        with said_plainly(self.path), self.engine.execution_options(write=True).begin() as connection:
            yield connection

    def close(self) -> None:
        """Let go of the file."""
        self.engine.dispose()
        if self.copy is not None:
            self.copy.cleanup()


def open_records(path: str | Path | None = None, *, make: bool = True, busy_s: float = BUSY_S) -> Records:
    """Return the tutor's records, made or brought up to date where needed.

    The file is readable by its owner only, and so is its folder when it is made here. Records on a read-only
    disk are read from a private copy, which is gone when they are closed.

    Parameters
    ----------
    path : str or Path, optional
        The file. Default: ``tutor/records.db`` in the home of this machine.
    make : bool
        Make a missing file; otherwise a missing file is an error.
    busy_s : float
        How long to wait for another writer. [s]

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
    file = places.records_file() if path is None else Path(path)
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
    opened = Records(file, engine, copy=copy)
    with said_plainly(file):
        try:
            bring_up_to_date(engine, where=str(file))
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


def engine_for(path: Path, busy_s: float = BUSY_S) -> Engine:
    """Return an engine on one SQLite file: write-ahead log, full sync, foreign keys, our own transactions."""
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
def said_plainly(path: Path) -> Iterator[None]:
    """Turn what the database driver says into an error a tutor can act on."""
    try:
        yield
    except DatabaseError as error:
        raise _plain(path, error) from error


def _read_only(path: Path) -> DiskTrouble:
    return DiskTrouble(f"{path}: this file or its folder is read-only. Nothing was recorded.")


def _plain(path: Path, error: DatabaseError) -> KitError:
    text = str(error.orig).lower()
    if "locked" in text or "busy" in text:
        return RecordsBusy(
            f"{path}: another program is writing to the records. Nothing of this step was recorded. "
            "Wait until it has finished, then try again: what was already taken is safe."
        )
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
