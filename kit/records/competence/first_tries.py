"""First tries as evidence: what each one did for a criterion, in words."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from datetime import date

from sqlalchemy import Connection, select

from kit.exercises.catalogue import Catalogue
from kit.records.storage import schema


@dataclass(frozen=True)
class Evidence:
    """One first try at a variant: when, what, how it went, and what it does for the criterion."""

    day: date
    exercise: str
    line: int
    score: float
    of: float
    verdict: str
    slip: str
    role: str


def evidence_of(connection: Connection, person: int, catalogue: Catalogue) -> dict[str, list[Evidence]]:
    """Return a person's first tries by criterion, oldest first, and what each does for it."""
    tries, marks, exercises = schema.first_tries.c, schema.marks.c, schema.exercises.c
    rows = connection.execute(
        select(
            tries.entry,
            tries.local_day,
            exercises.exercise_id,
            tries.position,
            tries.right,
            tries.assisted,
            marks.score,
            marks.of,
            marks.verdict,
            marks.slip,
        )
        .join_from(schema.first_tries, schema.marks, marks.entry == tries.entry)
        .join(schema.exercises, exercises.key == tries.exercise)
        .where(tries.person == person)
        .order_by(tries.at)
    ).all()
    standings = schema.standings.c
    counted = {
        row.criterion: set(row.counted)
        for row in connection.execute(
            select(standings.criterion, standings.counted).where(standings.person == person)
        )
    }
    found: dict[str, list[Evidence]] = defaultdict(list)
    for row in rows:
        for criterion in catalogue.evidence.get(row.exercise_id, ()):
            role = _role(row.entry in counted.get(criterion, ()), row.right, row.assisted)
            if criterion in catalogue.criteria and catalogue.criteria[criterion].kind == "performance":
                role = "prepares"
            found[criterion].append(
                Evidence(
                    row.local_day,
                    row.exercise_id,
                    row.position + 1,
                    row.score,
                    row.of,
                    row.verdict,
                    row.slip,
                    role,
                )
            )
    for criterion, about in found.items():
        if criterion in catalogue.criteria and catalogue.criteria[criterion].safety_critical:
            found[criterion] = _cleared(about)
    return found


def _cleared(about: list[Evidence]) -> list[Evidence]:
    """Say of each right answer that a later miss took it away again: the count starts anew after a miss."""
    last_miss = max((place for place, one in enumerate(about) if one.role == "missed"), default=0)
    return [
        replace(one, role="cleared by a later miss")
        if place < last_miss and one.role == "adds no day"
        else one
        for place, one in enumerate(about)
    ]


def _role(counted: bool, right: bool, helped: bool) -> str:
    if counted:
        return "counts"
    if not right:
        return "missed"
    return "with help" if helped else "adds no day"
