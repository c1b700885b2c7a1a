"""How long records of leavers stay: the rule a manager signed, and whether an erasure follows from it."""

from __future__ import annotations

from datetime import date
from typing import Any, NamedTuple, Protocol

from dateutil.relativedelta import relativedelta
from sqlalchemy import Connection, select

from kit.records.ledger import acts
from kit.records.ledger.acts import TAKEN_IN, Draft
from kit.records.storage import schema

RULE_SET = "retention set"
"""The kind of act by which a manager says how long records of leavers stay."""
LONGEST_YEARS = 100


class LeaverRule(NamedTuple):
    """The act that sets the rule, who signed it, and how long records stay. [years]"""

    act: int
    by: str
    years: int


class _Then(Protocol):
    def roles(self, person: str) -> frozenset[str]: ...
    def had_key(self, person: str) -> bool: ...
    def leaver_rule(self) -> LeaverRule | None: ...
    def last_here(self, person: str) -> date | None: ...


def rule_of(number: int, by: str, facts: Any) -> LeaverRule | None:
    """Return the rule that an act sets; None if it ends the one before, or cannot be read.

    Examples
    --------
    >>> rule_of(7, "s-berit", {"years": 3})
    LeaverRule(act=7, by='s-berit', years=3)
    >>> rule_of(8, "s-berit", {"years": None}) is None
    True
    """
    years = facts.get("years")
    whole = isinstance(years, int) and not isinstance(years, bool) and 1 <= years <= LONGEST_YEARS
    return LeaverRule(number, by, years) if whole else None


def rule_in_force(connection: Connection) -> LeaverRule | None:
    """Return the rule that stands now, or None."""
    table = schema.acts.c
    query = select(table.number, table.by, table.facts).where(table.kind == RULE_SET)
    row = connection.execute(query.order_by(table.number.desc()).limit(1)).first()
    return None if row is None else rule_of(row.number, row.by, acts.facts_of(row.facts))


def last_day_here(connection: Connection, person: str) -> date | None:
    """Return the day somebody left, or of their last taking in if later; None if they never left."""
    table = schema.acts.c
    rows = connection.execute(
        select(table.kind, table.at).where(table.person == person, table.kind.in_(("left", TAKEN_IN)))
    ).all()
    if not any(row.kind == "left" for row in rows):
        return None
    latest: date = max(row.at for row in rows).astimezone().date()
    return latest


def kept_until(last: date, years: int) -> date:
    """Return the first day on which records of somebody who was here last on a day need not stay.

    Examples
    --------
    >>> kept_until(date(2024, 2, 29), 3)
    datetime.date(2027, 2, 28)
    """
    return last + relativedelta(years=years)


def why_kept(draft: Draft, day: date, then: _Then) -> str:
    """Return why an erasure does not follow from the rule that it names; an empty text if it does."""
    rule, about = then.leaver_rule(), str(draft.person)
    if rule is None or (rule.act, rule.by) != (draft.facts["rule"], draft.by):
        return f"Act {draft.facts['rule']} is no rule in force for how long records of leavers stay."
    if then.roles(about):
        return f"{about} holds a role here: nobody runs out who is here."
    if then.had_key(about):
        return f"{about} had a key here and signed for others: a manager erases them, not the rule."
    last = then.last_here(about)
    if last is None:
        return f"{about} never left."
    until = kept_until(last, rule.years)
    return "" if day >= until else f"The records of {about} stay until {until.isoformat()} by that rule."
