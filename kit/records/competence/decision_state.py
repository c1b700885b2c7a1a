"""What a recorded decision says today: does it hold, is it open again, is a second signature or a review due.

A decision is a row of the chain and never changes. Whether it holds depends on the day and on what came
after it, so that is worked out whenever somebody looks.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, Literal

from sqlalchemy import Connection, Row, select

from kit.exercises.catalogue import Catalogue
from kit.records.competence.deciding import REFRESHER_DAYS
from kit.records.ledger.projection import COMPETENT, NOT_YET
from kit.records.storage import schema

State = Literal[
    "competent", "second wanted", "refresher due", "not yet", "second refused", "appeal", "disputed", "over"
]
WORDS: dict[State, str] = {
    "competent": "competent",
    "second wanted": "competent, second signature wanted",
    "refresher due": "competent, refresher due",
    "not yet": "not yet competent",
    "second refused": "not yet competent: the second signature was refused",
    "appeal": "opened again: an appeal waits",
    "disputed": "opened again: a disputed mark waits",
    "over": "not yet competent: the review date has passed",
}
HOLDS: frozenset[State] = frozenset({"competent", "second wanted", "refresher due"})


@dataclass(frozen=True)
class Decided:
    """A decision as it stands today. ``act`` is its number in the chain."""

    act: int
    state: State
    day: date
    review_on: date | None
    by: str
    second: str
    appeal: int | None

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
        return WORDS[self.state]


def decision_of(row: Row[Any], today: date, *, disputed: bool = False) -> Decided:
    """Return how a row of ``decided`` stands on a day.

    Parameters
    ----------
    row : Row
        A row of the table.
    today : date
        The day it is looked at.
    disputed : bool
        Whether the apprentice disputes a mark that is evidence on this criterion, and nobody has looked yet.
    """
    return Decided(
        row.act, _state(row, today, disputed), row.day, row.review_on, row.by, row.second, row.appeal
    )


def _state(row: Row[Any], today: date, disputed: bool) -> State:
    if row.appeal is not None:
        return "appeal"
    if row.decision != COMPETENT:
        return "second refused" if row.second == "disagreed" else "not yet"
    if disputed:
        return "disputed"
    if row.review_on is not None and row.review_on < today:
        return "over"
    if row.second == "wanted":
        return "second wanted"
    if row.review_on is not None and row.review_on - today <= timedelta(days=REFRESHER_DAYS):
        return "refresher due"
    return "competent"


def decisions(
    connection: Connection, catalogue: Catalogue, today: date, person: str | None = None
) -> dict[str, dict[str, Decided]]:
    """Return every current decision by person id and criterion, as it stands on a day."""
    from kit.records.competence.disputes import open_disputes

    disputed = _criteria_of(open_disputes(connection, person), catalogue)
    decided = schema.decided.c
    query = select(schema.decided)
    if person is not None:
        query = query.where(decided.person == person)
    found: dict[str, dict[str, Decided]] = defaultdict(dict)
    for row in connection.execute(query):
        is_disputed = row.criterion in disputed.get(row.person, ())
        found[row.person][row.criterion] = decision_of(row, today, disputed=is_disputed)
    return dict(found)


def safety_count(found: Mapping[str, Decided], catalogue: Catalogue) -> tuple[int, int]:
    """Return on how many of the safety-critical criteria a person is competent, and how many there are.

    All must be met. Nothing averages over them.
    """
    wanted = [c.id for c in catalogue.criteria.values() if c.safety_critical]
    return sum(name in found and found[name].holds for name in wanted), len(wanted)


def _criteria_of(disputes: Mapping[str, set[str]], catalogue: Catalogue) -> dict[str, set[str]]:
    return {
        person: {c for exercise in exercises for c in catalogue.evidence.get(exercise, ())}
        for person, exercises in disputes.items()
    }
