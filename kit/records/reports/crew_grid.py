"""The rail of the tutor's desk: people by steps and criteria, one tag or word a cell, 50 people a page."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from kit.basics.typed_names import holds
from kit.exercises.catalogue import Catalogue
from kit.records.competence.assess import Assessments, assess_all
from kit.records.competence.assessment import Assessment, State
from kit.records.competence.standings import keep_current
from kit.records.people.crew import CrewMember, crew_by_name
from kit.records.reports.step_standing import StepStanding, step_standings
from kit.records.storage.store import Records

if TYPE_CHECKING:
    from kit.criteria import Criterion

A_PAGE = 50
WORD: dict[State, str] = {
    "competent": "competent",
    "second wanted": "signed once",
    "refresher due": "refresher",
    "not yet": "not yet",
    "second refused": "refused",
    "appeal": "appealed",
    "disputed": "disputed",
    "lapsed": "lapsed",
    "over": "run out",
    "ready": "ready",
    "seen": "seen",
    "nothing": "nothing",
    "practising": "practising",
    "sitting": "ask",
    "observe": "observe",
}
"""The one word of each state. The first nine are decisions."""


@dataclass(frozen=True)
class GridRow:
    """One person: the cells by criterion, and on how many criteria they are competent."""

    key: int
    person: str
    name: str
    enrolled: bool
    safety: tuple[int, int]
    steps: Mapping[str, StepStanding]
    cells: Mapping[str, Assessment]


@dataclass(frozen=True)
class CrewPage:
    """One page of the board. ``people`` is how many fit the search; ``pages`` how many pages that makes."""

    rows: tuple[GridRow, ...]
    criteria: tuple[Criterion, ...]
    page: int
    pages: int
    people: int
    not_enrolled: int


def crew_page(
    records: Records,
    today: date,
    *,
    catalogue: Catalogue | None = None,
    search: str = "",
    page: int = 1,
    a_page: int = A_PAGE,
) -> CrewPage:
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
        crew = crew_by_name(connection)
        found = [p for p in crew if not wanted or holds(p.name, search) or p.person.startswith(wanted)]
        pages = max(1, -(-len(found) // a_page))
        page = min(max(1, page), pages)
        on_page = found[(page - 1) * a_page : page * a_page]
        stands = assess_all(connection, catalogue, today, [one.person for one in on_page])
    rows = tuple(_row(one, stands) for one in on_page)
    missing = sum(not one.enrolled for one in crew)
    return CrewPage(rows, tuple(catalogue.criteria.values()), page, pages, len(found), missing)


def _row(one: CrewMember, stands: Assessments) -> GridRow:
    cells = stands.all_of(one.person)
    by_step = step_standings(cells.values(), stands.touched(one.person))
    safety = stands.safety(one.person)
    return GridRow(one.key, one.person, one.name, one.enrolled, safety, by_step, cells)
