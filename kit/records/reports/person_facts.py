"""What the inspector's file says about one person, gathered from the records. Plain data, no layout."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

from sqlalchemy import Connection, select

from kit.exercises.catalogue import Catalogue
from kit.records.competence.deciding import REFRESHER_DAYS, criterion_print
from kit.records.competence.decision_state import Decided, decisions, safety_count
from kit.records.people.staff import Member, all_names
from kit.records.reports.named_acts import Told, about, day_of, day_words, many, tell_acts
from kit.records.storage import schema
from kit.records.storage.store import Records

if TYPE_CHECKING:
    from kit.criteria import Criterion

DECISIONS = ("decided", "brought in")


@dataclass(frozen=True)
class BookLine:
    """A line of an answer book that a decision rests on."""

    line: int
    day: date | None
    exercise: str


@dataclass(frozen=True)
class Ruling:
    """One decision with all that hangs on it.

    Parameters
    ----------
    act : Told
        The decision.
    seen : tuple of Told
        The observations and oral checks it rests on.
    lines : tuple of BookLine
        The lines of the answer book it rests on: practice, unsupervised.
    lost : int
        How many lines it names that are not on record here.
    fit : str
        The competence to assess that the person who decided had on file that day; empty if none.
    second : Told or None
        The second signature.
    appeals : tuple of (Told, Told or None)
        Each appeal with how it was settled.
    same_words : bool
        Whether the criterion still says and needs what was decided on.
    """

    act: Told
    seen: tuple[Told, ...]
    lines: tuple[BookLine, ...]
    lost: int
    fit: str
    second: Told | None
    appeals: tuple[tuple[Told, Told | None], ...]
    same_words: bool

    @property
    def review_on(self) -> date | None:
        """The review date, if it has one."""
        return day_of(self.act.facts.get("review_on"))

    @property
    def refresher_on(self) -> date | None:
        """From when a refresher is due."""
        return None if self.review_on is None else self.review_on - timedelta(days=REFRESHER_DAYS)

    @property
    def methods(self) -> tuple[str, ...]:
        """How it was shown: the ways of observing, practice, or a paper from before."""
        found = [str(each.facts.get("method", "")) for each in self.seen]
        found += ["practice, unsupervised"] if self.lines else []
        found += ["brought in from a paper"] if self.act.kind == "brought in" else []
        return tuple(dict.fromkeys(found))


@dataclass(frozen=True)
class CriterionStanding:
    """One criterion: how it stands today, on which decision, and which decisions came before."""

    criterion: Criterion
    today: Decided | None
    ruling: Ruling | None
    earlier: tuple[Ruling, ...]
    practice: str

    @property
    def says(self) -> str:
        """The state in words."""
        return "not yet competent: no decision" if self.today is None else self.today.says


@dataclass(frozen=True)
class RoleHeld:
    """A role with its days."""

    role: str
    since: date
    until: date | None


@dataclass(frozen=True)
class PersonFile:
    """Everything the inspector's file says about one person."""

    member: Member
    started: date | None
    roles: tuple[RoleHeld, ...]
    notes: Mapping[str, tuple[Told, ...]]
    standings: tuple[CriterionStanding, ...]
    safety: tuple[int, int]
    corrections: tuple[Told, ...]
    batches: tuple[str, ...]
    profiles: tuple[str, ...]
    plans: tuple[str, ...]
    kits: tuple[str, ...]
    acts: tuple[Told, ...]

    @property
    def holding(self) -> int:
        """On how many criteria the person is competent today."""
        return sum(s.today is not None and s.today.holds for s in self.standings)

    def in_state(self, *states: str) -> int:
        """Return how many decisions stand so today."""
        return sum(s.today is not None and s.today.state in states for s in self.standings)


def gather(records: Records, member: Member, now: datetime, catalogue: Catalogue) -> PersonFile:
    """Return everything the file says about one person, as it stood at ``now``."""
    with records.reading() as connection:
        told = about(connection, member.person)
        today = decisions(connection, catalogue, now.astimezone().date(), member.person)
        mine = today.get(member.person, {})
        rulings = _rulings(connection, member.person, told, catalogue)
        practice = _practice(connection, member.person)
        standings = tuple(
            _standing(criterion, mine.get(name), rulings.get(name, []), practice.get(name, ""))
            for name, criterion in catalogue.criteria.items()
        )
        batches = tuple(dict.fromkeys(one.batch for one in told if one.kind == "observed" and one.batch))
        roles = _roles(connection, member.person)
        corrections = _corrections(connection, batches)
    made = [one for one in told if one.kind in DECISIONS]
    return PersonFile(
        member,
        _started(told, roles),
        roles,
        _by_topic(told),
        standings,
        safety_count(mine, catalogue),
        corrections,
        batches,
        tuple(sorted({str(p) for one in made for p in many(one.facts.get("profiles"))})),
        tuple(dict.fromkeys(str(one.facts["plan"]) for one in made if one.facts.get("plan"))),
        tuple(sorted({str(one.facts["kit"]) for one in made if one.facts.get("kit")})),
        tuple(told),
    )


def _standing(
    criterion: Criterion, today: Decided | None, rulings: list[Ruling], practice: str
) -> CriterionStanding:
    current = next((each for each in rulings if today is not None and each.act.number == today.act), None)
    earlier = tuple(each for each in rulings if each is not current)
    return CriterionStanding(criterion, today, current, earlier, practice)


def _rulings(
    connection: Connection, person: str, told: list[Told], catalogue: Catalogue
) -> dict[str, list[Ruling]]:
    by_number = {one.number: one for one in told}
    made = [one for one in told if one.kind in DECISIONS]
    lines = _lines(connection, person)
    fits = _fits(connection, {one.by_id for one in made})
    seconds = {str(one.facts.get("act")): one for one in told if one.kind == "second"}
    settled = {str(one.facts.get("appeal")): one for one in told if one.kind == "settled"}
    found: dict[str, list[Ruling]] = {}
    for one in made:
        hashes = [str(each) for each in many(one.facts.get("entries"))]
        known = catalogue.criteria.get(str(one.criterion))
        ruling = Ruling(
            one,
            tuple(
                by_number[n] for n in many(one.facts.get("points")) if isinstance(n, int) and n in by_number
            ),
            tuple(lines[each] for each in hashes if each in lines),
            sum(each not in lines for each in hashes),
            _fit_on(fits.get(one.by_id, []), one),
            seconds.get(str(one.number)),
            tuple(
                (each, settled.get(str(each.number)))
                for each in told
                if each.kind == "appealed" and each.facts.get("act") == one.number
            ),
            known is not None and criterion_print(known) == one.facts.get("criterion_print"),
        )
        found.setdefault(str(one.criterion), []).append(ruling)
    return found


def _lines(connection: Connection, person: str) -> dict[str, BookLine]:
    entries, people, exercises = schema.entries.c, schema.people.c, schema.exercises.c
    rows = connection.execute(
        select(entries.hash, entries.position, entries.local_day, exercises.exercise_id)
        .join_from(schema.entries, schema.people, people.key == entries.person)
        .join(schema.exercises, exercises.key == entries.exercise)
        .where(people.person_id == person)
    )
    return {row.hash: BookLine(row.position + 1, row.local_day, row.exercise_id) for row in rows}


def _fits(connection: Connection, people: Iterable[str]) -> dict[str, list[Told]]:
    table = schema.acts.c
    query = select(schema.acts).where(table.kind == "assessor", table.person.in_(sorted(people)))
    found: dict[str, list[Told]] = {}
    for one in tell_acts(connection, query):
        found.setdefault(one.person, []).append(one)
    return found


def _fit_on(held: list[Told], decision: Told) -> str:
    """Return what was on file before a decision and covers the day it was recorded."""
    good = [
        f"{one.facts.get('what', '')} (to {day_words(day_of(one.facts.get('until')))})"
        for one in held
        if one.number < decision.number
        and str(one.facts.get("since", "9"))
        <= decision.recorded.isoformat()
        <= str(one.facts.get("until", ""))
    ]
    return "; ".join(good)


def _practice(connection: Connection, person: str) -> dict[str, str]:
    standings, people = schema.standings.c, schema.people.c
    rows = connection.execute(
        select(standings.criterion, standings.held, standings.days_right, standings.days_needed)
        .join_from(schema.standings, schema.people, people.key == standings.person)
        .where(people.person_id == person)
    )
    return {
        row.criterion: f"practice, unsupervised: {'shown, ' if row.held else ''}right first time on "
        f"{row.days_right} days ({row.days_needed} needed)"
        for row in rows
    }


def _roles(connection: Connection, person: str) -> tuple[RoleHeld, ...]:
    roles = schema.roles.c
    rows = connection.execute(select(schema.roles).where(roles.person == person).order_by(roles.since))
    return tuple(
        RoleHeld(
            row.role,
            row.since.astimezone().date(),
            None if row.until is None else row.until.astimezone().date(),
        )
        for row in rows
    )


def _started(told: list[Told], roles: tuple[RoleHeld, ...]) -> date | None:
    said = [day_of(one.facts.get("started")) for one in told if one.kind == "enrolled"]
    days = [day for day in said if day is not None] or [held.since for held in roles]
    return min(days) if days else None


def _by_topic(told: list[Told]) -> dict[str, tuple[Told, ...]]:
    found: dict[str, tuple[Told, ...]] = {}
    for one in told:
        if one.kind == "noted":
            topic = str(one.facts.get("topic", "note"))
            found[topic] = (*found.get(topic, ()), one)
    return found


def _corrections(connection: Connection, batches: tuple[str, ...]) -> tuple[Told, ...]:
    if not batches:
        return ()
    table = schema.acts.c
    query = select(schema.acts).where(table.kind == "corrected", table.batch.in_(batches))
    names = all_names(connection)
    return tuple(_with_decider(one, names) for one in tell_acts(connection, query))


def _with_decider(one: Told, names: Mapping[str, str]) -> Told:
    who = str(one.facts.get("decided_by", ""))
    return replace(one, facts={**one.facts, "decided_by": names.get(who, who)})
