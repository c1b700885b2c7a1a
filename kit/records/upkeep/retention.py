"""Records of leavers run out by a rule: a manager signs it once, and a nightly job follows it.

The rule is an act, and so is each erasure: it names the rule. The check of the records asks of each whether
the person had left, how long before, and that nobody who signed here went that way.
"""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

from sqlalchemy import Connection, func, select

from kit.basics.errors import KitError, OutOfRange
from kit.basics.site_log import log_event
from kit.records.ledger.acts import Act, ClockAhead, ClockBehind, Draft
from kit.records.ledger.erased import erased_on
from kit.records.people.entitlement import InTables
from kit.records.people.retention_rule import LONGEST_YEARS, RULE_SET, kept_until
from kit.records.people.staff import Hand, utc_now, write
from kit.records.storage import schema
from kit.records.storage.store import DiskTrouble, Records, RecordsBusy
from kit.records.upkeep.erase import erase_by_rule
from kit.records.upkeep.site_backup import JOURNAL

GRACE = timedelta(days=2)
"""So long the job waits beyond the day: zones and clocks differ. Ours, no source."""
BELIEVED = timedelta(days=62)
"""A clock so far ahead of what people last did here is not believed by a job that erases. Ours, no source."""


@dataclass(frozen=True)
class Due:
    """One leaver under the rule: the id, and the day on which the time is over."""

    person: str
    until: date


@dataclass(frozen=True)
class RetentionRun:
    """What one run did: by which act and how many years, who was erased, and who waits and why."""

    rule: int
    years: int
    erased: tuple[str, ...]
    waits: tuple[tuple[str, str], ...]


def set_retention(hand: Hand, years: int | None) -> Act:
    """Record how long records of leavers stay from here on; None ends the rule.

    Parameters
    ----------
    hand : Hand
        A manager; signed, once trust is signed here.
    years : int or None
        From the day somebody left, or their last book was taken in. [years]

    Raises
    ------
    OutOfRange
        If it is not from 1 to 100.
    NotAllowed
        If the hand is no manager, or does not sign.
    """
    if years is not None and not 1 <= years <= LONGEST_YEARS:
        raise OutOfRange("the years", years, f"from 1 to {LONGEST_YEARS}")
    with hand.records.writing() as connection:
        return write(connection, hand, Draft(RULE_SET, hand.person, facts={"years": years}))


def due(connection: Connection) -> tuple[Due, ...]:
    """Return every leaver who is under the rule and not erased, the longest gone first; none without a rule.

    Somebody who ever had a key here is not under it: they signed for others, and a manager erases them.
    """
    then = InTables(connection)
    rule = then.leaver_rule()
    if rule is None:
        return ()
    table = schema.acts.c
    found = []
    for person in connection.scalars(select(table.person).where(table.kind == "left").distinct()):
        last = then.last_here(str(person))
        if last is None or then.roles(person) or then.had_key(person) or erased_on(connection, person):
            continue
        found.append(Due(str(person), kept_until(last, rule.years)))
    return tuple(sorted(found, key=lambda one: (one.until, one.person)))


def run_retention(records: Records, clock: Callable[[], datetime] = utc_now) -> RetentionRun | None:
    """Erase everybody whose time is over by the rule, and return what was done; None without a rule.

    Each is erased in a transaction of its own. Whom something speaks against waits, and the reason is told.
    What was done stands in the chain, and in a line of ``retention.jsonl`` beside the records.

    Raises
    ------
    ClockAhead, ClockBehind
        If nobody has worked here for two months, by this clock: it may have leapt. Nobody is erased then.
    RecordsBusy, DiskTrouble
        If the records cannot be written. Whoever was erased before stays erased.
    """
    with records.reading() as connection:
        rule, listed = InTables(connection).leaver_rule(), due(connection)
        if rule is None:
            return None
        _check_clock(connection, clock())
    today = clock().astimezone().date()
    erased, waits = [], []
    for one in listed:
        if today < one.until + GRACE:
            continue
        try:
            erase_by_rule(Hand(records, rule.by, clock=clock), one.person, rule.act, rule.years)
            erased.append(one.person)
        except (RecordsBusy, DiskTrouble, ClockAhead, ClockBehind):
            raise
        except KitError as error:
            waits.append((one.person, str(error)))
    _journal(records, {"rule": rule.act, "years": rule.years, "erased": erased, "waits": len(waits)}, clock())
    log_event("leavers erased", erased=len(erased), waits=len(waits), keep_years=rule.years)
    return RetentionRun(rule.act, rule.years, tuple(erased), tuple(waits))


def _check_clock(connection: Connection, now: datetime) -> None:
    """Refuse a clock that no work of people here bears out; the job's own acts are no work."""
    table = schema.acts.c
    last = connection.scalar(select(func.max(table.at)).where(table.kind != "erased"))
    if last is not None and now > last + BELIEVED:
        raise ClockAhead(
            f"The clock of this machine says {now:%Y-%m-%d} and the last act here is of {last:%Y-%m-%d}. "
            "Nobody was erased. Is the clock right? Then somebody who works here records something first."
        )


def _journal(records: Records, told: dict[str, object], now: datetime) -> None:
    line = {"at": now.astimezone(UTC).isoformat(timespec="seconds")} | told
    handle = os.open(records.path.with_name(JOURNAL), os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
    try:
        os.write(handle, (json.dumps(line) + "\n").encode())
        os.fsync(handle)
    finally:
        os.close(handle)
