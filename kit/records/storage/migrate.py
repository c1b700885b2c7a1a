"""Numbered changes to the tables. A change and the note that it was made share one transaction."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

from alembic.operations import Operations
from alembic.runtime.migration import MigrationContext
from alembic.script import Script, ScriptDirectory
from sqlalchemy import Connection, Engine

from kit import __version__
from kit.basics.errors import BadData
from kit.records.storage.schema import upgrades

FOLDER = Path(__file__).resolve().parent / "migrations"


def changes(folder: Path = FOLDER) -> list[Script]:
    """Return the numbered changes in order, oldest first.

    Examples
    --------
    >>> changes()[0].revision
    '0001'
    """
    script = ScriptDirectory(str(folder))
    return list(script.walk_revisions())[::-1]


def version(connection: Connection) -> str:
    """Return the number of the last change made to this database, or an empty string for a new one."""
    return MigrationContext.configure(connection).get_current_revision() or ""


def bring_up_to_date(engine: Engine, folder: Path = FOLDER, where: str = "records.db") -> list[str]:
    """Make every change that is still missing and return their numbers.

    Each change runs in its own write transaction, which also reads which change is next: two programs that
    open one new file at once do not trip over each other, and a crash leaves the version before.

    Raises
    ------
    BadData
        If a newer kit made changes this one does not know.
    """
    known = changes(folder)
    numbers = [change.revision for change in known]
    done: list[str] = []
    if _is_current(engine, numbers, where):
        return done
    while True:
        with engine.execution_options(write=True).begin() as connection:
            present = version(connection)
            _refuse_newer(present, numbers, where)
            position = numbers.index(present) + 1 if present else 0
            if position == len(known):
                return done
            _make(connection, known[position], folder)
            done.append(numbers[position])


def make_all(connection: Connection) -> None:
    """Make every change on a connection whose schema is empty, inside the caller's transaction."""
    for change in changes():
        _make(connection, change, FOLDER)


def _is_current(engine: Engine, numbers: list[str], where: str) -> bool:
    """Look without taking the write lock: the usual case, and it works on a read-only file."""
    with engine.connect() as connection:
        present = version(connection)
    _refuse_newer(present, numbers, where)
    return present == numbers[-1]


def _refuse_newer(present: str, numbers: list[str], where: str) -> None:
    if present and present not in numbers:
        raise BadData(
            where,
            f"these records were last changed by a newer kit (change {present})",
            f"a change up to {numbers[-1]}",
            "Update the kit on this machine, then try again.",
        )


def _make(connection: Connection, change: Script, folder: Path) -> None:
    context = MigrationContext.configure(connection, opts={"transactional_ddl": True})
    with Operations.context(context):
        change.module.upgrade()
    context.stamp(ScriptDirectory(str(folder)), change.revision)
    connection.execute(
        upgrades.insert().values(change=change.revision, kit_version=__version__, done_at=datetime.now(UTC))
    )
