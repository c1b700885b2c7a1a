"""What a recorded decision says today: does it hold, is it open again, is a second signature or a review due.

A decision is a row of the chain and never changes. Whether it holds depends on the day and on what came
after it, so that is worked out whenever somebody looks.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Sequence
from datetime import date, datetime, time, timedelta
from typing import Any, Literal, NamedTuple

from sqlalchemy import ColumnElement, Connection, Row, select

from kit.exercises.catalogue import Catalogue
from kit.records.competence.disputes import disputed_criteria
from kit.records.ledger.draws import TO_DRAW
from kit.records.ledger.projection import COMPETENT, NOT_YET
from kit.records.storage import schema

REFRESHER_DAYS = 30  # so long before the review date a refresher is due: ours
_REFRESHER = timedelta(days=REFRESHER_DAYS)
SECOND_WITHIN_DAYS = 30  # so long a decision that wants a second signature holds without it: ours
_SECOND_WITHIN = timedelta(days=SECOND_WITHIN_DAYS)
DecisionState = Literal[
    "competent",
    "second wanted",
    "refresher due",
    "not yet",
    "second refused",
    "lapsed",
    "appeal",
    "disputed",
    "over",
]
DECISION_SAYS: dict[DecisionState, str] = {
    "competent": "competent",
    "second wanted": "competent, signed once: a second signature is wanted",
    "refresher due": "competent, refresher due",
    "not yet": "not yet competent",
    "second refused": "not yet competent: the second signature was refused",
    "lapsed": f"not yet competent: signed once, and no second signature within {SECOND_WITHIN_DAYS} days",
    "appeal": "opened again: an appeal waits",
    "disputed": "opened again: a disputed mark waits",
    "over": "not yet competent: the review date has passed",
}
HOLDS: frozenset[DecisionState] = frozenset({"competent", "second wanted", "refresher due"})
RENEWED: frozenset[DecisionState] = HOLDS | {"over", "lapsed"}
"""The states after a decision "competent" in which the next one renews it."""


class Decided(NamedTuple):
    """A decision as it stands today. ``act`` is its number in the chain."""

    act: int
    state: DecisionState
    day: date
    review_on: date | None
    by: str
    second: str
    appeal: int | None

    @property
    def wants_second(self) -> bool:
        """Whether a verifier is to look at it now."""
        return self.second == "wanted" and self.appeal is None

    @property
    def holds(self) -> bool:
        """Whether this person counts as competent on this criterion today."""
        return self.state in HOLDS

    @property
    def decision(self) -> str:
        """``competent`` or ``not yet competent``."""
        return COMPETENT if self.holds else NOT_YET

    @property
    def says(self) -> str:
        """The state in words."""
        return DECISION_SAYS[self.state]


def state_of(
    decision: str,
    review_on: date | None,
    second: str,
    appeal: int | None,
    today: date,
    *,
    signed_on: date,
    disputed: bool,
) -> DecisionState:
    """Return how a recorded decision stands on a day: does it hold, is it open again, has it run out.

    ``signed_on`` is the day on which it was recorded. ``disputed`` says that a mark which is evidence on it
    is disputed, and nobody has looked yet.
    """
    if appeal is not None:
        return "appeal"
    if decision != COMPETENT:
        return "second refused" if second == "disagreed" else "not yet"
    if disputed:
        return "disputed"
    if review_on is not None and review_on < today:
        return "over"
    if second == "wanted":
        return "second wanted" if today <= signed_on + _SECOND_WITHIN else "lapsed"
    if review_on is not None and review_on - today <= _REFRESHER:
        return "refresher due"
    return "competent"


def decisions(
    connection: Connection,
    catalogue: Catalogue,
    today: date,
    people: Collection[str] | None = None,
    only: ColumnElement[bool] | None = None,
) -> dict[str, dict[str, Decided]]:
    """Return every current decision by person id and criterion, as it stands on a day."""
    disputed = disputed_criteria(connection, catalogue, people)
    decided, acts = schema.decided.c, schema.acts.c
    query = select(
        decided.person,
        decided.criterion,
        decided.act,
        decided.decision,
        decided.day,
        decided.review_on,
        decided.by,
        decided.second,
        decided.appeal,
        acts.at,
    ).join_from(schema.decided, schema.acts, acts.number == decided.act)
    if people is not None:
        query = query.where(decided.person.in_(people))
    if only is not None:
        query = query.where(only)
    found: dict[str, dict[str, Decided]] = defaultdict(dict)
    for who, name, act, decision, day, review_on, by, second, appeal, at in connection.execute(query).all():
        signed_on = at.astimezone().date()
        if second == TO_DRAW and decision == COMPETENT and today > signed_on + _SECOND_WITHIN:
            second = "wanted"  # nobody else has signed anything since: that must not spare it
        state = state_of(
            decision,
            review_on,
            second,
            appeal,
            today,
            signed_on=signed_on,
            disputed=name in disputed.get(who, ()),
        )
        found[who][name] = Decided(act, state, day, review_on, by, second, appeal)
    return dict(found)


def rests(today: date) -> ColumnElement[bool]:
    """Return the condition that a decision holds and nothing is due: no evidence is needed there now."""
    decided = schema.decided.c
    soon = today + _REFRESHER
    due = (decided.review_on <= soon).is_(True) | asks_second(today)
    return (decided.decision == COMPETENT) & decided.appeal.is_(None) & ~due


def asks_second(today: date) -> ColumnElement[bool]:
    """Return the condition that a verifier is to look at a decision: drawn, or never drawn for too long."""
    decided = schema.decided.c
    too_long = (decided.second == TO_DRAW) & (decided.day < today - _SECOND_WITHIN)
    return (decided.second == "wanted") | (too_long & (decided.decision == COMPETENT))


def resting_decisions(connection: Connection, today: date) -> dict[str, set[str]]:
    """Return for each person id the criteria whose decision rests."""
    decided = schema.decided.c
    found: dict[str, set[str]] = defaultdict(set)
    query = select(decided.person, decided.criterion).where(rests(today))
    for person, criterion in connection.execute(query).all():
        found[person].add(criterion)
    return found


def lapsed(today: date) -> ColumnElement[bool]:
    """Return the condition that a second signature did not come in time. The query must join ``acts``."""
    first = datetime.combine(today - _SECOND_WITHIN, time()).astimezone()
    return schema.decided.c.second.in_(("wanted", TO_DRAW)) & (schema.acts.c.at < first)


def running_out(connection: Connection, today: date, until: date) -> dict[str, list[tuple[str, date]]]:
    """Return for each person id the decisions that hold today and run out by a day, with that day."""
    decided = schema.decided.c
    found: dict[str, list[tuple[str, date]]] = defaultdict(list)
    ends = (decided.review_on >= today) & (decided.review_on <= until)
    query = select(decided.person, decided.criterion, decided.review_on)
    query = query.join_from(schema.decided, schema.acts, schema.acts.c.number == decided.act)
    holds = (decided.decision == COMPETENT) & decided.appeal.is_(None) & ~lapsed(today) & ends
    for person, criterion, day in connection.execute(query.where(holds)).all():
        found[person].append((criterion, day))
    return found


def leaves_open() -> ColumnElement[bool]:
    """Return the condition that a decision said not yet, and nothing else waits first."""
    decided = schema.decided.c
    return (decided.decision != COMPETENT) & (decided.second != "disagreed") & decided.appeal.is_(None)


def wanting_second(connection: Connection, me: str, today: date, limit: int) -> Sequence[Row[Any]]:
    """Return the decisions that want a second signature, oldest first, as ``Decided.wants_second`` says.

    Without those that ``me`` made, or that are about them.
    """
    decided = schema.decided.c
    wanted = asks_second(today) & decided.appeal.is_(None)
    query = select(schema.decided).where(wanted, decided.by != me, decided.person != me)
    return connection.execute(query.order_by(decided.act).limit(limit)).all()


def appealed(connection: Connection, limit: int, person: str = "") -> Sequence[Row[Any]]:
    """Return the decisions whose appeal is open, of one person or of all, the oldest appeal first."""
    decided = schema.decided.c
    query = select(schema.decided).where(decided.appeal.is_not(None))
    if person:
        query = query.where(decided.person == person)
    return connection.execute(query.order_by(decided.appeal).limit(limit)).all()
