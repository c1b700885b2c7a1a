"""One kitchen in a few figures, counted by the database: what a group sees side by side. No name is in it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from sqlalchemy import Connection, func, select

from kit.records.competence.decision_state import asks_second, lapsed
from kit.records.ledger import acts
from kit.records.ledger.projection import COMPETENT
from kit.records.storage import schema

SOON_DAYS = 60
"""What runs out within so many days is shown, as on the desk. [days]"""


@dataclass(frozen=True)
class KitchenFigures:
    """How a kitchen stands on a day.

    ``competent`` counts decisions that hold, marks in dispute not looked at; ``overdue`` those whose review
    date has passed; ``soon`` those that run out within 60 days. ``seconds`` counts second signatures ever
    given, and ``disagreed`` those that disagreed: they say how far tutors and verifiers agree.
    """

    learners: int
    tutors: int
    competent: int
    overdue: int
    soon: int
    second_wanted: int
    appeals: int
    seconds: int
    disagreed: int
    books: int
    acts: int

    @property
    def agreed_pct(self) -> float | None:
        """The share of second signatures that agreed; None below 5 of them. [%]"""
        return None if self.seconds < 5 else round(100 * (1 - self.disagreed / self.seconds), 1)


def kitchen_figures(connection: Connection, today: date) -> KitchenFigures:
    """Return the figures of a kitchen on a day."""
    decided, takings = schema.decided.c, schema.takings.c
    holds = (decided.decision == COMPETENT) & decided.appeal.is_(None) & ~lapsed(today)
    in_date = decided.review_on.is_(None) | (decided.review_on >= today)

    def count(condition: Any) -> int:
        both = schema.decided.join(schema.acts, schema.acts.c.number == decided.act)
        return connection.scalar(select(func.count()).select_from(both).where(condition)) or 0

    seconds = [bool(act.facts.get("agrees")) for act in acts.read(connection, kind="second")]
    return KitchenFigures(
        _with_role(connection, "apprentice"),
        _with_role(connection, "tutor"),
        count(holds & in_date),
        count(holds & (decided.review_on < today)),
        count(holds & decided.review_on.between(today, today + timedelta(days=SOON_DAYS))),
        count(asks_second(today) & decided.appeal.is_(None)),
        count(decided.appeal.is_not(None)),
        len(seconds),
        seconds.count(False),
        connection.scalar(select(func.count(takings.person.distinct()))) or 0,
        acts.head(connection).number,
    )


def _with_role(connection: Connection, role: str) -> int:
    roles = schema.roles.c
    query = select(func.count(roles.person.distinct())).where(roles.role == role, roles.until.is_(None))
    return connection.scalar(query) or 0
