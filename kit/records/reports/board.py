"""The competence board: people by criteria, and where each person stands on each, as ``assess`` says."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from kit import __version__
from kit.criteria import step_named
from kit.exercises.catalogue import Catalogue
from kit.records.competence.assess import Assessments, assess_all
from kit.records.competence.assessment import Assessment
from kit.records.competence.first_tries import Evidence, evidence_of, profiles_of
from kit.records.competence.standings import keep_current
from kit.records.intake.review import tallies
from kit.records.ledger import acts
from kit.records.ledger.acts import LedgerHead
from kit.records.ledger.joins import book_id, joined_ids
from kit.records.people.crew import learners
from kit.records.people.find import one_of
from kit.records.storage.store import Records

if TYPE_CHECKING:
    from kit.criteria import Criterion

PRACTICE_IS_UNSUPERVISED = (
    "Practice is done alone and unsupervised. Nobody is competent by practice: that is a tutor's decision, "
    "one criterion at a time. A criterion on doing the work needs an observation."
)


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
    """Every person, every criterion, and where each person stands on each."""

    made_at: datetime
    kit_version: str
    people: tuple[BoardPerson, ...]
    criteria: tuple[Criterion, ...]
    stands: Assessments
    profiles: tuple[str, ...]
    head: LedgerHead

    def of(self, person: BoardPerson, criterion: Criterion) -> Assessment:
        """Return where one person stands on one criterion."""
        return self.stands.of(person.person_id, criterion.id)

    def holding(self, person: BoardPerson) -> int:
        """Return on how many criteria of this board a person is competent today."""
        return sum(self.of(person, criterion).holds for criterion in self.criteria)

    def steps(self) -> tuple[str, ...]:
        """Return the steps in the order of the work."""
        return tuple(dict.fromkeys(criterion.step for criterion in self.criteria))

    def shown(self, person: BoardPerson, step: str) -> tuple[int, int]:
        """Return how many knowledge criteria of a step practice has shown, and how many there are."""
        known = [c for c in self.criteria if c.step == step and c.kind == "knowledge"]
        return sum(self.of(person, criterion).held for criterion in known), len(known)


def board(
    records: Records,
    *,
    step: str | None = None,
    person: str | None = None,
    catalogue: Catalogue | None = None,
    now: datetime | None = None,
) -> Board:
    """Return the board of everyone who learns, or of one step or one person.

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
    catalogue, moment = catalogue or Catalogue(), now or datetime.now(UTC)
    criteria = tuple(catalogue.criteria.values())
    if step is not None:
        step = step_named(step, dict.fromkeys(c.step for c in criteria))
        criteria = tuple(c for c in criteria if c.step == step)
    keep_current(records, catalogue)
    with records.reading() as connection:
        crew = [one for one in learners(connection) if one.now]
        if person is not None:
            crew = [one_of(crew, person, lambda one: one.person)]
        only = None if person is None else crew[0].person
        books = {kept: book_id(connection, kept) for kept in joined_ids(connection).values()}
        counts = tallies(connection, None if only is None else books.get(only, only))
        people = tuple(
            BoardPerson(one.key, one.person, one.name, *counts[books.get(one.person, one.person)])
            for one in crew
        )
        stands = assess_all(
            connection, catalogue, moment.astimezone().date(), None if only is None else [only]
        )
        return Board(
            moment, __version__, people, criteria, stands, profiles_of(connection), acts.head(connection)
        )


def tries_of(records: Records, person: BoardPerson, catalogue: Catalogue) -> dict[str, list[Evidence]]:
    """Return the first tries of one person of a board, by criterion, and what each did for it."""
    with records.reading() as connection:
        return evidence_of(connection, person.key, catalogue)
