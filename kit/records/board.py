"""The competence board: people by criteria, each state in words, with its evidence and what is still missing.

Two tracks that never merge. Practice can show knowledge; it never makes anybody competent. That is a
decision of a tutor, and until one is recorded every criterion is `not yet competent`. The states below say
how far practice has come and what the decision still needs.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING, Literal

from sqlalchemy import Connection, func, select

from kit import __version__
from kit.errors import UnknownName
from kit.records import schema
from kit.records.standing import keep_current
from kit.records.store import Records
from kit.records.syllabus import Syllabus

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
class Person:
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
    people: tuple[Person, ...]
    criteria: tuple[Criterion, ...]
    cells: Mapping[int, Mapping[str, Cell]]
    profiles: tuple[str, ...]

    def cell(self, person: Person, criterion: Criterion) -> Cell | None:
        """Return the cell, or None where nothing was tried."""
        return self.cells.get(person.key, {}).get(criterion.id)

    def state(self, person: Person, criterion: Criterion) -> State:
        """Return the state of one person on one criterion."""
        return state_of(criterion, self.cell(person, criterion))

    def steps(self) -> tuple[str, ...]:
        """Return the steps in the order of the work."""
        return tuple(dict.fromkeys(criterion.step for criterion in self.criteria))

    def shown(self, person: Person, step: str) -> tuple[int, int]:
        """Return how many knowledge criteria of a step practice has shown, and how many there are."""
        known = [c for c in self.criteria if c.step == step and c.kind == "knowledge"]
        return sum(self.state(person, c) in ("shown", "sitting") for c in known), len(known)


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


@dataclass(frozen=True)
class Competence:
    """Where one person stands on one criterion, on what evidence, and what is missing, in words."""

    criterion: Criterion
    state: State
    missing: str
    cell: Cell | None
    evidence: tuple[Evidence, ...]

    @property
    def says(self) -> str:
        """The state in words."""
        return STATES[self.state]

    @property
    def decision(self) -> str:
        """The decision. Practice alone never changes it."""
        return "not yet competent"


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


def missing(criterion: Criterion, cell: Cell | None) -> str:
    """Return in words what this criterion still needs before a tutor can decide."""
    if criterion.kind == "performance":
        count = criterion.observations_needed or 1
        tasks = (
            f" Practice that prepares for it: {_variants(cell.tries)} tried." if cell and cell.tries else ""
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
    return f"{so_far}{_variants(more)} right first time, {days}.{sitting}"


def _variants(count: int) -> str:
    return f"{count} variant{'' if count == 1 else 's'}"


def board(
    records: Records,
    *,
    step: str | None = None,
    person: str | None = None,
    syllabus: Syllabus | None = None,
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
    syllabus : Syllabus, optional
        Default: the kit's own exercises and criteria.
    now : datetime, optional
        When the board was made, with a zone. Default: the clock.

    Raises
    ------
    UnknownName
        If nobody, or more than one, answers to ``person``, or there is no such step.
    """
    bank = syllabus or Syllabus()
    criteria = tuple(bank.criteria.values())
    if step is not None:
        steps = dict.fromkeys(c.step for c in criteria)
        if step not in steps:
            raise UnknownName("step", step, steps)
        criteria = tuple(c for c in criteria if c.step == step)
    keep_current(records, bank)
    with records.reading() as connection:
        people = _people(connection)
        if person is not None:
            people = (find_person(people, person),)
        cells = _cells(connection, people[0].key if person is not None else None)
        profiles = _profiles(connection)
    return Board(now or datetime.now(UTC), __version__, people, criteria, cells, profiles)


def competence(
    records: Records, person: str, *, step: str | None = None, syllabus: Syllabus | None = None
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
    syllabus : Syllabus, optional
        Default: the kit's own exercises and criteria.

    Raises
    ------
    UnknownName
        If nobody, or more than one, answers to ``person``, or there is no such step.
    """
    bank = syllabus or Syllabus()
    found = board(records, step=step, person=person, syllabus=bank)
    return competence_of(records, found, found.people[0], bank)


def competence_of(
    records: Records, found: Board, person: Person, syllabus: Syllabus
) -> tuple[Competence, ...]:
    """Return where one person of a board stands, with evidence."""
    with records.reading() as connection:
        evidence = _evidence(connection, person.key, syllabus)
    return tuple(
        Competence(
            criterion,
            found.state(person, criterion),
            missing(criterion, found.cell(person, criterion)),
            found.cell(person, criterion),
            tuple(evidence.get(criterion.id, ())),
        )
        for criterion in found.criteria
    )


def find_person(people: tuple[Person, ...], asked: str) -> Person:
    """Return the one person of that id, start of an id, or name.

    Raises
    ------
    UnknownName
        If there is none or more than one.
    """
    wanted = asked.casefold().strip()
    exact = [p for p in people if p.person_id == asked]
    named = [p for p in people if wanted and p.name.casefold() == wanted]
    near = [p for p in people if wanted and (p.person_id.startswith(wanted) or wanted in p.name.casefold())]
    for group in (exact, named, near):
        if len(group) == 1:
            return group[0]
        if group:
            listed = [f"{p.name} ({p.person_id[:8]})" for p in group[:6]]
            raise UnknownName("one person, but several,", asked, listed)
    raise UnknownName("person", asked, [f"{p.name} ({p.person_id[:8]})" for p in people[:20]])


def _people(connection: Connection) -> tuple[Person, ...]:
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
    found = [
        Person(
            key,
            person_id,
            latest.get(key, "(name removed)"),
            kinds[key].get("attempt", 0),
            flags.get(key, 0),
            kinds[key].get("dispute", 0),
            kinds[key].get("explained", 0),
            taken.get(key),
        )
        for key, person_id in connection.execute(select(people.key, people.person_id))
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


def _evidence(connection: Connection, person: int, syllabus: Syllabus) -> dict[str, list[Evidence]]:
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
        for criterion in syllabus.evidence.get(row.exercise_id, ()):
            role = _role(row.entry in counted.get(criterion, ()), row.right, row.assisted)
            if criterion in syllabus.criteria and syllabus.criteria[criterion].kind == "performance":
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
        if criterion in syllabus.criteria and syllabus.criteria[criterion].safety_critical:
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
