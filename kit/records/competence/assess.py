"""The one rule of evidence: where a person stands on a criterion, by what, what is missing, and what is next.

Every screen and paper asks here: the board, the desk's lists, a person's page, the inspector's file, deciding
and the copy a person gets of their own record. Two tracks that never merge: practice can show knowledge, and
skill is shown by observed work. Neither makes anybody competent: that is a decision of a tutor, signed.
"""

from __future__ import annotations

import gc
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from dateutil.relativedelta import relativedelta
from sqlalchemy import Connection

from kit.basics.errors import UnknownName
from kit.criteria.knowledge import ORDINARY, SAFETY
from kit.exercises.catalogue import Catalogue
from kit.records.competence.assessment import AFTER, Assessment, EvidenceState, Next, State
from kit.records.competence.decision_state import (
    RENEWED,
    Decided,
    decisions,
    leaves_open,
    resting_decisions,
    rests,
)
from kit.records.competence.disputes import disputed_criteria
from kit.records.competence.observations import ASKED, SEEN_AT_WORK, Point, points_of
from kit.records.competence.standings import Practice, practice_on_file
from kit.records.ledger.joins import joined_ids, with_others

if TYPE_CHECKING:
    from kit.criteria import Criterion


@dataclass(frozen=True)
class Assessments:
    """Where many people stand. What was read of them is judged cell by cell, when somebody looks."""

    catalogue: Catalogue
    day: date
    evidence: EvidenceRead
    judged: dict[tuple[str, str], Assessment] = field(default_factory=dict, compare=False, repr=False)

    def of(self, person: str, criterion: str) -> Assessment:
        """Return where one person stands on one criterion."""
        found = self.judged.get((person, criterion))
        if found is None:
            known = self.catalogue.criteria[criterion]
            found = self.judged[person, criterion] = self.evidence.judged(person, known, self.day)
        return found

    def all_of(self, person: str) -> dict[str, Assessment]:
        """Return where one person stands on every criterion, in the order of the work."""
        return {name: self.of(person, name) for name in self.catalogue.criteria}

    def touched(self, person: str) -> frozenset[str]:
        """Return the criteria on which there is anything on record about a person."""
        return self.evidence.touched(person).intersection(self.catalogue.criteria)

    def safety(self, person: str) -> tuple[int, int]:
        """Return on how many safety-critical criteria a person is competent, and how many there are.

        All must be met. Nothing averages over them.
        """
        wanted = [one.id for one in self.catalogue.criteria.values() if one.safety_critical]
        return sum(self.of(person, name).holds for name in wanted), len(wanted)


@dataclass(frozen=True)
class EvidenceRead:
    """What was read of many people, by id and criterion."""

    practice: Mapping[str, Mapping[str, Practice]]
    points: Mapping[str, Mapping[str, Sequence[Point]]]
    decided: Mapping[str, Mapping[str, Decided]]
    disputed: Mapping[str, Collection[str]]

    def touched(self, person: str) -> frozenset[str]:
        """Return the criteria on which anything was read about a person."""
        kinds = (self.practice, self.points, self.decided, self.disputed)
        return frozenset[str]().union(*(kind.get(person, ()) for kind in kinds))

    def as_one(self, joined: Mapping[str, str]) -> EvidenceRead:
        """Return it with what was read of joined ids under the id that is kept: see ``people.joining``.

        Of two decisions the later stands. One of the two ids has an answer book, never both.
        """
        return EvidenceRead(
            _under_one(self.practice, joined, lambda _, other: other),
            _under_one(self.points, joined, lambda mine, other: sorted([*mine, *other])),
            _under_one(self.decided, joined, lambda mine, other: max(mine, other, key=lambda one: one.act)),
            {
                who: {name for id_ in ids for name in self.disputed.get(id_, ())}
                for who, ids in _groups(self.disputed, joined)
            },
        )

    def judged(self, person: str, criterion: Criterion, day: date) -> Assessment:
        """Return where one person stands on one criterion."""
        name = criterion.id
        return judge(
            criterion,
            day,
            self.practice.get(person, _NONE).get(name),
            self.points.get(person, _NONE).get(name, ()),
            self.decided.get(person, _NONE).get(name),
            disputed=name in self.disputed.get(person, ()),
        )


_NONE: Mapping[str, Any] = {}


def _groups(found: Iterable[str], joined: Mapping[str, str]) -> list[tuple[str, list[str]]]:
    """Return each id that is kept, with the ids that count as it."""
    groups: dict[str, list[str]] = {}
    for who in found:
        groups.setdefault(joined.get(who, who), []).append(who)
    return list(groups.items())


def _under_one(
    found: Mapping[str, Mapping[str, Any]], joined: Mapping[str, str], merge: Callable[[Any, Any], Any]
) -> dict[str, Mapping[str, Any]]:
    made: dict[str, Mapping[str, Any]] = {}
    for who, ids in _groups(found, joined):
        for one in ids:
            before = made.get(who, {})
            both = {name: merge(before[name], each) for name, each in found[one].items() if name in before}
            made[who] = {**before, **found[one], **both} if before else found[one]
    return made


def assess(
    connection: Connection, catalogue: Catalogue, person: str, criterion: str, day: date
) -> Assessment:
    """Return where one person stands on one criterion on a day.

    Parameters
    ----------
    connection : Connection
        The open records.
    catalogue : Catalogue
        What criteria there are, and what is evidence for them.
    person, criterion : str
        Their ids.
    day : date
        The local day: evidence grows old, and a decision runs out.

    Raises
    ------
    UnknownName
        If there is no such criterion.
    """
    if criterion not in catalogue.criteria:
        raise UnknownName("criterion", criterion, catalogue.criteria)
    return assess_all(connection, catalogue, day, [person]).of(person, criterion)


def assess_all(
    connection: Connection, catalogue: Catalogue, day: date, people: Collection[str] | None = None
) -> Assessments:
    """Return where these people, or all, stand on every criterion on a day.

    Parameters
    ----------
    connection : Connection
        The open records; standings as they were last kept.
    catalogue : Catalogue
        What criteria there are, and what is evidence for them.
    day : date
        The local day.
    people : collection of str, optional
        Only of these ids.
    """
    joined = joined_ids(connection)
    people = people if people is None else with_others(joined, people)
    with at_one_go():
        evidence = EvidenceRead(
            practice_on_file(connection, people),
            points_of(connection, people, since=_oldest(catalogue, day)),
            decisions(connection, catalogue, day, people),
            disputed_criteria(connection, catalogue, people),
        )
    return Assessments(catalogue, day, evidence.as_one(joined) if joined else evidence)


def what_waits(
    connection: Connection, catalogue: Catalogue, day: date
) -> dict[str, dict[str, tuple[tuple[Next, ...], date | None]]]:
    """Return what may be done next, with the review date if there is one, by id and criterion.

    It is ``Assessment.next`` of everybody, but only what can make something wait is read: what practice has
    shown, what was seen where no decision stands, and the decisions that do not rest. Disputed marks are
    left out: each waits by itself.
    """
    with at_one_go():
        read = EvidenceRead(
            practice_on_file(connection, held=True),
            points_of(connection, since=_oldest(catalogue, day), only_open=leaves_open()),
            decisions(connection, catalogue, day, only=~rests(day)),
            {},
        )
        resting = resting_decisions(connection, day)
        joined = joined_ids(connection)
        if joined:
            read = read.as_one(joined)
            resting = {
                who: {name for one in ids for name in resting[one]} for who, ids in _groups(resting, joined)
            }
        found: dict[str, dict[str, tuple[tuple[Next, ...], date | None]]] = {}
        for who in {*read.practice, *read.points, *read.decided}:
            tried, seen = read.practice.get(who, _NONE), read.points.get(who, _NONE)
            stands, mine = read.decided.get(who, _NONE), found.setdefault(who, {})
            for name in (tried.keys() | seen.keys() | stands.keys()) - resting.get(who, set()):
                if name in catalogue.criteria:
                    decided, criterion = stands.get(name), catalogue.criteria[name]
                    points = seen.get(name, ())
                    following = weigh(criterion, day, tried.get(name), points, decided, False)[1]
                    if following:
                        mine[name] = (following, None if decided is None else decided.review_on)
    return found


@contextmanager
def at_one_go() -> Iterator[None]:
    """Read a great many rows without stopping to look for garbage among them: it halves the time."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def _oldest(catalogue: Catalogue, day: date) -> date:
    """Return the first day on which evidence on any criterion may still count."""
    return min((_since(c.review_months, day) for c in catalogue.criteria.values()), default=day)


def judge(
    criterion: Criterion,
    day: date,
    practice: Practice | None = None,
    points: Sequence[Point] = (),
    decided: Decided | None = None,
    *,
    disputed: bool = False,
) -> Assessment:
    """Return where somebody stands on one criterion: the rule itself, pure.

    Doing the work: met on real batches, on as many different batches and days as the criterion needs. One
    batch is one occasion, however many days it took. After a decision "competent" only what was seen since
    counts towards the next: a renewal needs fresh observations. Knowing: shown in
    practice, or by an oral check or a supervised sitting; where a mistake can hurt someone, both. Only
    observations and oral checks within the review time of the criterion count: evidence must be from now.

    Parameters
    ----------
    criterion : Criterion
        The criterion.
    day : date
        The local day.
    practice : Practice, optional
        How far practice has come.
    points : sequence of Point
        Outcomes of observations and oral checks, oldest first.
    decided : Decided, optional
        The decision as it stands on that day.
    disputed : bool
        Whether a mark that is evidence on this criterion is disputed, and nobody has looked yet.

    Examples
    --------
    >>> from kit import criteria
    >>> today, safe = date(2026, 3, 12), criteria.get("COK-K03")
    >>> judge(safe, today).says
    'nothing yet'
    >>> until, last = date(2026, 9, 4), date(2026, 3, 4)
    >>> shown = Practice(until, 3, 3, 3, 12, last, 0, last, None)
    >>> judge(safe, today, shown).missing, judge(safe, today, shown).next
    (('an oral check or a supervised sitting.',), ('ask',))
    >>> judge(safe, today, shown, [Point(date(2026, 3, 5), 7, "met", "oral check")]).state
    'ready'
    """
    weighed = weigh(criterion, day, practice, points, decided, disputed)
    return Assessment(criterion, day, *weighed, decided, practice)


def weigh(
    criterion: Criterion,
    day: date,
    practice: Practice | None,
    points: Sequence[Point],
    decided: Decided | None,
    disputed: bool,
) -> tuple[State, tuple[Next, ...], int, int, tuple[int, ...]]:
    """Return the state, what is next, days shown and needed, and the acts that count: see ``judge``."""
    doing, safety = criterion.kind == "performance", criterion.safety_critical
    if decided is not None and decided.state in RENEWED:  # a renewal rests on what was seen since
        points = [point for point in points if point.act > decided.act and point.day >= decided.day]
    fresh, counted = _fresh_and_counted(criterion, day, points) if points else ((), ())
    held = practice is not None and practice.held_on(day)
    if doing:
        days, needed = _occasions(counted), criterion.observations_needed or 1
        complete = days >= needed
    else:
        days = 0 if practice is None else practice.notches
        needed = (SAFETY if safety else ORDINARY).days
        complete = (held and bool(counted)) if safety else (held or bool(counted))
    ready: Next | None = "decide" if complete else None
    if not complete and (held or (doing and days > 0)):
        ready = "observe" if doing else "ask"
    state = _state(criterion, day, practice, fresh, complete) if decided is None else decided.state
    following = _next(decided, ready, disputed, practice, fresh)
    return state, following, days, needed, tuple([point.act for point in counted])


def _fresh_and_counted(
    criterion: Criterion, day: date, points: Sequence[Point]
) -> tuple[Sequence[Point], Sequence[Point]]:
    """Return the points within the review time, and those that count.

    Those that count are met, if the latest is met; where a mistake can hurt, only those after the last miss.
    """
    since = _since(criterion.review_months, day)
    fresh = [point for point in points if point.day >= since and point.outcome != "not seen"]
    wanted = SEEN_AT_WORK if criterion.kind == "performance" else ASKED
    met: list[Point] = []
    last_met = False
    for point in fresh:
        if point.method not in wanted:
            continue
        last_met = point.outcome == "met"
        if last_met:
            met.append(point)
        elif criterion.safety_critical:
            met.clear()
    return fresh, met if last_met else ()


def _occasions(points: Sequence[Point]) -> int:
    """Return on how many occasions it was met: one batch is one, and one day is one."""
    batches = {"".join(point.batch.split()).casefold() or point.day for point in points}
    return min(len({point.day for point in points}), len(batches))


def _state(
    criterion: Criterion, day: date, practice: Practice | None, fresh: Sequence[Point], complete: bool
) -> EvidenceState:
    if complete:
        return "ready"
    if criterion.kind == "performance":
        return "seen" if any(point.method in SEEN_AT_WORK for point in fresh) else "observe"
    if practice is None or practice.tries == 0:
        return "nothing"
    return "sitting" if practice.held_on(day) else "practising"


def _next(
    decided: Decided | None,
    ready: Next | None,
    disputed: bool,
    practice: Practice | None,
    fresh: Sequence[Point],
) -> tuple[Next, ...]:
    if decided is None and not disputed:
        return (ready,) if ready else ()
    found: list[Next | None] = ["look"] if disputed else []
    if decided is None:
        found.append(ready)
    elif decided.state != "not yet":
        found.insert(0, AFTER.get(decided.state))
    elif ready != "decide" or _newer(decided, practice, fresh):  # else the tutor has decided on this evidence
        found.append(ready)
    if decided is not None and decided.wants_second:
        found.append("second")
    return tuple(each for each in found if each)


def _newer(decided: Decided, practice: Practice | None, fresh: Sequence[Point]) -> bool:
    """Whether anything came in after a decision ``not yet competent``."""
    last = None if practice is None or practice.held_until is None else practice.last_day
    return any(point.act > decided.act for point in fresh) or (last is not None and last > decided.day)


@lru_cache(maxsize=64)
def _since(months: int, day: date) -> date:
    return day - relativedelta(months=months)
