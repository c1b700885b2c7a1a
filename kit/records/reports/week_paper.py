"""This week on paper, to pin up by the desk: whom to see on which day, at which step, with a box to tick."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime
from itertools import groupby
from typing import Any

from kit.exercises.catalogue import Catalogue
from kit.languages import ENGLISH
from kit.records.competence.standings import keep_current
from kit.records.people.named_acts import day_words
from kit.records.reports.board_page import step_title
from kit.records.reports.pdf_style import BOX, Paper, as_pdf, section, table
from kit.records.reports.pdf_text import text
from kit.records.reports.this_week import NOBODY, WeekRow, know_words, this_week, what_words
from kit.records.storage.store import Records

_SAYS = (
    "Those who fell silent or are stuck come first. The days are a proposal: nothing here decides anything. "
    "This paper names people: it belongs to the tutor, not on the wall."
)
_LOOKS = ("sheet", "sheet bold")


def week_paper(records: Records, now: datetime | None = None, catalogue: Catalogue | None = None) -> bytes:
    """Return this week as PDF: A4, 11 pt and more, one row a person, day by day.

    Parameters
    ----------
    records : Records
        The open records.
    now : datetime, optional
        When it is made, with a zone. Default: the clock.
    catalogue : Catalogue, optional
        Default: the kit's own criteria.

    Examples
    --------
    >>> import tempfile
    >>> from kit.records import open_records
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     records = open_records(f"{folder}/records.db")
    ...     week_paper(records)[:5]
    ...     records.close()
    b'%PDF-'
    """
    catalogue, moment = catalogue or Catalogue(), now or datetime.now(UTC)
    keep_current(records, catalogue)
    today = moment.astimezone().date()
    story = [text(f"This week, from {day_words(today)}", "sheet title"), text(_SAYS, "sheet")]
    rows = this_week(records, today, catalogue)
    for day, here in groupby(rows, key=lambda row: row.day):
        story += section(ENGLISH.day(day), [_day(here, catalogue)], room_mm=40, style="sheet head")
    if not rows:
        story.append(text(NOBODY, "sheet"))
    return as_pdf(story, Paper("This week", moment, "a proposal: nothing here decides anything"))


def _day(rows: Iterable[WeekRow], catalogue: Catalogue) -> Any:
    shown: list[list[Any]] = [["", "Whom, where", "What to see", "Good to know"]]
    for row in rows:
        at = f", at: {step_title(row.step)}" if row.step else ", for a word"
        shown.append(
            [text(BOX, "box"), row.name + at, what_words(row, catalogue), know_words(row, catalogue) or "–"]
        )
    return table(shown, [9, 45, 75, 55], looks=_LOOKS)
