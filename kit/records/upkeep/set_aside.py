"""Records that make room for others: given a second place, whole, and never deleted."""

from __future__ import annotations

import os
import shutil
import sqlite3
from contextlib import closing, suppress
from datetime import UTC, datetime
from pathlib import Path

from kit.basics.atomic_files import make_private_folder, sync
from kit.basics.errors import BadData
from kit.records.evidence.kept_files import folder_of, stored
from kit.records.storage.store import RecordsBusy


def set_aside(target: Path) -> Path:
    """Give the records that are there a second place, whole, and return it. They stay where they are too.

    Raises
    ------
    RecordsBusy
        If a program has them open.
    """
    _let_go(target)
    aside = _new_folder(target.parent, f"replaced-{datetime.now(UTC).astimezone():%Y-%m-%d-%H%M%S}")
    _second_place(target, aside / target.name)
    for ending in ("-wal", "-shm"):
        beside = target.with_name(target.name + ending)
        if beside.exists():  # only where the old file was too damaged to take its log in
            beside.replace(aside / beside.name)
    for sha, place in stored(folder_of(target)):
        new = folder_of(aside / target.name) / sha[:2] / sha
        make_private_folder(new.parent)
        _second_place(place, new)
    sync(aside)
    return aside


def _let_go(target: Path) -> None:
    """Take the log into the file, which works only while nobody else has it open."""
    with suppress(sqlite3.DatabaseError), closing(sqlite3.connect(target, timeout=2)) as old:
        try:
            old.execute("PRAGMA journal_mode = DELETE").fetchone()
        except sqlite3.OperationalError as error:
            if "locked" in str(error) or "busy" in str(error):
                raise RecordsBusy(
                    f"{target}: another program has these records open. Nothing was restored. "
                    "Close it, then try again."
                ) from None


def _new_folder(parent: Path, name: str) -> Path:
    for turn in range(1, 1000):
        folder = parent / (name if turn == 1 else f"{name}-{turn}")
        with suppress(FileExistsError):
            folder.mkdir(mode=0o700)
            return folder
    raise BadData(str(parent / name), "there are too many folders of this name")


def _second_place(old: Path, new: Path) -> None:
    """Let a file be found in a second place; a copy where the disk knows no links."""
    try:
        os.link(old, new)
    except OSError:
        shutil.copy2(old, new)
        new.chmod(0o600)
        sync(new)
