"""The cohort board of the tutor's desk: people by criteria, one word a cell, 50 people a page.

A cell says what was decided, or where nothing was, how far practice and observation have come.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from sqlalchemy import Connection, select

from kit.exercises.catalogue import Catalogue
from kit.records.competence.decision_state import Decided, safety_count
from kit.records.competence.standings import keep_current
from kit.records.reports.board import STATES, Cell, state_of
from kit.records.reports.desk_lists import Apprentice, Point, decided_rows, names_of, points, ready_for
from kit.records.storage import schema
from kit.records.storage.store import Records

if TYPE_CHECKING:
    from kit.criteria import Criterion

A_PAGE = 50
WORD = {
    "competent": "competent",
    "second wanted": "unsigned",
    "refresher due": "refresher",
    "not yet": "not yet",
    "second refused": "refused",
    "appeal": "appealed",
    "disputed": "disputed",
    "over": "run out",
    "ready": "ready",
    "seen": "seen",
    "nothing": "nothing",
    "practising": "practising",
    "shown": "shown",
    "sitting": "ask",
    "observe": "observe",
}
"""The one word of each state. The first eight are decisions."""


@dataclass(frozen=True)
class GridCell:
    """One cell: its state, the one word of it, a count such as ``1/2`` where there is one, and a sentence."""

    state: str
    count: str
    says: str

    @property
    def word(self) -> str:
        """The one word."""
        return WORD[self.state]


@dataclass(frozen=True)
class GridRow:
    """One person: the cells by criterion, and on how many criteria they are competent."""

    key: int
    person: str
    name: str
    enrolled: bool
    safety: tuple[int, int]
    steps: Mapping[str, tuple[int, int]]
    cells: Mapping[str, GridCell]


@dataclass(frozen=True)
class Cohort:
    """One page of the board. ``people`` is how many fit the search; ``pages`` how many pages that makes."""

    rows: tuple[GridRow, ...]
    criteria: tuple[Criterion, ...]
    page: int
    pages: int
    people: int
    not_enrolled: int


def cohort(
    records: Records,
    today: date,
    *,
    catalogue: Catalogue | None = None,
    search: str = "",
    page: int = 1,
    a_page: int = A_PAGE,
) -> Cohort:
    """Return one page of the board, by name.

    Parameters
    ----------
    records : Records
        The open records.
    today : date
        The local day: a decision may have run out.
    catalogue : Catalogue, optional
        Default: the kit's own criteria.
    search : str
        Only people whose name holds this, or whose id begins with it.
    page : int
        From 1; a page that is not there becomes the nearest that is.
    a_page : int
        People a page.
    """
    catalogue = catalogue or Catalogue()
    keep_current(records, catalogue)
    wanted = search.casefold().strip()
    with records.reading() as connection:
        everyone, enrolled = learners(connection)
        found = [p for p in everyone if wanted in p.name.casefold() or p.person.startswith(wanted or "\0")]
        pages = max(1, -(-len(found) // a_page))
        page = min(max(1, page), pages)
        on_page = found[(page - 1) * a_page : page * a_page]
        rows = _rows(connection, on_page, enrolled, catalogue, today)
    missing = sum(one.person not in enrolled for one in everyone)
    return Cohort(rows, tuple(catalogue.criteria.values()), page, pages, len(found), missing)


def learners(connection: Connection) -> tuple[list[Apprentice], set[str]]:
    """Return everyone who learns, by name, and the ids of those enrolled as apprentices now.

    Whoever sent in an answer book learns, unless they hold another role only.
    """
    roles, people = schema.roles.c, schema.people.c
    held: dict[str, set[str]] = defaultdict(set)
    for person, role in connection.execute(select(roles.person, roles.role).where(roles.until.is_(None))):
        held[person].add(role)
    ever = set(connection.scalars(select(roles.person).where(roles.role == "apprentice")))
    with_book = set(connection.scalars(select(schema.takings.c.person).distinct()))
    names = names_of(connection)
    found = [
        Apprentice(key, person, names[person])
        for key, person in connection.execute(select(people.key, people.person_id))
        if "apprentice" in held[person] or (not held[person] and (person in ever or key in with_book))
    ]
    enrolled = {person for person, roles_now in held.items() if "apprentice" in roles_now}
    return sorted(found, key=lambda one: (one.name.casefold(), one.person)), enrolled


def cell_of(
    criterion: Criterion, stands: Decided | None, practice: Cell | None, rows: Sequence[Point]
) -> GridCell:
    """Return one cell: what was decided, or how far the evidence has come.

    Examples
    --------
    >>> from kit import criteria
    >>> cell = cell_of(criteria.get("COK-P01"), None, None, [])
    >>> cell.word, cell.says
    ('observe', 'not yet: needs an observation')
    """
    if stands is not None and stands.state != "not yet":
        review = f", review by {stands.review_on.isoformat()}" if stands.review_on and stands.holds else ""
        return GridCell(stands.state, "", stands.says + review)
    ready = ready_for(criterion, practice is not None and practice.held, rows)
    if stands is not None:
        return GridCell("not yet", "", f"{stands.says}, decided on {stands.day.isoformat()}")
    if ready == "decide":
        return GridCell("ready", "", "the evidence is complete: ready for a decision")
    if criterion.kind == "performance":
        return _seen(criterion, rows)
    state = state_of(criterion, practice)
    if practice is None or state == "nothing":
        return GridCell("nothing", "", STATES["nothing"])
    right = min(practice.days_right, practice.days_needed)
    says = f"{STATES[state]}; right first time on {practice.days_right} of {practice.days_needed} days"
    return GridCell(state, f"{right}/{practice.days_needed}", says)


def decided_by(
    connection: Connection, people: Iterable[str], catalogue: Catalogue, today: date
) -> dict[str, dict[str, Decided]]:
    """Return the decisions about these people as they stand today, by id and criterion."""
    return decided_rows(connection, catalogue, today, schema.decided.c.person.in_(list(people)))


def _rows(
    connection: Connection, people: list[Apprentice], enrolled: set[str], catalogue: Catalogue, today: date
) -> tuple[GridRow, ...]:
    ids = [one.person for one in people]
    settled = decided_by(connection, ids, catalogue, today)
    practice = practice_cells(connection, [one.key for one in people])
    seen = points(connection, catalogue, today, people=ids)
    rows = []
    for one in people:
        stands = settled.get(one.person, {})
        by_step: dict[str, tuple[int, int]] = {}
        cells = {}
        for name, criterion in catalogue.criteria.items():
            decision = stands.get(name)
            cells[name] = cell_of(
                criterion,
                decision,
                practice.get(one.key, {}).get(name),
                seen.get(one.person, {}).get(name, []),
            )
            holds, of = by_step.get(criterion.step, (0, 0))
            by_step[criterion.step] = (holds + (decision is not None and decision.holds), of + 1)
        rows.append(
            GridRow(
                one.key,
                one.person,
                one.name,
                one.person in enrolled,
                safety_count(stands, catalogue),
                by_step,
                cells,
            )
        )
    return tuple(rows)


def practice_cells(connection: Connection, keys: list[int]) -> dict[int, dict[str, Cell]]:
    """Return how far each of these people is in practice, by criterion: unsupervised, so never a decision."""
    s = schema.standings.c
    query = select(s.person, s.criterion, s.held, s.days_right, s.days_needed, s.tries, s.last_day)
    found: dict[int, dict[str, Cell]] = defaultdict(dict)
    for who, criterion, *facts in connection.execute(query.where(s.person.in_(keys))):
        found[who][criterion] = Cell(*facts)
    return found


def _seen(criterion: Criterion, rows: Sequence[Point]) -> GridCell:
    needed = criterion.observations_needed or 1
    met = {row.day for row in rows if row.outcome == "met" and row.method == "observation"}
    if not rows:
        return GridCell("observe", "", STATES["observe"])
    last = rows[-1].outcome
    return GridCell(
        "seen", f"{min(len(met), needed)}/{needed}", f"seen at work, last {last}; met on {len(met)} days"
    )
