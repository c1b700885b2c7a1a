"""The competence board: people by criteria, each state in words, with its evidence and what is still missing.

Two tracks that never merge. Practice can show knowledge; it never makes anybody competent. That is a
decision of a tutor, signed, one criterion at a time. Until one holds, a criterion is `not yet competent`. The
states below say how far practice has come and what the decision still needs.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING, Literal

from sqlalchemy import Connection, func, select

from kit import __version__
from kit.basics.errors import UnknownName
from kit.basics.quantities import count_of
from kit.exercises.catalogue import Catalogue
from kit.records.competence.decision_state import Decided, decisions, safety_count
from kit.records.competence.first_tries import Evidence, evidence_of
from kit.records.competence.standings import keep_current
from kit.records.intake.review import looked_count
from kit.records.ledger import acts, texts
from kit.records.ledger.acts import LedgerHead
from kit.records.people.find import one_of
from kit.records.storage import schema
from kit.records.storage.store import Records

if TYPE_CHECKING:
    from kit.criteria import Criterion

State = Literal["nothing", "practising", "shown", "sitting", "observe"]
STATES: dict[State, str] = {
    "nothing": "nothing yet",
    "practising": "practising",
    "shown": "shown in practice",
    "sitting": "not yet: needs a supervised sitting or oral check",
    "observe": "not yet: needs an observation",
}
PRACTICE_IS_UNSUPERVISED = (
    "Practice is done alone and unsupervised. Nobody is competent by practice: that is a tutor's decision, "
    "one criterion at a time. A criterion on doing the work needs an observation."
)


@dataclass(frozen=True, slots=True)
class Cell:
    """How far one person's practice has come on one criterion."""

    held: bool
    days_right: int
    days_needed: int
    tries: int
    last_day: date | None


@dataclass(frozen=True)
class BoardPerson:
    """One row: who, how many answers were marked, and what waits for the tutor."""

    key: int
    person_id: str
    name: str
    answers: int
    flags: int
    disputes: int
    explanations: int
    last_taken_at: datetime | None


@dataclass(frozen=True)
class Board:
    """Every person, every criterion, and the cells where there is anything to say."""

    made_at: datetime
    kit_version: str
    people: tuple[BoardPerson, ...]
    criteria: tuple[Criterion, ...]
    cells: Mapping[int, Mapping[str, Cell]]
    profiles: tuple[str, ...]
    decided: Mapping[str, Mapping[str, Decided]] = field(default_factory=dict)
    safety: Mapping[str, tuple[int, int]] = field(default_factory=dict)
    head: LedgerHead = LedgerHead(0, "")  # noqa: RUF009 - frozen, the same for all

    def cell(self, person: BoardPerson, criterion: Criterion) -> Cell | None:
        """Return the cell, or None where nothing was tried."""
        return self.cells.get(person.key, {}).get(criterion.id)

    def state(self, person: BoardPerson, criterion: Criterion) -> State:
        """Return the state of one person on one criterion."""
        return state_of(criterion, self.cell(person, criterion))

    def decision(self, person: BoardPerson, criterion: Criterion) -> Decided | None:
        """Return the decision as it stands today, or None where a tutor has not decided."""
        return self.decided.get(person.person_id, {}).get(criterion.id)

    def holding(self, person: BoardPerson) -> int:
        """Return on how many criteria of this board a person is competent today."""
        mine = self.decided.get(person.person_id, {})
        return sum(c.id in mine and mine[c.id].holds for c in self.criteria)

    def steps(self) -> tuple[str, ...]:
        """Return the steps in the order of the work."""
        return tuple(dict.fromkeys(criterion.step for criterion in self.criteria))

    def shown(self, person: BoardPerson, step: str) -> tuple[int, int]:
        """Return how many knowledge criteria of a step practice has shown, and how many there are."""
        known = [c for c in self.criteria if c.step == step and c.kind == "knowledge"]
        return sum(self.state(person, c) in ("shown", "sitting") for c in known), len(known)


@dataclass(frozen=True)
class Competence:
    """Where one person stands on one criterion, on what evidence, and what is missing, in words."""

    criterion: Criterion
    state: State
    missing: str
    cell: Cell | None
    evidence: tuple[Evidence, ...]
    decided: Decided | None = None

    @property
    def says(self) -> str:
        """The state in words: the decision, if there is one, else how far practice has come."""
        return self.decided.says if self.decided else STATES[self.state]

    @property
    def decision(self) -> str:
        """The decision. Practice alone never changes it."""
        return self.decided.decision if self.decided else "not yet competent"


def state_of(criterion: Criterion, cell: Cell | None) -> State:
    """Return the state that practice has reached.

    Performance is always ``observe``. Knowledge goes from ``nothing`` over ``practising`` to ``shown``;
    where a mistake can hurt someone it goes to ``sitting`` instead.
    """
    if criterion.kind == "performance":
        return "observe"
    if cell is None or cell.tries == 0:
        return "nothing"
    if not cell.held:
        return "practising"
    return "sitting" if criterion.safety_critical else "shown"


def still_missing(criterion: Criterion, cell: Cell | None, decided: Decided | None) -> str:
    """Return in words what a criterion still needs, seeing what was decided."""
    if decided is None or decided.state in ("not yet", "over"):
        return missing(criterion, cell)
    until = f" Review on {decided.review_on.isoformat()}." if decided.review_on else ""
    needs = {
        "competent": "nothing.",
        "refresher due": "a refresher.",
        "second wanted": "a verifier's signature.",
        "second refused": "a new decision by a tutor.",
        "appeal": "somebody else settles the appeal.",
        "disputed": "a tutor looks at the disputed mark.",
    }
    return needs[decided.state].capitalize() + (until if decided.holds else "")


def missing(criterion: Criterion, cell: Cell | None) -> str:
    """Return in words what this criterion still needs before a tutor can decide."""
    if criterion.kind == "performance":
        count = criterion.observations_needed or 1
        tasks = (
            f" Practice that prepares for it: {count_of(cell.tries, 'variant')} tried."
            if cell and cell.tries
            else ""
        )
        return f"{count} observation{'s' if count > 1 else ''} of real work.{tasks}"
    sitting = " Then a supervised sitting or an oral check." if criterion.safety_critical else ""
    if cell is not None and cell.held:
        return (
            "A supervised sitting or an oral check." if criterion.safety_critical else "The tutor's decision."
        )
    needed = cell.days_needed if cell else (3 if criterion.safety_critical else 2)
    right = cell.days_right if cell else 0
    more = needed - right
    so_far = f"Right first time on {right} of {needed} days. " if cell and cell.tries else ""
    days = "each on a new day" if more > 1 else "on a new day"
    return f"{so_far}{count_of(more, 'variant')} right first time, {days}.{sitting}"


def board(
    records: Records,
    *,
    step: str | None = None,
    person: str | None = None,
    catalogue: Catalogue | None = None,
    now: datetime | None = None,
) -> Board:
    """Return the board of everyone taken in, or of one step or one person.

    Parameters
    ----------
    records : Records
        The open records.
    step : str, optional
        Only the criteria of this step.
    person : str, optional
        Only this person: the id, the start of one, or a name that only one person bears.
    catalogue : Catalogue, optional
        Default: the kit's own exercises and criteria.
    now : datetime, optional
        When the board was made, with a zone. Default: the clock.

    Raises
    ------
    UnknownName
        If nobody, or more than one, answers to ``person``, or there is no such step.
    """
    catalogue = catalogue or Catalogue()
    criteria = tuple(catalogue.criteria.values())
    if step is not None:
        steps = dict.fromkeys(c.step for c in criteria)
        if step not in steps:
            raise UnknownName("step", step, steps)
        criteria = tuple(c for c in criteria if c.step == step)
    keep_current(records, catalogue)
    with records.reading() as connection:
        people = _people(connection)
        if person is not None:
            people = (find_person(people, person),)
        cells = _cells(connection, people[0].key if person is not None else None)
        profiles = _profiles(connection)
        moment = now or datetime.now(UTC)
        one = people[0].person_id if person is not None else None
        decided = decisions(connection, catalogue, moment.astimezone().date(), one)
        head = acts.head(connection)
    safety = {who: safety_count(found, catalogue) for who, found in decided.items()}
    return Board(moment, __version__, people, criteria, cells, profiles, decided, safety, head)


def competence(
    records: Records, person: str, *, step: str | None = None, catalogue: Catalogue | None = None
) -> tuple[Competence, ...]:
    """Return where one person stands on every criterion, with evidence and with what is missing.

    Parameters
    ----------
    records : Records
        The open records.
    person : str
        The id, the start of one, or a name that only one person bears.
    step : str, optional
        Only the criteria of this step.
    catalogue : Catalogue, optional
        Default: the kit's own exercises and criteria.

    Raises
    ------
    UnknownName
        If nobody, or more than one, answers to ``person``, or there is no such step.
    """
    catalogue = catalogue or Catalogue()
    found = board(records, step=step, person=person, catalogue=catalogue)
    return competence_of(records, found, found.people[0], catalogue)


def competence_of(
    records: Records, found: Board, person: BoardPerson, catalogue: Catalogue
) -> tuple[Competence, ...]:
    """Return where one person of a board stands, with evidence."""
    with records.reading() as connection:
        evidence = evidence_of(connection, person.key, catalogue)
    return tuple(
        Competence(
            criterion,
            found.state(person, criterion),
            still_missing(criterion, found.cell(person, criterion), found.decision(person, criterion)),
            found.cell(person, criterion),
            tuple(evidence.get(criterion.id, ())),
            found.decision(person, criterion),
        )
        for criterion in found.criteria
    )


def find_person(people: tuple[BoardPerson, ...], asked: str) -> BoardPerson:
    """Return the one person of that id, start of an id, or name.

    Raises
    ------
    UnknownName
        If there is none or more than one.
    """
    return one_of(people, asked, lambda person: person.person_id)


def _people(connection: Connection) -> tuple[BoardPerson, ...]:
    latest = dict[int, str]()
    names = schema.names.c
    for person, name in connection.execute(select(names.person, names.name).order_by(names.key)):
        latest[person] = name
    kinds: dict[int, dict[str, int]] = defaultdict(dict)
    entries = schema.entries.c
    counted = select(entries.person, entries.what, func.count()).group_by(entries.what, entries.person)
    for person, what, count in connection.execute(counted):
        kinds[person][what] = count
    flag = schema.flags.c.person
    flags: dict[int, int] = dict(connection.execute(select(flag, func.count()).group_by(flag)).all())
    takings = schema.takings.c
    taken: dict[int, datetime] = {}
    for person, at in connection.execute(select(takings.person, takings.taken_at).order_by(takings.key)):
        taken[person] = at
    people = schema.people.c
    learners = set(
        connection.scalars(select(schema.roles.c.person).where(schema.roles.c.role == "apprentice"))
    )
    looked = looked_count(connection)
    found = [
        BoardPerson(
            key,
            person_id,
            latest.get(key, texts.ERASED),
            kinds[key].get("attempt", 0),
            max(0, flags.get(key, 0) - looked[person_id, "flag"]),
            max(0, kinds[key].get("dispute", 0) - looked[person_id, "dispute"]),
            max(0, kinds[key].get("explained", 0) - looked[person_id, "explanation"]),
            taken.get(key),
        )
        for key, person_id in connection.execute(select(people.key, people.person_id))
        if kinds[key] or key in taken or person_id in learners
    ]
    return tuple(sorted(found, key=lambda p: (p.name.casefold(), p.person_id)))


def _cells(connection: Connection, person: int | None) -> dict[int, dict[str, Cell]]:
    s = schema.standings.c
    query = select(s.person, s.criterion, s.held, s.days_right, s.days_needed, s.tries, s.last_day)
    if person is not None:
        query = query.where(s.person == person)
    found: dict[int, dict[str, Cell]] = defaultdict(dict)
    for who, criterion, *facts in connection.execute(query):
        found[who][criterion] = Cell(*facts)
    return found


def _profiles(connection: Connection) -> tuple[str, ...]:
    """The rule profiles under which answers were given."""
    profile = schema.entries.c.profile
    found = connection.scalars(
        select(profile).distinct().where(schema.entries.c.what == "attempt", profile.is_not(None))
    )
    return tuple(sorted(name for name in found if name))
