"""How well the records are saved: when a backup was made, when one was tried, and whether one came unsigned.

A small file beside the records says it. It is a note for whoever looks after them, no evidence: nobody signs
it, and where it is lost nothing else is.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from kit.basics.atomic_files import write_private
from kit.basics.errors import BadData
from kit.records.evidence.kept_files import check_files
from kit.records.storage.store import open_records
from kit.records.upkeep.backup import restore
from kit.records.upkeep.backup_file import Backup

NOTE = "backups.json"
LATE_DAYS, TRIAL_LATE_DAYS = 7, 92
"""A backup older than a week, or none tried for a quarter, is said to be late: ours, no source. [days]"""


@dataclass(frozen=True)
class BackupHealth:
    """When the last backup was made and where, and when one was last put back as a trial."""

    made_at: datetime | None = None
    file: str = ""
    problems: int = 0
    tried_at: datetime | None = None
    tried: str = ""
    unsigned: str = ""

    def says(self, now: datetime) -> tuple[str, ...]:
        """Return in sentences what is late or wrong; nothing if all is well.

        Examples
        --------
        >>> BackupHealth().says(datetime(2026, 3, 2, tzinfo=UTC))[0]
        'No backup was made from here yet.'
        """
        found = []
        if self.unsigned:
            found.append(f"These records came from a backup that nobody vouched for: {self.unsigned}")
        if self.made_at is None:
            found.append("No backup was made from here yet.")
        elif (now - self.made_at).days > LATE_DAYS:
            found.append(f"The last backup is {(now - self.made_at).days} days old.")
        if self.problems:
            found.append(f"The last backup names {self.problems} problems of the records.")
        if self.tried_at is None:
            found.append("No backup was put back as a trial yet: nobody knows whether one would serve.")
        elif (now - self.tried_at).days > TRIAL_LATE_DAYS:
            found.append(f"The last trial of putting one back is {(now - self.tried_at).days} days old.")
        return tuple(found)


def health(records_file: Path) -> BackupHealth:
    """Return what the note beside the records says; an unreadable one says nothing."""
    try:
        told = json.loads((records_file.parent / NOTE).read_text(encoding="utf-8"))
        return BackupHealth(
            _moment(told.get("made_at")),
            str(told.get("file", "")),
            int(told.get("problems", 0)),
            _moment(told.get("tried_at")),
            str(told.get("tried", "")),
            str(told.get("unsigned", "")),
        )
    except (OSError, ValueError, TypeError, AttributeError):
        return BackupHealth()


def note_made(records_file: Path, made: Backup) -> None:
    """Note that a backup was made of these records."""
    facts = {"made_at": made.made_at.isoformat(), "file": str(made.path), "problems": len(made.problems)}
    _note(records_file, facts)


def note_unsigned(records_file: Path, reason: str, now: datetime | None = None) -> None:
    """Note that these records came from a backup that nobody vouched for, and why, where no act says it."""
    day = (now or datetime.now(UTC)).astimezone().date()
    _note(records_file, {"unsigned": f"{day.isoformat()}, {reason}"})


def try_restore(records_file: Path, backup_file: Path, now: datetime | None = None) -> Backup:
    """Put a backup back in a throw-away folder, look at every file in it, and note that it served.

    Raises
    ------
    BadData
        If it does not check, or a file that it should hold is missing or changed.
    """
    moment = now or datetime.now(UTC)
    with TemporaryDirectory(prefix="trial-") as scratch:
        done = restore(backup_file, Path(scratch) / "records.db", unsigned="a trial")
        trial = open_records(done.path, make=False)
        try:
            files = check_files(trial)
        finally:
            trial.close()
    if not files.whole:
        lost = len(files.missing) + len(files.changed)
        raise BadData(str(backup_file), f"{lost} files of evidence are missing or changed", "a whole backup")
    _note(records_file, {"tried_at": moment.isoformat(), "tried": str(backup_file)})
    return done.backup


def _note(records_file: Path, facts: dict[str, Any]) -> None:
    was = health(records_file)
    told = {
        "made_at": None if was.made_at is None else was.made_at.isoformat(),
        "file": was.file,
        "problems": was.problems,
        "tried_at": None if was.tried_at is None else was.tried_at.isoformat(),
        "tried": was.tried,
        "unsigned": was.unsigned,
    }
    write_private(records_file.parent / NOTE, json.dumps(told | facts, indent=1).encode())


def _moment(text: object) -> datetime | None:
    moment = datetime.fromisoformat(text) if isinstance(text, str) else None
    return moment if moment is not None and moment.tzinfo is not None else None
