"""Whether a person was erased: one act says so, and it stands for good."""

from __future__ import annotations

from datetime import date

from sqlalchemy import Connection, select

from kit.records.storage import schema


def erased_on(connection: Connection, person: str) -> date | None:
    """Return the day on which the person of this id was erased from the records, or None."""
    acts = schema.acts.c
    at = connection.scalar(
        select(acts.at).where(acts.person == person, acts.kind == "erased").order_by(acts.number).limit(1)
    )
    return None if at is None else at.astimezone().date()


def why_gone(connection: Connection, person: str) -> str:
    """Return why nothing about this person is taken any more, or an empty text."""
    day = erased_on(connection, person)
    if day is None:
        return ""
    return (
        f"the person of this id was erased from the records on {day.isoformat()}. Nothing about them is "
        "taken again. Somebody who starts anew gets a new id."
    )
