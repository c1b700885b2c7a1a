"""Finding one person by id, by the start of an id, or by name. It never guesses between two."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from typing import Protocol, TypeVar

from sqlalchemy import Connection, select

from kit.basics.errors import UnknownName
from kit.basics.typed_names import fitting, fold, nearest
from kit.records.storage import schema


class Named(Protocol):
    """Anything with a name."""

    @property
    def name(self) -> str:
        """The name."""


_T = TypeVar("_T", bound=Named)


def one_of(people: Sequence[_T], asked: str, id_of: Callable[[_T], str]) -> _T:
    """Return the one person of that id, name, or start of an id or part of a name, in this order.

    Case, accents, spaces and the order of the parts do not matter. A name that is only near is offered.

    Parameters
    ----------
    people : sequence
        Everybody who could be meant.
    asked : str
        What was typed.
    id_of : callable
        Gives the id of one of them.

    Raises
    ------
    UnknownName
        If there is none, or more than one.
    """
    names = [one.name for one in people]
    same, holding = fitting(names, asked)
    start = asked.casefold().strip()
    exact = [one for one in people if id_of(one) == start]
    near = [one for n, one in enumerate(people) if n in holding or (start and id_of(one).startswith(start))]
    for group in (exact, [people[n] for n in same], near):
        if len(group) == 1:
            return group[0]
        if group:
            raise UnknownName("one person, but several,", asked, _listed(group[:6], id_of))
    meant = nearest(names, asked)
    raise UnknownName("person", asked, _listed(people[:20], id_of), meant[0] if meant else "")


def bearers(connection: Connection, name: str, person_id: str) -> list[tuple[str, datetime]]:
    """Return the other people who bear this name: id, and when they were first taken in."""
    people, names = schema.people.c, schema.names.c
    rows = connection.execute(
        select(people.person_id, people.first_taken_at)
        .distinct()
        .join_from(schema.people, schema.names, names.person == people.key)
        .where(names.folded == fold(name), people.person_id != person_id)
        .order_by(people.first_taken_at)
    )
    return [(row.person_id, row.first_taken_at) for row in rows]


def _listed(people: Sequence[_T], id_of: Callable[[_T], str]) -> list[str]:
    return [f"{one.name} ({id_of(one)[:8]})" for one in people]
