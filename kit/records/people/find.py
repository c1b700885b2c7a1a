"""Finding one person by id, by the start of an id, or by name. It never guesses between two."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Sequence
from datetime import datetime
from typing import Protocol, TypeVar

from sqlalchemy import Connection, select

from kit.basics.errors import UnknownName
from kit.records.storage import schema


class Named(Protocol):
    """Anything with a name."""

    @property
    def name(self) -> str:
        """The name."""


_T = TypeVar("_T", bound=Named)


def one_of(people: Sequence[_T], asked: str, id_of: Callable[[_T], str]) -> _T:
    """Return the one person of that id, name, start of an id, or part of a name, in this order.

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
    wanted = asked.casefold().strip()
    exact = [one for one in people if id_of(one) == asked]
    named = [one for one in people if wanted and one.name.casefold() == wanted]
    near = [
        one for one in people if wanted and (id_of(one).startswith(wanted) or wanted in one.name.casefold())
    ]
    for group in (exact, named, near):
        if len(group) == 1:
            return group[0]
        if group:
            raise UnknownName("one person, but several,", asked, _listed(group[:6], id_of))
    raise UnknownName("person", asked, _listed(people[:20], id_of))


def fold(name: str) -> str:
    """Return a name as it is compared: case, spacing and ways to write an accent do not matter.

    Examples
    --------
    >>> fold("  Ana   MARÍA ") == fold("ana mari\\u0301a")
    True
    """
    return " ".join(unicodedata.normalize("NFKC", name).casefold().split())


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
