"""What the tutor's desk shows first: whom to see, what to sign, what to look into.

Nothing here decides or writes. What is ready is worked out by the rule that `deciding` itself uses.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

from sqlalchemy import Connection, select

from kit.records import acts, schema, words
from kit.records.deciding import _counted, add_months
from kit.records.decisions import Decided, decisions
from kit.records.looking import open_matters
from kit.records.observing import ASKED, SEEN_AT_WORK
from kit.records.staff import all_names
from kit.records.store import Records
from kit.records.syllabus import Syllabus

if TYPE_CHECKING:
    from kit.criteria import Criterion

Sort = Literal["decide", "again", "review", "refresher", "ask", "observe"]
SORTS: dict[Sort, str] = {
    "again": "second signature refused: decide anew",
    "review": "review date has passed",
    "refresher": "refresher due within 30 days",
    "decide": "ready for a decision",
    "ask": "ready for an oral check or a supervised sitting",
    "observe": "ready to be seen at work",
}


@dataclass(frozen=True)
class ToSee:
    """One apprentice and the criteria for which a tutor is to see them, all for the same reason."""

    person: str
    name: str
    sort: Sort
    criteria: tuple[str, ...]
    due: date | None = None

    @property
    def says(self) -> str:
        """The reason in words."""
        return SORTS[self.sort]


@dataclass(frozen=True)
class ToSign:
    """A decision that wants a second signature."""

    act: int
    person: str
    name: str
    criterion: str
    decision: str
    day: date
    by: str
    by_name: str


@dataclass(frozen=True)
class ToLook:
    """Something that waits for an eye: a flag, a disputed mark, an explanation, or an appeal.

    ``about`` is the kind of a flag, the exercise, or the criterion; ``act`` the appeal's number in the chain;
    ``by`` whoever made the decision that is appealed, and therefore cannot settle it.
    """

    person: str
    name: str
    sort: Literal["flag", "dispute", "explanation", "appeal"]
    about: str
    line: int
    day: date | None
    says: str
    act: int = 0
    by: str = ""


class Point(NamedTuple):
    """One outcome of one observation or oral check."""

    act: int
    outcome: str
    day: date
    method: str


class Shown(NamedTuple):
    """What practice has shown on one criterion."""

    held: bool
    last_day: date | None


class Apprentice(NamedTuple):
    """Somebody enrolled as an apprentice now."""

    key: int
    person: str
    name: str


def to_see(records: Records, today: date, syllabus: Syllabus | None = None) -> tuple[ToSee, ...]:
    """Return whom to see, and for which criteria: what ran out or was refused first, then what is ready.

    Parameters
    ----------
    records : Records
        The open records; standings as they were last kept.
    today : date
        The local day.
    syllabus : Syllabus, optional
        Default: the kit's own criteria.
    """
    bank = syllabus or Syllabus()
    with records.reading() as connection:
        people = apprentices(connection)
        shown, seen = standings(connection), points(connection, bank, today)
        settled = decisions(connection, bank, today)
    found: list[ToSee] = []
    for one in people:
        found += _of_person(
            one, bank, shown.get(one.key, {}), seen.get(one.person, {}), settled.get(one.person, {})
        )
    order = list(SORTS)
    return tuple(sorted(found, key=lambda each: (order.index(each.sort), each.due or today)))


def to_sign(records: Records, me: str, limit: int = 2000) -> tuple[ToSign, ...]:
    """Return the decisions that want a second signature, oldest first. One's own are never among them."""
    decided = schema.decided.c
    query = (
        select(schema.decided)
        .where(decided.second == "wanted", decided.by != me, decided.person != me)
        .where(decided.appeal.is_(None))
        .order_by(decided.act)
        .limit(limit)
    )
    with records.reading() as connection:
        names = all_names(connection)
        rows = connection.execute(query).all()
    return tuple(
        ToSign(
            r.act,
            r.person,
            _named(names, r.person),
            r.criterion,
            r.decision,
            r.day,
            r.by,
            _named(names, r.by),
        )
        for r in rows
    )


def to_look_into(records: Records, me: str = "", limit: int = 500) -> tuple[ToLook, ...]:
    """Return what waits for an eye: appeals first, then disputes, explanations and flags.

    Parameters
    ----------
    records : Records
        The open records.
    me : str
        Who is at the desk: nobody judges their own book, so it is left out.
    limit : int
        At most so many of each sort. [things]
    """
    with records.reading() as connection:
        names = all_names(connection)
        people = schema.people.c
        ids: dict[int, str] = dict(connection.execute(select(people.key, people.person_id)).all())
        appeals = _appeals(connection, names, limit)
    matters = [
        ToLook(ids[m.person], _named(names, ids[m.person]), m.sort, m.exercise, m.line, m.day, m.says)
        for m in open_matters(records, limit=limit)
    ]
    order = ("appeal", "dispute", "explanation", "flag")
    every = [one for one in (*appeals, *matters) if one.person != me]
    return tuple(sorted(every, key=lambda one: order.index(one.sort)))


def ready_for(criterion: Criterion, held: bool, rows: Iterable[Point]) -> Sort | None:
    """Return what one criterion is ready for: a decision, an oral check, an observation, or nothing yet.

    Parameters
    ----------
    criterion : Criterion
        The criterion.
    held : bool
        Whether practice has shown it, or for doing the work, what prepares for it.
    rows : iterable of Point
        Outcomes within the review time, oldest first; none ``not seen``.

    Examples
    --------
    >>> from kit import criteria
    >>> ready_for(criteria.get("COK-K03"), True, [])
    'ask'
    >>> ready_for(criteria.get("COK-P01"), False, []) is None
    True
    """
    wanted = SEEN_AT_WORK if criterion.kind == "performance" else ASKED
    counted = _counted([row for row in rows if row.method in wanted], criterion.safety_critical)  # type: ignore[misc]
    if criterion.kind == "performance":
        days = len({row.day for row in counted})
        if days >= (criterion.observations_needed or 1):
            return "decide"
        return "observe" if days or held else None
    if criterion.safety_critical:
        return ("decide" if counted else "ask") if held else None
    return "decide" if held or counted else None


def apprentices(connection: Connection) -> tuple[Apprentice, ...]:
    """Return everyone enrolled as an apprentice now, by name."""
    people, roles = schema.people.c, schema.roles.c
    rows = connection.execute(
        select(people.key, people.person_id)
        .join_from(schema.people, schema.roles, roles.person == people.person_id)
        .where(roles.role == "apprentice", roles.until.is_(None))
    )
    names = all_names(connection)
    found = [Apprentice(key, person, _named(names, person)) for key, person in rows]
    return tuple(sorted(found, key=lambda one: (one.name.casefold(), one.person)))


def standings(connection: Connection, key: int | None = None) -> dict[int, dict[str, Shown]]:
    """Return what practice has shown, by the person's key in the records and by criterion."""
    table = schema.standings.c
    query = select(table.person, table.criterion, table.held, table.last_day)
    if key is not None:
        query = query.where(table.person == key)
    found: dict[int, dict[str, Shown]] = defaultdict(dict)
    for person, criterion, held, last_day in connection.execute(query):
        found[person][criterion] = Shown(held, last_day)
    return dict(found)


def points(
    connection: Connection, syllabus: Syllabus, today: date, people: Sequence[str] | None = None
) -> dict[str, dict[str, list[Point]]]:
    """Return the outcomes that may count today, of these people or all, by id and criterion, oldest first."""
    since = {c.id: add_months(today, -c.review_months) for c in syllabus.criteria.values()}
    table = schema.points.c
    query = select(table.person, table.criterion, table.act, table.outcome, table.day, table.method).where(
        table.outcome != "not seen", table.day >= min(since.values(), default=today)
    )
    if people is not None:
        query = query.where(table.person.in_(people))
    found: dict[str, dict[str, list[Point]]] = defaultdict(lambda: defaultdict(list))
    for who, criterion, *facts in connection.execute(query.order_by(table.day, table.act)):
        point = Point(*facts)
        if point.day >= since.get(criterion, today):
            found[who][criterion].append(point)
    return found


def _of_person(
    one: Apprentice,
    bank: Syllabus,
    shown: Mapping[str, Shown],
    seen: Mapping[str, list[Point]],
    settled: Mapping[str, Decided],
) -> list[ToSee]:
    by_sort: dict[Sort, list[str]] = defaultdict(list)
    due: dict[Sort, date] = {}
    for name, criterion in bank.criteria.items():
        practice, rows, stands = shown.get(name), seen.get(name, []), settled.get(name)
        sort = _sort(criterion, practice, rows, stands)
        if sort is None:
            continue
        by_sort[sort].append(name)
        if stands is not None and stands.review_on is not None:
            due[sort] = min(due.get(sort, stands.review_on), stands.review_on)
    return [ToSee(one.person, one.name, sort, tuple(names), due.get(sort)) for sort, names in by_sort.items()]


def _sort(
    criterion: Criterion, practice: Shown | None, rows: list[Point], stands: Decided | None
) -> Sort | None:
    if stands is not None:
        by_state: dict[str, Sort] = {
            "second refused": "again",
            "over": "review",
            "refresher due": "refresher",
        }
        if stands.state in by_state:
            return by_state[stands.state]
        if stands.state != "not yet":
            return None
    ready = ready_for(criterion, practice is not None and practice.held, rows)
    if stands is not None and ready == "decide" and not _newer(stands, practice, rows):
        return None  # the tutor has decided on this evidence
    return ready


def _newer(stands: Decided, practice: Shown | None, rows: list[Point]) -> bool:
    """Whether anything came in after a decision ``not yet competent``."""
    last_day = None if practice is None else practice.last_day
    return any(row.act > stands.act for row in rows) or (last_day is not None and last_day > stands.day)


def _appeals(connection: Connection, names: Mapping[str, str], limit: int) -> list[ToLook]:
    decided = schema.decided.c
    rows = connection.execute(
        select(decided.person, decided.criterion, decided.by, decided.appeal)
        .where(decided.appeal.is_not(None))
        .order_by(decided.appeal)
        .limit(limit)
    ).all()
    found: list[ToLook] = []
    for row in rows:
        opened: Any = acts.get(connection, row.appeal)
        says = words.tell(connection, opened.facts["words"])
        day = opened.at.astimezone().date()
        name = _named(names, row.person)
        found.append(ToLook(row.person, name, "appeal", row.criterion, 0, day, says, row.appeal, row.by))
    return found


def _named(names: Mapping[str, str], person: str) -> str:
    return names.get(person, words.ERASED)
