"""The backup of a server on a timer: written, put back as a trial, and old ones removed by a rule."""

from __future__ import annotations

import json
import os
import re
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from time import monotonic

from kit.basics.errors import OutOfRange
from kit.basics.site_log import log_event
from kit.records.people.staff import Hand
from kit.records.storage.store import Records
from kit.records.upkeep.backup import backup
from kit.records.upkeep.backup_file import Backup
from kit.records.upkeep.backup_health import note_made, try_restore

JOURNAL = "retention.jsonl"
_OURS = re.compile(r"records-(\d{4}-\d\d-\d\d-\d{6})\.backup")
_STAMP = "%Y-%m-%d-%H%M%S"


@dataclass(frozen=True)
class RetentionRule:
    """How long backups stay: ``days`` each, and the newest ``least`` whatever their age."""

    days: int = 35
    least: int = 7

    def __post_init__(self) -> None:
        """Refuse a rule that would leave nothing."""
        if self.days < 1:
            raise OutOfRange("the days to keep", self.days, "1 or more")
        if self.least < 1:
            raise OutOfRange("the backups to keep", self.least, "1 or more")


@dataclass(frozen=True)
class BackupRun:
    """What a run did: the backup, how long it and its trial took [s], and which old backups it removed."""

    made: Backup
    made_s: float
    tried_s: float
    removed: tuple[str, ...]


def run_backup(
    records: Records,
    folder: Path,
    rule: RetentionRule | None = None,
    *,
    by: Hand | None = None,
    now: datetime | None = None,
) -> BackupRun:
    """Write a backup into a folder, put it back as a trial, then remove what the rule no longer keeps.

    Nothing is removed unless the new backup served. What was removed, and by which rule, stands in
    ``retention.jsonl`` beside the records.

    Raises
    ------
    KitError
        If the backup cannot be written, or does not serve. The old ones all stay.
    """
    moment, rule = now or datetime.now(UTC), rule or RetentionRule()
    began, name = monotonic(), f"records-{moment.astimezone(UTC):{_STAMP}}.backup"
    made = backup(records, folder / name, now=moment, by=by)
    note_made(records.path, made)
    made_s = monotonic() - began
    log_event("backup made", acts=made.head.number, problems=len(made.problems), took_s=round(made_s, 2))
    began = monotonic()
    try_restore(records.path, made.path, moment)
    tried_s = monotonic() - began
    log_event("backup tried", acts=made.head.number, took_s=round(tried_s, 2))
    removed = _remove_old(folder, rule, moment)
    _record(records.path.with_name(JOURNAL), rule, removed, moment)
    log_event("backups removed", removed=len(removed), keep_days=rule.days, keep_least=rule.least)
    return BackupRun(made, made_s, tried_s, removed)


def old_backups(names: list[str], rule: RetentionRule, now: datetime) -> tuple[str, ...]:
    """Return which backups a rule no longer keeps, by the time in their names. Other files are left alone.

    Examples
    --------
    >>> names = [f"records-2026-03-0{day}-020000.backup" for day in (1, 2, 3)] + ["mine.backup"]
    >>> old_backups(names, RetentionRule(days=1, least=1), datetime(2026, 3, 9, tzinfo=UTC))
    ('records-2026-03-01-020000.backup', 'records-2026-03-02-020000.backup')
    """
    dated = sorted((match.group(1), name) for name in names if (match := _OURS.fullmatch(name)))
    before = (now.astimezone(UTC) - timedelta(days=rule.days)).strftime(_STAMP)
    return tuple(name for stamp, name in dated[: -rule.least] if stamp < before)


def _remove_old(folder: Path, rule: RetentionRule, now: datetime) -> tuple[str, ...]:
    files = [each.name for each in os.scandir(folder) if each.is_file(follow_symlinks=False)]
    removed = old_backups(files, rule, now)
    for name in removed:
        (folder / name).unlink()
    return removed


def _record(journal: Path, rule: RetentionRule, removed: tuple[str, ...], now: datetime) -> None:
    told = {"at": now.astimezone(UTC).isoformat(timespec="seconds"), "keep_days": rule.days}
    told |= {"keep_least": rule.least, "removed": list(removed)}
    handle = os.open(journal, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
    try:
        os.write(handle, (json.dumps(told) + "\n").encode())
        os.fsync(handle)
    finally:
        os.close(handle)
