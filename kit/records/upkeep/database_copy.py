"""A copy of the database in one plain file, whether it lies in a file or on a server."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

from kit.basics.atomic_files import create_private
from kit.records.storage.bulk import carry
from kit.records.storage.migrate import bring_up_to_date
from kit.records.storage.store import Records, engine_for
from kit.records.upkeep.whole_check import structure


def copy_database(records: Records, copy: Path) -> None:
    """Copy the database as it is at this moment, while others may write: from a server row by row."""
    create_private(copy).close()
    if records.address:
        with plain_engine(copy) as engine:
            bring_up_to_date(engine)
            with records.reading() as source, engine.execution_options(write=True).begin() as target:
                carry(source, target, rules=False)
        return
    with records.engine.connect() as connection, closing(sqlite3.connect(copy)) as to:
        raw: Any = connection.connection.driver_connection
        raw.backup(to)
        to.execute("PRAGMA journal_mode = DELETE")


def server_problems(records: Records) -> list[str]:
    """Return what is wrong with tables and triggers on a server: a copy in a file would not show it."""
    if not records.address:
        return []
    with records.reading() as connection:
        return structure(connection)


@contextmanager
def plain_engine(database: Path) -> Iterator[Any]:
    """Open a copy and leave one plain file behind, without a log beside it."""
    engine = engine_for(database)
    try:
        yield engine
    finally:
        engine.dispose()
    with closing(sqlite3.connect(database)) as last:
        last.execute("PRAGMA journal_mode = DELETE")
