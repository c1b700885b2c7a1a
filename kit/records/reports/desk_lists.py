"""What the tutor's desk shows first: whom to see, what to sign, what to look into.

Nothing here decides or writes. What is ready is worked out by the rule that `deciding` itself uses.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

from dateutil.relativedelta import relativedelta
from sqlalchemy import ColumnElement, Connection, select

from kit.exercises.catalogue import Catalogue
from kit.records.competence.deciding import REFRESHER_DAYS, rows_that_count
from kit.records.competence.decision_state import Decided, decision_of
from kit.records.competence.disputes import open_disputes
from kit.records.competence.observations import ASKED, SEEN_AT_WORK
from kit.records.intake.review import open_matters
from kit.records.ledger import acts, texts
from kit.records.ledger.projection import NOT_YET
from kit.records.people.staff import all_names
from kit.records.storage import schema
from kit.records.storage.store import Records

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


class Apprentice(NamedTuple):
    """Somebody enrolled as an apprentice now."""

    key: int
    person: str
    name: str


def to_see(records: Records, today: date, catalogue: Catalogue | None = None) -> tuple[ToSee, ...]:
    """Return whom to see, and for which criteria: what ran out or was refused first, then what is ready.

    Parameters
    ----------
    records : Records
        The open records; standings as they were last kept.
    today : date
        The local day.
    catalogue : Catalogue, optional
        Default: the kit's own criteria.
    """
    catalogue = catalogue or Catalogue()
    with records.reading() as connection:
        people = apprentices(connection)
        held, seen = _held(connection), points(connection, catalogue, today, undecided=True)
        stands, settled = _to_attend(connection, catalogue, today)
    place = {name: number for number, name in enumerate(catalogue.criteria)}
    found: list[ToSee] = []
    for one in people:
        about = _About(
            held.get(one.key, {}),
            seen.get(one.person, {}),
            stands.get(one.person, {}),
            settled.get(one.person, ()),
        )
        found += _of_person(one, catalogue, about, place)
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
        names = names_of(connection)
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


def to_look_into(records: Records, me: str = "", limit: int = 500, person: str = "") -> tuple[ToLook, ...]:
    """Return what waits for an eye: appeals first, then disputes, explanations and flags.

    Parameters
    ----------
    records : Records
        The open records.
    me : str
        Who is at the desk: nobody judges their own book, so it is left out.
    limit : int
        At most so many of each sort. [things]
    person : str
        Only what is about this person.
    """
    with records.reading() as connection:
        names = names_of(connection)
        people = schema.people.c
        ids: dict[int, str] = dict(connection.execute(select(people.key, people.person_id)).all())
        appeals = _appeals(connection, names, limit, person)
    key = next((key for key, one in ids.items() if one == person), None)
    matters = [
        ToLook(ids[m.person], _named(names, ids[m.person]), m.sort, m.exercise, m.line, m.day, m.says)
        for m in open_matters(records, key, limit=limit)
    ]
    order = ("appeal", "dispute", "explanation", "flag")
    every = [one for one in (*appeals, *matters) if one.person != me and person in ("", one.person)]
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
    counted = rows_that_count([row for row in rows if row.method in wanted], criterion.safety_critical)  # type: ignore[misc]
    if criterion.kind == "performance":
        days = len({row.day for row in counted})
        if days >= (criterion.observations_needed or 1):
            return "decide"
        return "observe" if days or held else None
    if criterion.safety_critical:
        return ("decide" if counted else "ask") if held else None
    return "decide" if held or counted else None


def names_of(connection: Connection) -> dict[str, str]:
    """Return everybody's name by id; those who share one are told apart by the start of their id."""
    return told_apart(all_names(connection))


def told_apart(names: Mapping[str, str]) -> dict[str, str]:
    """Return names that each stand for one person.

    Examples
    --------
    >>> told_apart({"p-1a2b3c4d": "Tam Ferris", "p-9f8e7d6c": "Tam Ferris", "p-0": "Ana Lind"})
    {'p-1a2b3c4d': 'Tam Ferris (p-1a2b3c)', 'p-9f8e7d6c': 'Tam Ferris (p-9f8e7d)', 'p-0': 'Ana Lind'}
    """
    times = Counter(names.values())
    return {who: f"{name} ({who[:8]})" if times[name] > 1 else name for who, name in names.items()}


def apprentices(connection: Connection) -> tuple[Apprentice, ...]:
    """Return everyone enrolled as an apprentice now, by name."""
    people, roles = schema.people.c, schema.roles.c
    rows = connection.execute(
        select(people.key, people.person_id)
        .join_from(schema.people, schema.roles, roles.person == people.person_id)
        .where(roles.role == "apprentice", roles.until.is_(None))
    )
    names = names_of(connection)
    found = [Apprentice(key, person, _named(names, person)) for key, person in rows]
    return tuple(sorted(found, key=lambda one: (one.name.casefold(), one.person)))


def points(
    connection: Connection,
    catalogue: Catalogue,
    today: date,
    people: Sequence[str] | None = None,
    *,
    undecided: bool = False,
) -> dict[str, dict[str, list[Point]]]:
    """Return the outcomes that may count today, by id and criterion, oldest first.

    Parameters
    ----------
    connection : Connection
        The open records.
    catalogue : Catalogue
        The criteria with their review times.
    today : date
        The local day.
    people : sequence of str, optional
        Only of these.
    undecided : bool
        Only where nothing was decided, or ``not yet competent`` was: the rest needs no evidence now.
    """
    since = {c.id: today - relativedelta(months=c.review_months) for c in catalogue.criteria.values()}
    table, decided = schema.points.c, schema.decided.c
    query = select(table.person, table.criterion, table.act, table.outcome, table.day, table.method).where(
        table.outcome != "not seen", table.day >= min(since.values(), default=today)
    )
    if people is not None:
        query = query.where(table.person.in_(people))
    if undecided:
        same = (decided.person == table.person) & (decided.criterion == table.criterion)
        open_again = (
            (decided.decision == NOT_YET) & (decided.second != "disagreed") & decided.appeal.is_(None)
        )
        query = query.outerjoin_from(schema.points, schema.decided, same).where(
            decided.act.is_(None) | open_again
        )
    found: dict[str, dict[str, list[Point]]] = defaultdict(lambda: defaultdict(list))
    for who, criterion, *facts in connection.execute(query.order_by(table.day, table.act)):
        point = Point(*facts)
        if point.day >= since.get(criterion, today):
            found[who][criterion].append(point)
    return found


def decided_rows(
    connection: Connection, catalogue: Catalogue, today: date, only: ColumnElement[bool]
) -> dict[str, dict[str, Decided]]:
    """Return some decisions as they stand on a day, by id and criterion."""
    disputes = open_disputes(connection)
    found: dict[str, dict[str, Decided]] = defaultdict(dict)
    for row in connection.execute(select(schema.decided).where(only)):
        about = {c for name in disputes.get(row.person, ()) for c in catalogue.evidence.get(name, ())}
        found[row.person][row.criterion] = decision_of(row, today, disputed=row.criterion in about)
    return dict(found)


class _About(NamedTuple):
    """What bears on whom to see: what is held, what was seen, decisions to attend to, and those that rest."""

    held: Mapping[str, date | None]
    seen: Mapping[str, list[Point]]
    stands: Mapping[str, Decided]
    settled: Collection[str]


def _held(connection: Connection) -> dict[int, dict[str, date | None]]:
    """Return what practice has shown, by key and criterion, with the last day."""
    table = schema.standings.c
    found: dict[int, dict[str, date | None]] = defaultdict(dict)
    rows = connection.execute(
        select(table.person, table.criterion, table.last_day).where(table.held.is_(True))
    )
    for person, criterion, last_day in rows:
        found[person][criterion] = last_day
    return found


def _to_attend(
    connection: Connection, catalogue: Catalogue, today: date
) -> tuple[dict[str, dict[str, Decided]], dict[str, set[str]]]:
    """Return the decisions that may need somebody now, and the criteria whose decision rests."""
    decided = schema.decided.c
    soon = today + timedelta(days=REFRESHER_DAYS)
    attend = (
        (decided.decision == NOT_YET) | decided.appeal.is_not(None) | (decided.review_on <= soon).is_(True)
    )
    rest: dict[str, set[str]] = defaultdict(set)
    for person, criterion in connection.execute(select(decided.person, decided.criterion).where(~attend)):
        rest[person].add(criterion)
    return decided_rows(connection, catalogue, today, attend), rest


def _of_person(one: Apprentice, catalogue: Catalogue, about: _About, place: Mapping[str, int]) -> list[ToSee]:
    by_sort: dict[Sort, list[str]] = defaultdict(list)
    due: dict[Sort, date] = {}
    touched = {*about.held, *about.seen, *about.stands} - set(about.settled)
    for name in sorted(touched & place.keys(), key=place.__getitem__):
        stands = about.stands.get(name)
        sort = _sort(catalogue.criteria[name], about, stands)
        if sort is None:
            continue
        by_sort[sort].append(name)
        if stands is not None and stands.review_on is not None and sort in ("review", "refresher"):
            due[sort] = min(due.get(sort, stands.review_on), stands.review_on)
    return [ToSee(one.person, one.name, sort, tuple(names), due.get(sort)) for sort, names in by_sort.items()]


def _sort(criterion: Criterion, about: _About, stands: Decided | None) -> Sort | None:
    if stands is not None and stands.state != "not yet":
        return _BY_STATE.get(stands.state)
    rows = about.seen.get(criterion.id, [])
    ready = ready_for(criterion, criterion.id in about.held, rows)
    if stands is not None and ready == "decide" and not _newer(stands, about.held.get(criterion.id), rows):
        return None  # the tutor has decided on this evidence
    return ready


_BY_STATE: dict[str, Sort] = {"second refused": "again", "over": "review", "refresher due": "refresher"}


def _newer(stands: Decided, last_day: date | None, rows: list[Point]) -> bool:
    """Whether anything came in after a decision ``not yet competent``."""
    return any(row.act > stands.act for row in rows) or (last_day is not None and last_day > stands.day)


def _appeals(connection: Connection, names: Mapping[str, str], limit: int, person: str) -> list[ToLook]:
    decided = schema.decided.c
    query = select(decided.person, decided.criterion, decided.by, decided.appeal).where(
        decided.appeal.is_not(None)
    )
    if person:
        query = query.where(decided.person == person)
    rows = connection.execute(query.order_by(decided.appeal).limit(limit)).all()
    found: list[ToLook] = []
    for row in rows:
        opened: Any = acts.get(connection, row.appeal)
        says = texts.tell(connection, opened.facts["words"])
        day = opened.at.astimezone().date()
        name = _named(names, row.person)
        found.append(ToLook(row.person, name, "appeal", row.criterion, 0, day, says, row.appeal, row.by))
    return found


def _named(names: Mapping[str, str], person: str) -> str:
    return names.get(person, texts.ERASED)
