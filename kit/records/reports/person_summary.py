"""One person, one row a criterion, for the office: a steady table. It is no certificate and says so."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import UTC, datetime
from typing import Any

from kit.exercises.catalogue import Catalogue
from kit.records.ledger.projection import COMPETENT
from kit.records.people.named_acts import day_words
from kit.records.people.staff import find
from kit.records.reports.board import Board, BoardPerson, board
from kit.records.reports.board_page import harmless_cell, step_title
from kit.records.reports.criterion_tables import DAGGER
from kit.records.reports.pdf_style import Paper, as_pdf, framed, section, table
from kit.records.reports.pdf_text import marked, say, text
from kit.records.reports.person_facts import NOT_LOOKED_AT
from kit.records.reports.step_standing import StepStanding, step_standings
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
_CAUTION = (
    "“Not looked at” means that nothing is on record: it is no failure. † safety-critical: all of these must "
    "be competent. No batch is released by this page. A competent person decides that each time."
)


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
    made, who = _made(records, person, now or datetime.now(UTC), catalogue)
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(SUMMARY_COLUMNS)
    for row in _rows(made, who):
        writer.writerow([harmless_cell(value) for value in row])
    return out.getvalue()


def person_summary_paper(
    records: Records, person: str, now: datetime | None = None, catalogue: Catalogue | None = None
) -> bytes:
    """Return the same rows as ``person_summary`` on paper, A4: the steps first, then one row a criterion.

    Parameters and errors are those of ``person_summary``.
    """
    made, who = _made(records, person, now or datetime.now(UTC), catalogue)
    day = day_words(made.made_at.astimezone().date())
    stands = [made.of(who, each) for each in made.criteria]
    steps = step_standings(stands, made.stands.touched(who.person_id))
    story = [
        text("Smokehouse kit · summary of one person", "kicker"),
        text(who.name, "title"),
        text(f"Id {who.person_id} · as it stood on {day} · code of the chain {made.head.short}", "small"),
        framed([marked(f"<b>{say(NOTE.capitalize())}.</b> {say(_CAUTION)}")]),
        _step_table(steps),
        *section("One row a criterion", [_criterion_table(_rows(made, who))]),
    ]
    foot = f"chain head {made.head.short} (act {made.head.number}) · {NOTE}"
    return as_pdf(story, Paper(f"Summary: {who.name}", made.made_at, foot))


def _made(
    records: Records, person: str, moment: datetime, catalogue: Catalogue | None
) -> tuple[Board, BoardPerson]:
    made = board(records, person=find(records, person).person, catalogue=catalogue, now=moment)
    return made, made.people[0]


def _rows(made: Board, who: BoardPerson) -> Iterator[tuple[object, ...]]:
    touched = made.stands.touched(who.person_id)
    for criterion in made.criteria:
        one = made.of(who, criterion)
        decided = one.decided
        yield (
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
            made.made_at.astimezone().date().isoformat(),
            made.head.short,
            NOTE,
        )


def _step_table(steps: Mapping[str, StepStanding]) -> Any:
    rows: list[list[Any]] = [["Step", "Today", "Up to", "Criteria competent"]]
    for step, one in steps.items():
        until = day_words(one.until) if one.way == "alone" else "–"
        way = text(one.words[0], "bold" if one.way == "alone" else "cell")
        rows.append([step_title(step), way, until, f"{one.holds} of {one.of}"])
    return table(rows, [66, 46, 36, 36])


def _criterion_table(found: Iterable[Sequence[object]]) -> Any:
    rows: list[list[Any]] = [["Criterion", "What it says", "Today", "Decided on", "Holds until"]]
    for row in found:
        one = dict(zip(SUMMARY_COLUMNS, row, strict=True))
        critical = f" {DAGGER}" if one["safety-critical"] == "yes" else ""
        state = text(one["state"], "bold" if one["decision today"] == COMPETENT else "cell")
        rows.append(
            [
                f"{one['criterion']}{critical}",
                str(one["what it says"]),
                state,
                str(one["decided on"]) or "–",
                str(one["holds until"]) or "–",
            ]
        )
    return table(rows, [24, 72, 42, 23, 23])
