"""How a kitchen on a server is: what waits and was taken in, whether chain and backups are sound."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import asdict, dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from time import monotonic
from typing import Any

from sqlalchemy import func, select

from kit.basics.errors import BadData, KitError
from kit.basics.site_log import events_since, log_event
from kit.files import read
from kit.records.intake.book_rows import known_hashes
from kit.records.ledger import acts
from kit.records.storage import schema
from kit.records.storage.store import Records
from kit.records.upkeep.backup_health import LATE_DAYS, TRIAL_LATE_DAYS, health
from kit.records.upkeep.whole_check import check_all

WAITS_LATE_H = 48.0
"""A book that waits longer than this is said to be late: ours, no source. [h]"""


@dataclass(frozen=True)
class CheckedChain:
    """What the last check of the whole chain found, when, and how long it took. [s]"""

    at: datetime
    problems: int
    took_s: float


@dataclass(frozen=True)
class SiteHealth:
    """The figures of one kitchen. None says that nobody knows, or that there is none. No name is in it."""

    at: datetime
    books_waiting: int = 0
    books_unreadable: int = 0
    oldest_waiting_h: float | None = None
    takings: int = 0
    last_taking_h: float | None = None
    acts: int = 0
    chain_problems: int | None = None
    chain_checked_h: float | None = None
    chain_check_s: float | None = None
    backup_age_h: float | None = None
    backup_problems: int = 0
    backup_tried_h: float | None = None
    errors_24h: int = 0

    def wrong(self) -> tuple[str, ...]:
        """Return in sentences what is wrong or late; nothing if all is well.

        Examples
        --------
        >>> now = datetime(2026, 3, 2, tzinfo=UTC)
        >>> SiteHealth(now, backup_age_h=1, backup_tried_h=1, errors_24h=2).wrong()
        ('2 errors in the log of the last 24 h.',)
        """
        backup_late, trial_late = 24.0 * LATE_DAYS, 24.0 * TRIAL_LATE_DAYS
        tests = (
            (bool(self.chain_problems), f"The check of the chain names {self.chain_problems} problems: "
             "`smokehouse record check`."),
            (self.books_unreadable > 0, f"{self.books_unreadable} books in the inbox cannot be read."),
            ((self.oldest_waiting_h or 0) > WAITS_LATE_H,
             f"A book waits in the inbox for {self.oldest_waiting_h or 0:.0f} h."),
            (self.backup_age_h is None, "No backup was made from here yet."),
            ((self.backup_age_h or 0) > backup_late,
             f"The last backup is {self.backup_age_h or 0:.0f} h old."),
            (self.backup_problems > 0, f"The last backup names {self.backup_problems} problems."),
            (self.backup_tried_h is None, "No backup was put back as a trial yet."),
            ((self.backup_tried_h or 0) > trial_late,
             f"The last trial of a backup is {self.backup_tried_h or 0:.0f} h old."),
            (self.errors_24h > 0, f"{self.errors_24h} errors in the log of the last 24 h."),
        )  # fmt: skip
        return tuple(says for is_so, says in tests if is_so)

    def as_json(self) -> dict[str, Any]:
        """Return the figures and what is wrong as plain data."""
        return asdict(self) | {"at": self.at.isoformat(timespec="seconds"), "wrong": list(self.wrong())}


def check_chain_of(records: Records, *, processes: int = 1, now: datetime | None = None) -> CheckedChain:
    """Check the whole chain and every table, note it in the site log, and return what was found."""
    began = monotonic()
    found = check_all(records, processes=processes)
    checked = CheckedChain(now or datetime.now(UTC), len(found.problems), monotonic() - began)
    log_event("chain checked", acts=found.acts, problems=checked.problems, took_s=round(checked.took_s, 2))
    return checked


def site_health(
    records: Records, inbox: Path, checked: CheckedChain | None = None, now: datetime | None = None
) -> SiteHealth:
    """Return how a kitchen is.

    Parameters
    ----------
    records : Records
        The open records.
    inbox : Path
        The folder where books are handed in. It may be missing.
    checked : CheckedChain, optional
        What the last check of the chain found.
    now : datetime, optional
        The moment, with a zone. Default: the clock.
    """
    moment = now or datetime.now(UTC)
    waiting, unreadable, oldest = _inbox(records, inbox, moment)
    takings = schema.takings.c
    with records.reading() as connection:
        end = acts.head(connection)
        count, last = connection.execute(select(func.count(), func.max(takings.taken_at))).one()
    saved, age = health(records.path), _ages(moment)
    return SiteHealth(
        moment,
        waiting,
        unreadable,
        oldest,
        count,
        age(last),
        end.number,
        None if checked is None else checked.problems,
        None if checked is None else age(checked.at),
        None if checked is None else checked.took_s,
        age(saved.made_at),
        saved.problems,
        age(saved.tried_at),
        events_since(moment - timedelta(days=1))["error"],
    )


def _ages(now: datetime) -> Callable[[datetime | None], float | None]:
    return lambda then: None if then is None else round((now - then).total_seconds() / 3600, 3)


def _inbox(records: Records, inbox: Path, now: datetime) -> tuple[int, int, float | None]:
    """Return how many books wait, how many cannot be read, and for how long the oldest has waited. [h]"""
    waiting, unreadable, since = 0, 0, list[float]()
    try:
        names = sorted(entry.path for entry in os.scandir(inbox) if entry.name.endswith(".book"))
    except FileNotFoundError:
        return 0, 0, None
    except OSError as error:
        raise BadData(str(inbox), f"it cannot be read ({error.strerror})", "a folder of books") from None
    for name in names:
        try:
            reading = read(name)
            with records.reading() as connection:
                kept = known_hashes(connection, reading.header.person)
        except KitError:
            unreadable += 1
            continue
        if reading.last_hash not in kept.hashes:
            waiting += 1
            since.append((now.timestamp() - Path(name).stat().st_mtime) / 3600)
    return waiting, unreadable, round(max(since), 3) if since else None
