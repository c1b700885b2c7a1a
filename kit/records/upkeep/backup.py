"""Backups: everything in one file, checked before it counts, and put back without losing what was there.

A backup is written under another name and renamed when it is whole: a file that bears its name is never half
a backup. Restoring checks the whole backup first. Records that were there before are set aside, never
deleted. Signing keys are not in a backup: each belongs to its owner.
"""

from __future__ import annotations

import hashlib
import shutil
import sqlite3
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, inspect, select
from sqlalchemy.exc import DatabaseError, SQLAlchemyError

from kit import __version__
from kit.basics.atomic_files import make_private_folder, sync
from kit.basics.errors import BadData, KitError
from kit.records.evidence.kept_files import disk_said_plainly, folder_of, path_of, stored
from kit.records.ledger import acts
from kit.records.ledger.acts import Act, Draft, LedgerHead, NotAllowed
from kit.records.ledger.projection import check_chain
from kit.records.people.entitlement import InTables
from kit.records.people.staff import Hand, check
from kit.records.people.staff import write as write_act
from kit.records.storage import schema
from kit.records.storage.migrate import bring_up_to_date, version
from kit.records.storage.store import Records, said_plainly
from kit.records.upkeep.backup_file import DATABASE, Backup, damaged, unpack, write
from kit.records.upkeep.database_copy import copy_database, plain_engine, server_problems
from kit.records.upkeep.set_aside import set_aside
from kit.records.upkeep.vouching import UnsignedBackup, doubt_of, knows_signer, signed_manifest
from kit.records.upkeep.whole_check import check_all, structure

STALE_S = 3600.0
"""A draft that nobody touched for so long was left by a crash. [s]"""
_DRAFT = ".smokehouse-"
_GUARDED = (
    "A manager replaces these records and signs for it: open your key first, "
    "`smokehouse restore FILE --replace --as NAME`."
)


@dataclass(frozen=True)
class Restored:
    """What was put back, where, and where the records that were there before lie now, if there were any.

    ``aside_head`` is the end of the chain of those, if they could be read. ``back`` are the ids of people who
    had been erased there and are back now: erase them again. ``act`` says in the chain who put them back.
    ``vouched_elsewhere``: a paper, or the records that were there, know the key of the backup.
    """

    backup: Backup
    path: Path
    aside: Path | None = None
    aside_head: LedgerHead | None = None
    back: tuple[str, ...] = ()
    act: Act | None = None
    vouched_elsewhere: bool = False


@dataclass(frozen=True)
class _Seen:
    """What a database holds: the last change to its tables, the end of its chain, and its rows."""

    change: str
    head: LedgerHead
    rows: dict[str, int]


def backup(
    records: Records, out: str | Path, *, now: datetime | None = None, by: Hand | None = None
) -> Backup:
    """Write a backup of the records and their evidence to one new file that only its owner can read.

    Others may go on writing: the backup holds one moment. What is wrong with the records is told in
    ``problems``, and the backup is made all the same.

    Parameters
    ----------
    records : Records
        The open records.
    out : str or Path
        The file to write. It must not be there yet.
    now : datetime, optional
        When this happens, with a zone. Default: the clock.
    by : Hand, optional
        Who signs the manifest, with an open key. What nobody signed is put back only for a written reason.

    Raises
    ------
    NotAllowed
        If the key is not on file for who signs.
    BadData
        If there is such a file already, its folder is missing, or the database itself is damaged.
    RecordsBusy, DiskTrouble
        If the records cannot be read or the disk refuses. No file is left then.
    """
    target, moment = Path(out), now or datetime.now(UTC)
    _check_new(target)
    with _plainly(target), _drafts(target) as folder:
        copy, draft = folder / DATABASE, folder / "backup"
        copy_database(records, copy)
        seen = _look(copy, "quick_check", records.where)
        problems = [*server_problems(records), *_chain_problems(copy)]
        kept = _kept(records, copy, problems)

        def manifest(parts: dict[str, str]) -> Backup:
            wrong = tuple(problems)
            made = Backup(target, __version__, moment, seen.change, seen.head, seen.rows, parts, wrong)
            return made if by is None else signed_manifest(made, by)

        made = write(draft, copy, kept, manifest)
        _check_new(target)
        draft.replace(target)
        sync(target.parent)
    return made


def verify_backup(path: str | Path) -> Backup:
    """Check a backup from end to end and return what is in it.

    Every part is compared with its hash; the database is checked, its rows counted, and every row of every
    table held against the chain, as `record check` does.

    Raises
    ------
    BadData
        If the file is missing, damaged or no backup, was made by a newer kit, or its records do not check.
    """
    file = Path(path)
    with tempfile.TemporaryDirectory(prefix="backup-") as scratch, _plainly(Path(scratch)):
        folder = Path(scratch)
        told = unpack(file, folder, evidence=False)
        _check_database(folder / DATABASE, told)
    return told


def restore(
    path: str | Path,
    into: str | Path,
    *,
    replace: bool = False,
    despite_problems: bool = False,
    by: Callable[[Records], Hand] | None = None,
    unsigned: str = "",
    signed_by: str = "",
) -> Restored:
    """Put the records of a backup back, after checking all of it, and return what was done.

    Parameters
    ----------
    path : str or Path
        The backup.
    into : str or Path
        The records file to make; the evidence goes beside it.
    replace : bool
        Set records that are there aside, in a folder ``replaced-…`` beside them. They are never deleted.
    despite_problems : bool
        Put them back although their check names problems: there may be no other copy. Every later check
        names them again. A damaged file, or tables that are not the kit's, are refused in any case.
    by : callable, optional
        Told the checked records of the backup, it returns the manager who puts them back: that is signed in
        their chain. Records that are there, with a manager's key on file, are replaced by a manager only.
    unsigned : str
        Why a backup is put back that nobody signed whose key is on file, by the records that are there or
        else by its own. It is recorded with the act, where there is one.
    signed_by : str
        The key that must have signed it, from a paper: see ``knows_signer``.

    Raises
    ------
    NotAllowed
        If a manager's signature is needed and not given.
    UnsignedBackup
        If nobody who is on file signed the backup, and no reason is given.
    OtherSigner
        If it is not signed with the key that the paper shows.
    BadData
        If the backup does not check, was made by a newer kit, or there are records and ``replace`` is false.
    RecordsBusy, DiskTrouble
        If a program has the records open, or the disk refuses. What was there is untouched then.
    """
    source, target = Path(path), Path(into)
    _check_free(target, replace)
    with _plainly(target):
        make_private_folder(target.parent)
        with _drafts(target) as folder:
            told = unpack(source, folder, evidence=True)
            known = knows_signer(told, signed_by)
            _check_database(folder / DATABASE, told, despite_problems)
            before, gone, rooted = _state(target) if target.exists() else _UNREADABLE
            if rooted and by is None:
                raise NotAllowed(_GUARDED)
            with (
                plain_engine(target if rooted else folder / DATABASE) as engine,
                engine.connect() as connection,
            ):
                doubt = doubt_of(told, connection)
            if doubt and not unsigned.strip():
                raise UnsignedBackup(source, doubt)
            why = unsigned.strip() if doubt else ""
            back = sorted(gone - _state(folder / DATABASE)[1])
            act = None
            if by is not None:
                with plain_engine(folder / DATABASE) as engine:
                    hand = by(Records(target, engine))
                act = _signed(folder / DATABASE, target, _said(told, before, hand.person, why), hand, rooted)
            sync(folder / DATABASE)
            _check_free(target, replace)
            if not target.exists():
                _put(folder, target)
                return Restored(told, target, act=act, vouched_elsewhere=known)
            aside = set_aside(target)
            _put(folder, target)
            _drop_others(target, told)
    return Restored(told, target, aside, before, tuple(back), act, known or rooted)


def _signed(database: Path, target: Path, draft: Draft, hand: Hand, guarded: bool) -> Act:
    """Add to the chain that is put back who does it, if the records that are there allow it too."""
    if guarded:  # by what stands there now: a key that was retired since the backup is no key
        with plain_engine(target) as engine, engine.connect() as connection:
            check(connection, hand, draft)
    with plain_engine(database) as engine, Records(target, engine).writing() as connection:
        return write_act(connection, hand, draft)


def _said(told: Backup, before: LedgerHead | None, person: str, unsigned: str) -> Draft:
    """Return the act that names the moment that is put back, and the chain that is set aside."""
    facts: dict[str, Any] = {
        "made_at": told.made_at.isoformat(),
        "head": [told.head.number, told.head.hash],
        "aside": None if before is None else [before.number, before.hash],
    }
    if told.signed is not None:
        facts["signed"] = [told.signed.person, told.signed.key_id]
    if unsigned:
        facts["unsigned"] = unsigned
    return Draft("restored", person, person, facts=facts)


def _check_new(target: Path) -> None:
    if target.exists():
        raise BadData(
            str(target), "there is a file of this name already", "a new name, such as one with the day"
        )
    if not target.parent.is_dir():
        raise BadData(str(target.parent), "there is no such folder", "a folder that is there")


def _check_free(target: Path, replace: bool) -> None:
    if target.is_dir():
        raise BadData(str(target), "this is a folder", "the name of a records file")
    if target.exists() and not replace:
        raise BadData(
            str(target), "there are records here already", "a new place, or --replace, which sets them aside"
        )


def _look(database: Path, check: str, where: str) -> _Seen:
    """Check a database and count what is in it."""
    with plain_engine(database) as engine, engine.connect() as connection:
        said = connection.exec_driver_sql(f"PRAGMA {check}(1)").scalar()
        if said != "ok":
            raise BadData(where, f"the records are damaged ({said})", "a whole file", "Restore a backup.")
        change = version(connection)
        return _Seen(change, _head(connection), _rows(connection))


def _head(connection: Connection) -> LedgerHead:
    return acts.head(connection) if inspect(connection).has_table("acts") else LedgerHead(0, "")


def _rows(connection: Connection) -> dict[str, int]:
    names = sorted(inspect(connection).get_table_names())
    count = "SELECT COUNT(*) FROM "
    return {name: int(connection.exec_driver_sql(f'{count}"{name}"').scalar() or 0) for name in names}


def _chain_problems(database: Path) -> tuple[str, ...]:
    """Return what is wrong with the tables and the chain of a copy."""
    with plain_engine(database) as engine:
        with engine.connect() as connection:
            built = structure(connection)
        return (*check_chain(Records(database, engine)).problems, *built)


def _check_database(database: Path, told: Backup, despite_problems: bool = False) -> None:
    """Check an unpacked database against its manifest, bring it up to date, and check all that is in it."""
    seen = _look(database, "integrity_check", str(told.path))
    if (seen.change, seen.head, seen.rows) != (told.change, told.head, dict(told.rows)):
        raise damaged(told.path, "the records in it are not those of its manifest")
    with plain_engine(database) as engine:
        bring_up_to_date(engine, where=str(told.path))
        with engine.connect() as connection:
            built = structure(connection)
        found = () if despite_problems else check_all(Records(database, engine)).problems
    for problem in (*found, *built):
        if problem not in told.problems:
            raise damaged(told.path, problem)


def _kept(records: Records, copy: Path, problems: list[str]) -> Iterator[tuple[str, bytes]]:
    """Yield every kept file that is whole; name the others in ``problems``."""
    kept = schema.files.c
    with plain_engine(copy) as engine, engine.connect() as connection:
        wanted = connection.scalars(select(kept.sha256).where(kept.erased_at.is_(None))).all()
    for sha in sorted(wanted):
        place = path_of(records, sha)
        data = place.read_bytes() if place.exists() else None
        if data is not None and hashlib.sha256(data).hexdigest() == sha:
            yield sha, data
        else:
            problems.append(f"the kept file {sha[:12]} {'is missing' if data is None else 'was changed'}")


_State = tuple[LedgerHead | None, set[str], bool]
_UNREADABLE: _State = (None, set(), False)


def _state(database: Path) -> _State:
    """Return the end of a chain, the ids of the erased, and whether acts of trust are signed there."""
    table = schema.acts.c
    readable = suppress(KitError, SQLAlchemyError, sqlite3.Error)
    with readable, plain_engine(database) as engine, engine.connect() as connection:
        erased = connection.scalars(select(table.person).where(table.kind == "erased"))
        return acts.head(connection), {str(person) for person in erased}, InTables(connection).rooted()
    return _UNREADABLE


def _put(folder: Path, target: Path) -> None:
    """Move the evidence in first: the database, last and in one step, then finds all of it."""
    filled = set[Path]()
    for sha, place in stored(folder / "evidence"):
        new = folder_of(target) / sha[:2] / sha
        make_private_folder(new.parent)
        place.replace(new)
        filled.add(new.parent)
    for each in filled:
        sync(each)
    (folder / DATABASE).replace(target)
    sync(target.parent)


def _drop_others(target: Path, told: Backup) -> None:
    """Take evidence of the old records out of the new ones' folder: it lies with the old records now."""
    for sha, place in list(stored(folder_of(target))):
        if f"evidence/{sha[:2]}/{sha}" not in told.parts:
            place.unlink()


@contextmanager
def _drafts(target: Path) -> Iterator[Path]:
    """Give a private folder beside the target; clear those that a crash left."""
    for left in target.parent.glob(f"{_DRAFT}*.draft"):  # whatever it was to become: each backup has its name
        with suppress(OSError):
            if time.time() - left.stat().st_mtime > STALE_S:
                shutil.rmtree(left, ignore_errors=True)
    folder = Path(tempfile.mkdtemp(prefix=_DRAFT, suffix=".draft", dir=target.parent))
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


@contextmanager
def _plainly(where: Path) -> Iterator[None]:
    """Turn what the database driver and the disk say into errors of our own."""
    with said_plainly(where), disk_said_plainly(where):
        try:
            yield
        except sqlite3.Error as error:
            raise DatabaseError("", {}, error) from error
