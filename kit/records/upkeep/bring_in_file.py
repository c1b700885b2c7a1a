"""A whole crew from one table, for a kitchen that starts with this kit in mid-course.

Nothing is imported unless all of it can be: every problem is listed with its line first.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from difflib import get_close_matches

from sqlalchemy import select

from kit.basics.errors import BadData, KitError, UnknownName
from kit.basics.typed_names import fold
from kit.criteria import criterion_named
from kit.records.competence import deciding
from kit.records.people import staff
from kit.records.people.keys import keys_on_file
from kit.records.people.rehearse import inside, rehearse
from kit.records.people.staff import Hand
from kit.records.storage import schema
from kit.records.upkeep.crew_table import CrewTable, CrewTableFault, Earlier, Newcomer


@dataclass(frozen=True)
class Imported:
    """Who is on file now, by id, and how many roles and decisions were recorded."""

    people: tuple[str, ...]
    enrolled: int
    decisions: int


class BringInRefused(KitError):
    """The file has problems. Nothing of it was imported."""

    def __init__(self, problems: Sequence[CrewTableFault]) -> None:
        self.problems = tuple(problems)
        first = self.problems[0]
        where = f"line {first.line}: " if first.line else ""
        more = f" And {len(problems) - 1} more." if len(problems) > 1 else ""
        super().__init__(f"Nothing was imported. {where}{first.says}{more}")


def check(hand: Hand, crew: CrewTable, *, same_name: bool = False) -> tuple[CrewTableFault, ...]:
    """Return every problem that importing would meet, by line. Nothing is recorded.

    Everything is done as if it were meant, in a transaction that is then thrown away.
    """
    found: list[CrewTableFault] = []
    rehearse(hand, lambda here: found.extend(_apply(here, crew, same_name)[1]))
    return _by_line(crew.problems, _unknown_criteria(hand, crew), found)


def as_if_signed(hand: Hand) -> Hand:
    """Return a hand that can rehearse before any password: as if its key on file had been opened.

    It is for ``check`` alone, which throws away what it writes. What such a hand signs fits no key.
    """
    with hand.records.reading() as connection:
        key_id = keys_on_file(connection).get(hand.person)
    return hand if hand.key is not None or key_id is None else replace(hand, key=_NoKey(key_id))


def bring_in(hand: Hand, crew: CrewTable, *, same_name: bool = False) -> Imported:
    """Take everybody on and bring in their earlier decisions, all or nothing.

    Parameters
    ----------
    hand : Hand
        Who does it; earlier decisions need a tutor with an opened key. Each of them wants a second signature.
    crew : CrewTable
        From ``read_crew_table``.
    same_name : bool
        Whether somebody who bears a known name is another person.

    Raises
    ------
    BringInRefused
        If there is any problem. It holds all of them; nothing was recorded.
    """
    with hand.records.writing() as connection:
        done, found = _apply(inside(hand, connection), crew, same_name)
        problems = _by_line(crew.problems, _unknown_criteria(hand, crew), found)
        if problems:
            raise BringInRefused(problems)
    return done


@dataclass(frozen=True)
class _NoKey:
    """Stands for a key in a rehearsal. What it signs fits nothing, and is thrown away."""

    key_id: str

    def sign(self, message: bytes) -> str:
        """Return a signature that fits nothing."""
        return "0" * 128


def _apply(hand: Hand, crew: CrewTable, same_name: bool) -> tuple[Imported, list[CrewTableFault]]:
    """Do all of it as a hand whose acts all happen in one transaction, and name what cannot be done."""
    people: list[str] = []
    problems = _twice(crew.people, same_name)
    enrolled = decisions = 0
    for one in crew.people:
        try:
            person, new = _take_on(hand, one, same_name)
        except KitError as error:
            problems.append(CrewTableFault(one.line, str(error)))
            continue
        people.append(person)
        enrolled += new
        for paper in one.earlier:
            try:
                _bring_in(hand, person, paper)
                decisions += 1
            except KitError as error:
                problems.append(CrewTableFault(paper.line, str(error)))
    return Imported(tuple(people), enrolled, decisions), problems


def _take_on(hand: Hand, one: Newcomer, same_name: bool) -> tuple[str, bool]:
    """Return the id of a person, and whether the role was recorded now."""
    names, people = schema.names.c, schema.people.c
    with hand.records.reading() as connection:
        known = connection.scalars(
            select(names.folded)
            .join_from(schema.names, schema.people, people.key == names.person)
            .where(people.person_id == one.person)
        ).all()
        if known and fold(one.name) not in known:
            raise BadData(f"the id {one.person}", "it is on file under another name", "the id of this person")
        if one.earlier and known and one.role in staff.roles_of(connection, one.person):
            return one.person, False
    who = staff.take_on(
        hand, one.role, name=one.name, person=one.person, started=one.started, same_name=same_name
    )
    return who, True


def _bring_in(hand: Hand, person: str, paper: Earlier) -> None:
    try:
        criterion = criterion_named(paper.criterion, hand.catalogue.criteria)
    except KitError:
        return  # _unknown_criteria tells it, of every row
    decided = schema.decided.c
    with hand.records.reading() as connection:
        act = connection.scalar(
            select(decided.act).where(decided.person == person, decided.criterion == criterion)
        )
    if act is not None:
        raise BadData(criterion, f"it is decided already for this person (act {act})")
    deciding.bring_in(
        hand,
        person,
        criterion,
        day=paper.day,
        who=paper.who,
        paper=paper.paper,
        reason=paper.reason,
    )


def _unknown_criteria(hand: Hand, crew: CrewTable) -> list[CrewTableFault]:
    """Name every criterion of the file that there is not, also on a row that has other problems."""
    found = []
    for line, asked in crew.criteria:
        try:
            criterion_named(asked, hand.catalogue.criteria)
        except UnknownName as error:
            near = get_close_matches(asked.upper(), error.known, n=1)
            guess = f" Did you mean {near[0]}?" if near else ""
            found.append(CrewTableFault(line, f"there is no criterion {asked[:40]!r}.{guess}"))
        except KitError as error:
            found.append(CrewTableFault(line, str(error)))
    return found


def _twice(people: Sequence[Newcomer], same_name: bool) -> list[CrewTableFault]:
    """Name two people of the file who bear one name."""
    if same_name:
        return []
    first: dict[str, int] = {}
    problems = []
    for one in people:
        line = first.setdefault(fold(one.name), one.line)
        if line != one.line:
            says = f"{one.name!r} is the name of line {line} too, with another id"
            problems.append(CrewTableFault(one.line, f"{says}. Two people? Say so with --same-name-is-new."))
    return problems


def _by_line(*found: Sequence[CrewTableFault]) -> tuple[CrewTableFault, ...]:
    return tuple(sorted({p for each in found for p in each}, key=lambda p: (p.line, p.says)))
