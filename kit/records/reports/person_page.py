"""One apprentice's page, and the evidence on one criterion, as the tutor's desk shows them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from kit.exercises.catalogue import Catalogue
from kit.records.competence.assess import assess, assess_all
from kit.records.competence.assessment import Assessment
from kit.records.competence.decision_state import Decided
from kit.records.competence.first_tries import (
    Evidence,
    PracticeDay,
    SlipAgain,
    days_of,
    evidence_of,
    profiles_of,
    slips_of,
)
from kit.records.competence.observations import observations_on
from kit.records.competence.papers import TestPaper, papers
from kit.records.competence.readings import despite_words
from kit.records.intake.review import tallies
from kit.records.ledger import acts, texts
from kit.records.ledger.acts import Act
from kit.records.ledger.joins import book_id, together
from kit.records.people.crew import key_of, names_of
from kit.records.people.named_acts import Told, tell_acts
from kit.records.people.staff import Hand, roles_of
from kit.records.reports.desk_lists import ToLook, to_look_into
from kit.records.storage.store import Records
from kit.records.upkeep.moving_kitchen import ELSEWHERE, SeenElsewhere, seen_elsewhere

if TYPE_CHECKING:
    from kit.criteria import Criterion

SUPPORTS = ("read aloud", "interpreter", "extra time")
"""The reasonable adjustments that can be agreed at the desk; anything else goes into the words."""


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
class PersonPage:
    """Everything the desk knows about one apprentice."""

    key: int
    person: str
    name: str
    roles: tuple[str, ...]
    answers: int
    last_taken: date | None
    safety: tuple[int, int]
    cells: Mapping[str, Assessment]
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
    unmarked: tuple[TestPaper, ...] = ()
    elsewhere: tuple[SeenElsewhere, ...] = ()


@dataclass(frozen=True)
class CriterionPage:
    """One person on one criterion: where they stand, every piece of evidence, and the source."""

    person: str
    name: str
    stands: Assessment
    decision: DecisionShown | None
    tries: tuple[Evidence, ...]
    seen: tuple[Act, ...]
    profiles: tuple[str, ...]

    @property
    def criterion(self) -> Criterion:
        """The criterion."""
        return self.stands.criterion


def person_page(records: Records, person: str, today: date, catalogue: Catalogue | None = None) -> PersonPage:
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
        key = key_of(connection, person)
        stands = assess_all(connection, catalogue, today, [person])
        ids = together(connection, person)
        about = sorted(
            (act for one in ids for act in acts.read(connection, person=one)), key=lambda act: act.number
        )
        told = tell_acts(connection, people=ids)
        book = book_id(connection, person)
        counted = tallies(connection, book)[book]
        roles = tuple(sorted(roles_of(connection, person)))
        days, slips = days_of(connection, key), slips_of(connection, key)
        unmarked = tuple(paper for one in ids for paper, act in papers(connection, one) if act is None)
    notes, cells = _notes(told, names), stands.all_of(person)
    last = counted.last_taken_at
    return PersonPage(
        key,
        person,
        names[person],
        roles,
        counted.answers,
        None if last is None else last.astimezone().date(),
        stands.safety(person),
        cells,
        days,
        slips,
        sum(float(note.facts.get("hours", 0)) for note in notes if note.topic == "hours"),
        next((_version(note) for note in notes if note.topic == "version taught"), ""),
        agreed(notes),
        notes,
        tuple(shown for one in cells.values() if (shown := _decision(one, told, names)) is not None),
        tuple(act for act in reversed(about) if act.kind == "observed"),
        tuple(act for act in reversed(about) if act.kind in ("appealed", "settled")),
        waits,
        unmarked,
        seen_elsewhere(records, person) if any(act.kind == ELSEWHERE for act in about) else (),
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
    with hand.records.reading() as connection:
        stands = assess(connection, catalogue, person, criterion, hand.today())
        key = key_of(connection, person)
        ids = together(connection, person)
        told = tell_acts(connection, kinds=("decided", "brought in", "second"), people=ids)
        names = names_of(connection)
        return CriterionPage(
            person,
            names[person],
            stands,
            _decision(stands, told, names),
            tuple(evidence_of(connection, key, catalogue).get(criterion, ())),
            observations_on(connection, person, criterion),
            profiles_of(connection, person),
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


def _decision(stands: Assessment, told: Sequence[Told], names: Mapping[str, str]) -> DecisionShown | None:
    decided = stands.decided
    if decided is None:
        return None
    one = next(act for act in told if act.number == decided.act)
    signed = [act for act in told if act.kind == "second" and act.facts.get("act") == decided.act]
    return DecisionShown(
        stands.criterion.id,
        decided,
        names.get(one.by_id, texts.ERASED),
        " ".join(filter(None, (str(one.facts.get("reason", "")), despite_words(one.facts)))),
        one.check,
        names.get(signed[-1].by_id, texts.ERASED) if signed else "",
        str(signed[-1].facts.get("reason", "")) if signed else "",
    )


def _notes(told: Sequence[Told], names: Mapping[str, str]) -> tuple[Note, ...]:
    return tuple(
        Note(
            one.number,
            one.facts["topic"],
            one.day,
            names.get(one.by_id, texts.ERASED),
            one.facts.get("words", ""),
            one.facts,
        )
        for one in reversed(told)
        if one.kind == "noted"
    )


def _version(note: Note) -> str:
    return str(note.facts.get("version", "")) or note.text
