"""One apprentice's page, and the evidence on one criterion, as the tutor's desk shows them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from sqlalchemy import Connection, func, select

from kit.basics.errors import UnknownName
from kit.exercises.catalogue import Catalogue
from kit.files import signing
from kit.records.competence.deciding import basis_for
from kit.records.competence.decision_state import Decided, safety_count
from kit.records.competence.first_tries import Evidence, evidence_of
from kit.records.ledger import acts, texts
from kit.records.ledger.acts import Act
from kit.records.people.staff import Hand, roles_of
from kit.records.reports.board import Cell, missing
from kit.records.reports.crew_grid import GridCell, cell_of, decided_by, practice_cells
from kit.records.reports.desk_lists import ToLook, names_of, points, to_look_into
from kit.records.storage import schema
from kit.records.storage.store import Records

if TYPE_CHECKING:
    from kit.criteria import Criterion

SUPPORTS = ("read aloud", "interpreter", "extra time")
"""The reasonable adjustments that can be agreed at the desk; anything else goes into the words."""
SLIP_TWICE = 2


@dataclass(frozen=True)
class PracticeDay:
    """What was tried first on one day: how many right, how many not."""

    day: date
    right: int
    tried: int


@dataclass(frozen=True)
class SlipAgain:
    """A slip made at least twice: in which exercise, how often, and when last."""

    exercise: str
    slip: str
    times: int
    last: date


@dataclass(frozen=True)
class Note:
    """Something noted about a person: hours, a version taught, an adjustment."""

    act: int
    topic: str
    day: date
    by_name: str
    text: str
    facts: Mapping[str, Any]


@dataclass(frozen=True)
class DecisionShown:
    """One current decision with what a check of its signature says."""

    criterion: str
    stands: Decided
    by_name: str
    reason: str
    signature: str
    second_by: str
    second_reason: str = ""

    @property
    def second_says(self) -> str:
        """Who gave or refused the second signature, and why; empty where there is none."""
        if not self.second_by:
            return ""
        did = "agreed" if self.stands.second == "agreed" else "refused"
        return f"{self.second_by} {did}: {self.second_reason or texts.ERASED}"


@dataclass(frozen=True)
class DeskPersonPage:
    """Everything the desk knows about one apprentice."""

    key: int
    person: str
    name: str
    roles: tuple[str, ...]
    answers: int
    last_taken: date | None
    safety: tuple[int, int]
    cells: Mapping[str, GridCell]
    days: tuple[PracticeDay, ...]
    slips: tuple[SlipAgain, ...]
    hours: float
    version_taught: str
    supports: tuple[str, ...]
    notes: tuple[Note, ...]
    decisions: tuple[DecisionShown, ...]
    observations: tuple[Act, ...]
    appeals: tuple[Act, ...]
    open: tuple[ToLook, ...]


@dataclass(frozen=True)
class CriterionPage:
    """One person on one criterion: the state, every piece of evidence, what is missing, and the source."""

    person: str
    name: str
    criterion: Criterion
    cell: GridCell
    stands: Decided | None
    decision: DecisionShown | None
    practice: Cell | None
    tries: tuple[Evidence, ...]
    seen: tuple[Act, ...]
    missing: tuple[str, ...]
    still: str
    profiles: tuple[str, ...]


def person_page(
    records: Records, person: str, today: date, catalogue: Catalogue | None = None
) -> DeskPersonPage:
    """Return one apprentice's page.

    Parameters
    ----------
    records : Records
        The open records.
    person : str
        The id.
    today : date
        The local day.
    catalogue : Catalogue, optional
        Default: the kit's own criteria.

    Raises
    ------
    UnknownName
        If there is no such person.
    """
    catalogue = catalogue or Catalogue()
    waits = to_look_into(records, person=person)
    with records.reading() as connection:
        names = names_of(connection)
        key = _key(connection, person, names)
        settled = decided_by(connection, [person], catalogue, today).get(person, {})
        practice = practice_cells(connection, [key]).get(key, {})
        seen = points(connection, catalogue, today, people=[person]).get(person, {})
        about = list(acts.read(connection, person=person))
        notes = _notes(connection, about, names)
        counted, last = _taken(connection, key)
        return DeskPersonPage(
            key,
            person,
            names[person],
            tuple(sorted(roles_of(connection, person))),
            counted,
            last,
            safety_count(settled, catalogue),
            {
                name: cell_of(criterion, settled.get(name), practice.get(name), seen.get(name, []))
                for name, criterion in catalogue.criteria.items()
            },
            _days(connection, key),
            _slips(connection, key),
            sum(float(note.facts.get("hours", 0)) for note in notes if note.topic == "hours"),
            next((_version(note) for note in notes if note.topic == "version taught"), ""),
            agreed(notes),
            notes,
            tuple(_decision(connection, settled[c], c, names) for c in catalogue.criteria if c in settled),
            tuple(act for act in reversed(about) if act.kind == "observed"),
            tuple(act for act in reversed(about) if act.kind in ("appealed", "settled")),
            waits,
        )


def criterion_page(hand: Hand, person: str, criterion: str) -> CriterionPage:
    """Return the evidence of one person on one criterion, and what a decision still needs.

    Parameters
    ----------
    hand : Hand
        Who looks. No key is needed.
    person, criterion : str
        Their ids.

    Raises
    ------
    UnknownName
        If there is no such person or criterion.
    """
    catalogue = hand.catalogue
    if criterion not in catalogue.criteria:
        raise UnknownName("criterion", criterion, catalogue.criteria)
    about, today = catalogue.criteria[criterion], hand.today()
    with hand.records.reading() as connection:
        names = names_of(connection)
        key = _key(connection, person, names)
        stands = decided_by(connection, [person], catalogue, today).get(person, {}).get(criterion)
        practice = practice_cells(connection, [key]).get(key, {}).get(criterion)
        rows = points(connection, catalogue, today, people=[person]).get(person, {}).get(criterion, [])
        table = schema.points.c
        numbers = connection.scalars(
            select(table.act).where(table.person == person, table.criterion == criterion).order_by(table.act)
        )
        seen = tuple(acts.get(connection, number) for number in list(numbers))
        return CriterionPage(
            person,
            names[person],
            about,
            cell_of(about, stands, practice, rows),
            stands,
            None if stands is None else _decision(connection, stands, criterion, names),
            practice,
            tuple(evidence_of(connection, key, catalogue).get(criterion, ())),
            seen,
            basis_for(connection, hand, person, about).missing,
            missing(about, practice),
            _profiles(connection, key),
        )


def agreed(notes: tuple[Note, ...]) -> tuple[str, ...]:
    """Return the adjustments agreed in the latest note on them.

    Examples
    --------
    >>> from datetime import date
    >>> agreed((Note(7, "adjustment", date(2026, 3, 2), "Osric Vane", "", {"agreed": ["read aloud"]}),))
    ('read aloud',)
    """
    return next((tuple(note.facts.get("agreed", ())) for note in notes if note.topic == "adjustment"), ())


def signature_words(row: Any, public: str | None) -> str:
    """Return what a check of one act says: its hash is worked out again, and its signature held to the key.

    Parameters
    ----------
    row : Row
        A row of ``acts``.
    public : str or None
        The public half of the key it names.
    """
    made = acts.digest(
        row.number, row.kind, row.at, (row.by, row.person), row, row.facts, row.key_id, row.prev
    )
    if made != row.hash:
        return "was changed after it was recorded"
    if not row.signature:
        return "has no signature"
    if public is None or not signing.check(public, acts.message(row.hash), row.signature):
        return "the signature does not fit"
    return "signature fits"


def _key(connection: Connection, person: str, names: Mapping[str, str]) -> int:
    people = schema.people.c
    key: int | None = connection.scalar(select(people.key).where(people.person_id == person))
    if key is None:
        raise UnknownName("person", person, list(names)[:20])
    return key


def _decision(
    connection: Connection, stands: Decided, criterion: str, names: Mapping[str, str]
) -> DecisionShown:
    table, keys = schema.acts.c, schema.signing_keys.c
    row = connection.execute(select(schema.acts).where(table.number == stands.act)).one()
    public = connection.scalar(select(keys.public).where(keys.key_id == row.key_id, keys.person == row.by))
    act = acts.act_of(row)
    number = connection.scalar(select(schema.decided.c.second_act).where(schema.decided.c.act == stands.act))
    second = None if number is None else acts.get(connection, number)
    return DecisionShown(
        criterion,
        stands,
        names.get(stands.by, texts.ERASED),
        texts.tell(connection, act.facts.get("reason", "")),
        signature_words(row, public),
        "" if second is None else names.get(second.by, texts.ERASED),
        "" if second is None else texts.tell(connection, second.facts.get("reason", "")),
    )


def _notes(connection: Connection, about: list[Act], names: Mapping[str, str]) -> tuple[Note, ...]:
    noted = [act for act in reversed(about) if act.kind == "noted"]
    told = texts.tell_all(connection, [act.facts.get("words", "") for act in noted])
    return tuple(
        Note(
            act.number,
            act.facts["topic"],
            date.fromisoformat(act.facts["day"]) if act.facts.get("day") else act.at.astimezone().date(),
            names.get(act.by, texts.ERASED),
            told.get(act.facts["words"], texts.ERASED) if act.facts.get("words") else "",
            act.facts,
        )
        for act in noted
    )


def _version(note: Note) -> str:
    return str(note.facts.get("version", "")) or note.text


def _taken(connection: Connection, key: int) -> tuple[int, date | None]:
    entries, takings = schema.entries.c, schema.takings.c
    count = connection.scalar(select(func.count()).where(entries.person == key, entries.what == "attempt"))
    last = connection.scalar(select(func.max(takings.taken_at)).where(takings.person == key))
    return count or 0, None if last is None else last.astimezone().date()


def _days(connection: Connection, key: int) -> tuple[PracticeDay, ...]:
    tries = schema.first_tries.c
    found: dict[date, list[bool]] = defaultdict(list)
    for day, right in connection.execute(
        select(tries.local_day, tries.right).where(tries.person == key).order_by(tries.local_day)
    ):
        found[day].append(right)
    return tuple(PracticeDay(day, sum(rights), len(rights)) for day, rights in found.items())


def _slips(connection: Connection, key: int) -> tuple[SlipAgain, ...]:
    entries, marks, exercises = schema.entries.c, schema.marks.c, schema.exercises.c
    times = func.count()
    rows = connection.execute(
        select(exercises.exercise_id, marks.slip, times, func.max(entries.local_day))
        .join_from(schema.entries, schema.marks, marks.entry == entries.key)
        .join(schema.exercises, exercises.key == entries.exercise)
        .where(entries.person == key, marks.slip != "")
        .group_by(exercises.exercise_id, marks.slip)
        .having(times >= SLIP_TWICE)
        .order_by(times.desc(), exercises.exercise_id)
    )
    return tuple(SlipAgain(*row) for row in rows)


def _profiles(connection: Connection, key: int) -> tuple[str, ...]:
    entries = schema.entries.c
    found = connection.scalars(
        select(entries.profile).distinct().where(entries.person == key, entries.profile.is_not(None))
    )
    return tuple(sorted(name for name in found if name))
