"""Putting a backup back on a server: into a schema that holds nothing yet, whole or not at all."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

from kit.basics.atomic_files import make_private_folder
from kit.basics.errors import BadData
from kit.records.people.staff import Hand
from kit.records.storage.bulk import check_empty
from kit.records.storage.store import Records, open_records
from kit.records.upkeep.backup import Restored, restore
from kit.records.upkeep.backup_file import DATABASE
from kit.records.upkeep.move import move


def restore_to_server(
    path: str | Path,
    target: Records,
    *,
    by: Callable[[Records], Hand] | None = None,
    unsigned: str = "",
    signed_by: str = "",
) -> Restored:
    """Put a backup back into an empty schema of a server, after checking all of it, and return what was done.

    It is laid out in a private folder first, checked as in a file, then carried over in one transaction in
    which every row is compared. A run that is cut short leaves the schema empty. Records that are there are
    never replaced: no role of a kitchen may set them aside.

    Parameters
    ----------
    path : str or Path
        The backup.
    target : Records
        The open, empty records on a server, opened as the schema's owner.
    by : callable, optional
        Told the checked records of the backup, it returns the manager who puts them back: an act says so.
    unsigned, signed_by : str
        As in ``restore``.

    Raises
    ------
    BadData
        If the schema holds rows, or the backup or its records do not check.
    UnsignedBackup, OtherSigner
        As ``restore``.
    RecordsBusy, DiskTrouble
        If the disk or the server refuses. The schema holds no rows then.
    """
    _check_free(target)
    make_private_folder(target.path.parent)
    with TemporaryDirectory(prefix=".smokehouse-", suffix=".draft", dir=target.path.parent) as scratch:
        done = restore(path, Path(scratch) / DATABASE, by=by, unsigned=unsigned, signed_by=signed_by)
        laid_out = open_records(done.path, make=False)
        try:
            move(laid_out, target)
        finally:
            laid_out.close()
    return replace(done, path=target.path)


def _check_free(target: Records) -> None:
    try:
        with target.reading() as connection:
            check_empty(connection)
    except BadData as error:
        raise BadData(
            target.where,
            "there are records here already",
            "an empty schema, made by `smokehouse site kitchen`",
            "On a server nothing is set aside. Put it back in a new schema, then `smokehouse records use`.",
        ) from error
