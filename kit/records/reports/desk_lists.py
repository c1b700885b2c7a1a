"""What the tutor's desk shows first: whom to see, what to sign, what to look into.

Nothing here decides or writes. What waits is what ``assess`` says may be done next.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, Literal

from kit.exercises.catalogue import Catalogue
from kit.records.competence.assess import what_waits
from kit.records.competence.assessment import NEXT_SAYS, Next
from kit.records.competence.decision_state import appealed, wanting_second
from kit.records.intake.review import open_matters
from kit.records.ledger import acts, texts
from kit.records.people.crew import CrewMember, crew_by_name, names_of
from kit.records.storage.store import Records

SORTS: tuple[Next, ...] = ("again", "review", "refresher", "decide", "ask", "observe")
"""For what somebody is to be seen, the most pressing first."""


@dataclass(frozen=True)
class ToSee:
    """One apprentice and the criteria for which a tutor is to see them, all for the same reason."""

    person: str
    name: str
    sort: Next
    criteria: tuple[str, ...]
    due: date | None = None

    @property
    def says(self) -> str:
        """The reason in words."""
        return NEXT_SAYS[self.sort]


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
        enrolled = [one for one in crew_by_name(connection) if one.enrolled]
        waits = what_waits(connection, catalogue, today)
    place = {name: number for number, name in enumerate(catalogue.criteria)}
    found = [one for who in enrolled for one in _of_person(who, waits.get(who.person, {}), place)]
    return tuple(sorted(found, key=lambda each: (SORTS.index(each.sort), each.due or today)))


def to_sign(records: Records, me: str, today: date, limit: int = 2000) -> tuple[ToSign, ...]:
    """Return the decisions that want a second signature, oldest first. One's own are never among them."""
    with records.reading() as connection:
        names = names_of(connection)
        rows = wanting_second(connection, me, today, limit)
    named = {row.act: (_named(names, row.person), _named(names, row.by)) for row in rows}
    return tuple(
        ToSign(r.act, r.person, named[r.act][0], r.criterion, r.decision, r.day, r.by, named[r.act][1])
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
        found = []
        for row in appealed(connection, limit, person):
            opened: Any = acts.get(connection, row.appeal)
            says = texts.tell(connection, opened.facts["words"])
            day, name = opened.at.astimezone().date(), _named(names, row.person)
            found.append(ToLook(row.person, name, "appeal", row.criterion, 0, day, says, row.appeal, row.by))
    found += [
        ToLook(one.who, _named(names, one.who), one.sort, one.exercise, one.line, one.day, one.says)
        for one in open_matters(records, person or None, limit=limit)
    ]
    order = ("appeal", "dispute", "explanation", "flag")
    return tuple(sorted((one for one in found if one.person != me), key=lambda one: order.index(one.sort)))


def _of_person(
    who: CrewMember, waits: Mapping[str, tuple[tuple[Next, ...], date | None]], place: Mapping[str, int]
) -> list[ToSee]:
    by_sort: dict[Next, list[str]] = defaultdict(list)
    due: dict[Next, date] = {}
    for criterion in sorted(waits, key=place.__getitem__):
        following, review_on = waits[criterion]
        sort = next((each for each in following if each in SORTS), None)
        if sort is None:
            continue
        by_sort[sort].append(criterion)
        if sort in ("review", "refresher") and review_on is not None:
            due[sort] = min(due.get(sort, review_on), review_on)
    return [ToSee(who.person, who.name, sort, tuple(about), due.get(sort)) for sort, about in by_sort.items()]


def _named(names: Mapping[str, str], person: str) -> str:
    return names.get(person, texts.ERASED)
