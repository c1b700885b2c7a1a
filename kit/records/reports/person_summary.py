"""One person, one row a criterion, for the office: a steady table. It is no certificate and says so."""

from __future__ import annotations

import csv
import io
from datetime import UTC, datetime

from kit.exercises.catalogue import Catalogue
from kit.records.people.staff import find
from kit.records.reports.board import board
from kit.records.reports.board_page import harmless_cell, step_title
from kit.records.storage.store import Records

SUMMARY_COLUMNS = (
    "person id",
    "name",
    "step",
    "criterion",
    "what it says",
    "safety-critical",
    "decision today",
    "state",
    "decided on",
    "holds until",
    "act",
    "made on",
    "end of chain",
    "note",
)
"""The columns, in this order. Days are year-month-day; a cell is empty where nothing was decided."""
NOTE = "no certificate: what is on record on this day"
NOT_LOOKED_AT = "not looked at"


def person_summary(
    records: Records, person: str, now: datetime | None = None, catalogue: Catalogue | None = None
) -> str:
    """Return where one person stands, one row a criterion, as comma-separated text.

    Parameters
    ----------
    records : Records
        The open records.
    person : str
        Somebody who learns now: a name, or an id or its start.
    now : datetime, optional
        When it is made, with a zone. Default: the clock.
    catalogue : Catalogue, optional
        Default: the kit's own criteria.

    Raises
    ------
    UnknownName
        If nobody who learns now, or more than one, answers to ``person``.

    Examples
    --------
    >>> SUMMARY_COLUMNS[:3]
    ('person id', 'name', 'step')
    """
    moment = now or datetime.now(UTC)
    made = board(records, person=find(records, person).person, catalogue=catalogue, now=moment)
    (who,) = made.people
    touched = made.stands.touched(who.person_id)
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(SUMMARY_COLUMNS)
    for criterion in made.criteria:
        one = made.of(who, criterion)
        decided = one.decided
        row = (
            who.person_id,
            who.name,
            step_title(criterion.step),
            criterion.id,
            criterion.text,
            "yes" if criterion.safety_critical else "no",
            "" if decided is None else one.decision,
            one.says if criterion.id in touched else NOT_LOOKED_AT,
            "" if decided is None else decided.day.isoformat(),
            "" if one.until is None else one.until.isoformat(),
            "" if decided is None else decided.act,
            moment.astimezone().date().isoformat(),
            made.head.short,
            NOTE,
        )
        writer.writerow([harmless_cell(value) for value in row])
    return out.getvalue()
