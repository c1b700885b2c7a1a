"""This week, for a tutor: one row a person, whom to see at which step on which day, and what runs out.

A proposal, no decision: what waits is what ``assess`` says may be done next. Those who fell silent or are
stuck come first, because nobody else brings them to mind.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import islice

from kit.exercises.catalogue import Catalogue
from kit.languages import ENGLISH
from kit.records.competence.assessment import NEXT_SAYS, Next
from kit.records.competence.decision_state import running_out
from kit.records.competence.observations import last_seen_days
from kit.records.competence.standings import last_practice_days, stuck_at
from kit.records.people.crew import crew_by_name
from kit.records.reports.board_page import long_day, step_title
from kit.records.reports.desk_lists import SORTS, ToSee, to_see
from kit.records.storage.store import Records

SILENT_DAYS, STUCK_TRIES, RUNS_OUT_DAYS = 14, 30, 60
"""Silent: nothing for so many days. Stuck: so many questions, and never shown. Ours, no source."""
MOST_CRITERIA = 3
"""So many things are seen at one visit."""
WORKING_DAYS = 5
MOST_ENDS = 2
NOBODY = "Nobody waits to be seen, nobody is silent, and nothing runs out."


@dataclass(frozen=True)
class WeekRow:
    """One person: the day to see them, at which step, for which criteria, and what else to know.

    ``silent_since`` is the last day on which anything was done; ``stuck`` a criterion that practice does not
    come to. ``runs_out`` are decisions that end within 60 days. ``criteria`` is empty where there is nothing
    to see yet but something to ask.
    """

    person: str
    name: str
    day: date
    step: str
    criteria: tuple[str, ...]
    sort: Next | None
    more: int
    silent_since: date | None
    stuck: str
    runs_out: tuple[tuple[str, date], ...]


def this_week(
    records: Records,
    today: date,
    catalogue: Catalogue | None = None,
    see: Sequence[ToSee] | None = None,
) -> tuple[WeekRow, ...]:
    """Return whom to see in the next five working days, the silent and the stuck first.

    Parameters
    ----------
    records : Records
        The open records; standings as they were last kept.
    today : date
        The local day.
    catalogue : Catalogue, optional
        Default: the kit's own criteria.
    see : sequence of ToSee, optional
        What waits to be seen, from ``to_see`` of the same day, where it was read already.
    """
    catalogue = catalogue or Catalogue()
    with records.reading() as connection:
        crew = [one for one in crew_by_name(connection) if one.enrolled]
        ends = running_out(connection, today, today + timedelta(days=RUNS_OUT_DAYS))
        done, seen = last_practice_days(connection), last_seen_days(connection)
        stuck = stuck_at(connection, STUCK_TRIES, tuple(catalogue.exercises_for))
    waits: dict[str, list[ToSee]] = defaultdict(list)
    for one in to_see(records, today, catalogue) if see is None else see:
        waits[one.person].append(one)
    rows = []
    for who in crew:
        last = max((day for day in (done.get(who.person), seen.get(who.person)) if day), default=None)
        silent = last if last is not None and (today - last).days > SILENT_DAYS else None
        step, sort, criteria, more = _visit(waits[who.person], catalogue)
        row = WeekRow(
            who.person,
            who.name,
            today,
            step,
            criteria,
            sort,
            more,
            silent,
            stuck.get(who.person, ""),
            tuple(sorted(ends.get(who.person, ()), key=lambda one: one[1])),
        )
        if criteria or silent or row.stuck or row.runs_out:
            rows.append(row)
    return _on_days(sorted(rows, key=_pressing), today)


def _visit(waits: Sequence[ToSee], catalogue: Catalogue) -> tuple[str, Next | None, tuple[str, ...], int]:
    """Return the step at which most presses, why, up to 3 of its criteria, and how many more wait in all."""
    if not waits:
        return "", None, (), 0
    first = min(waits, key=lambda one: SORTS.index(one.sort))
    step = catalogue.criteria[first.criteria[0]].step
    here = [name for name in first.criteria if catalogue.criteria[name].step == step][:MOST_CRITERIA]
    return step, first.sort, tuple(here), sum(len(one.criteria) for one in waits) - len(here)


def _pressing(row: WeekRow) -> tuple[bool, bool, int, str]:
    sort = len(SORTS) if row.sort is None else SORTS.index(row.sort)
    return (row.silent_since is None, not row.stuck, sort, row.name.casefold())


def _on_days(rows: Sequence[WeekRow], today: date) -> tuple[WeekRow, ...]:
    """Return the rows spread over the next five working days, the most pressing today."""
    days = list(islice((d for n in range(9) if (d := today + timedelta(days=n)).weekday() < 5), WORKING_DAYS))
    a_day = -(-len(rows) // WORKING_DAYS) or 1
    return tuple(replace(row, day=days[min(n // a_day, WORKING_DAYS - 1)]) for n, row in enumerate(rows))


def where_words(row: WeekRow) -> str:
    """Return the day of a visit, and at which step it is.

    Examples
    --------
    >>> where_words(WeekRow("p-1", "Tam Ferris", date(2026, 3, 2), "cook", (), None, 0, None, "", ()))
    'Monday 2 March, at: Cook by temperature'
    """
    at = f", at: {step_title(row.step)}" if row.step else ", for a word"
    return f"{ENGLISH.day(row.day)}{at}"


def what_words(row: WeekRow, catalogue: Catalogue) -> str:
    """Return what to see at a visit, in words of the work."""
    if not row.criteria:
        return "Nothing is ready to be seen. Ask how it goes."
    texts = " ".join(catalogue.criteria[name].text for name in row.criteria)
    more = f" And {row.more} more later." if row.more else ""
    return f"{NEXT_SAYS[row.sort].capitalize()}: {texts}{more}" if row.sort else f"{texts}{more}"


def know_words(row: WeekRow, catalogue: Catalogue) -> str:
    """Return what else is good to know of a person: silent, stuck, or what runs out."""
    known = []
    if row.silent_since is not None:
        known.append(f"Nothing since {long_day(row.silent_since)}.")
    if row.stuck and row.stuck in catalogue.criteria:
        known.append(f"Stuck at: {catalogue.criteria[row.stuck].text}")
    known += [
        f"Runs out on {long_day(day)}: {catalogue.criteria[name].text}"
        for name, day in row.runs_out[:MOST_ENDS]
        if name in catalogue.criteria
    ]
    beyond = len(row.runs_out) - MOST_ENDS
    return " ".join([*known, *([f"And {beyond} more run out."] if beyond > 0 else [])])
