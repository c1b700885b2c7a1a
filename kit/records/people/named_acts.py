"""Acts with their words told and their people named, as the papers read them.

A row that somebody made unreadable is told with empty facts; the check of the chain names it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import Connection, Row, select

from kit.records.ledger import acts, texts
from kit.records.ledger.acts import PublicKeys
from kit.records.people.staff import all_names
from kit.records.storage import schema

WORDS = frozenset(
    {
        "question",
        "answer",
        "supports",
        "notes",
        "happened",
        "action",
        "reason",
        "despite",
        "given",
        "words",
        "who",
        "paper",
        "name",
    }
)
"""The facts of an act that hold marks of words."""
FITS = "signature fits"
_MONTHS = "JanFebMarAprMayJunJulAugSepOctNovDec"


@dataclass(frozen=True)
class Told:
    """An act as it is read: ``by`` is a name, ``person`` the id it is about; ``facts`` hold the words.

    ``check`` says what a check of its hash and signature found.
    """

    number: int
    kind: str
    at: datetime
    by: str
    by_id: str
    person: str
    criterion: str | None
    batch: str | None
    facts: Mapping[str, Any]
    check: str
    key_id: str
    hash: str

    @property
    def day(self) -> date:
        """The local day it happened, or the day it was recorded."""
        return day_of(self.facts.get("day")) or self.recorded

    @property
    def signed(self) -> bool:
        """Whether it has a signature that fits its hash and a key of the person who made it."""
        return self.check == FITS

    @property
    def recorded(self) -> date:
        """The local day it was recorded."""
        return self.at.astimezone().date()


def tell_acts(
    connection: Connection,
    *,
    kinds: Collection[str] | None = None,
    people: Collection[str] | None = None,
    batches: Collection[str] | None = None,
) -> list[Told]:
    """Return acts, told, in order: all, or only those of some kinds, about some people, on some batches."""
    table = schema.acts.c
    query = select(schema.acts).order_by(table.number)
    for column, wanted in ((table.kind, kinds), (table.person, people), (table.batch, batches)):
        if wanted is not None:
            query = query.where(column.in_(sorted(wanted)))
    rows = connection.execute(query).all()
    facts = [acts.facts_of(row.facts) for row in rows]
    said = texts.tell_all(connection, (mark for each in facts for mark in marks_in(each)))
    names, publics = all_names(connection), acts.public_keys(connection)
    return [_told(row, each, said, names, publics) for row, each in zip(rows, facts, strict=True)]


def _told(
    row: Row[Any],
    facts: Mapping[str, Any],
    said: Mapping[str, str],
    names: Mapping[str, str],
    publics: PublicKeys,
) -> Told:
    return Told(
        row.number,
        row.kind,
        row.at,
        names.get(row.by, texts.ERASED),
        row.by,
        row.person or "",
        row.criterion,
        row.batch,
        with_words(facts, said),
        acts.fault_of(row, publics) or (FITS if row.signature else "has no signature"),
        row.key_id or "",
        row.hash,
    )


def marks_in(facts: Any) -> Iterator[str]:
    """Return the marks of words that facts hold.

    Examples
    --------
    >>> list(marks_in({"reason": "ab", "asked": [{"question": "cd", "met": True}], "day": "2026-03-02"}))
    ['ab', 'cd']
    """
    if isinstance(facts, list):
        for each in facts:
            yield from marks_in(each)
    elif isinstance(facts, dict):
        for name, value in facts.items():
            if name in WORDS and isinstance(value, str):
                yield value
            elif name in WORDS and isinstance(value, list):
                yield from (each for each in value if isinstance(each, str))
            else:
                yield from marks_in(value)


def with_words(facts: Any, said: Mapping[str, str]) -> Any:
    """Return facts with words in place of marks; ``(erased)`` where the words are gone.

    Examples
    --------
    >>> with_words({"reason": "ab", "notes": "", "act": 3}, {"ab": "Seen twice."})
    {'reason': 'Seen twice.', 'notes': '', 'act': 3}
    """
    if isinstance(facts, list):
        return [with_words(each, said) for each in facts]
    if not isinstance(facts, dict):
        return facts
    return {
        name: _words(value, said) if name in WORDS else with_words(value, said)
        for name, value in facts.items()
    }


def _words(value: Any, said: Mapping[str, str]) -> Any:
    if isinstance(value, list):
        return [_words(each, said) for each in value]
    return said.get(value, texts.ERASED) if isinstance(value, str) and value else value


def day_of(value: object) -> date | None:
    """Return the day that a fact holds, or None.

    Examples
    --------
    >>> day_of("2026-03-02"), day_of(None), day_of("soon")
    (datetime.date(2026, 3, 2), None, None)
    """
    try:
        return date.fromisoformat(value) if isinstance(value, str) else None
    except ValueError:
        return None


def day_words(day: date | None) -> str:
    """Return a day in few letters that nobody can misread, or a dash.

    Examples
    --------
    >>> day_words(date(2026, 3, 2)), day_words(None)
    ('2 Mar 2026', '–')
    """
    return "–" if day is None else f"{day.day} {_MONTHS[3 * day.month - 3 : 3 * day.month]} {day.year}"


def many(value: object) -> list[Any]:
    """Return a fact that should be a list; an empty list for whatever else somebody made of it.

    Examples
    --------
    >>> many([1, 2]), many(None), many(5)
    ([1, 2], [], [])
    """
    return value if isinstance(value, list) else []


def pairs(value: object) -> list[tuple[str, Any]]:
    """Return the names and values of a fact that should hold both; an empty list for whatever else.

    Examples
    --------
    >>> pairs({"COK-P01": "met"}), pairs([])
    ([('COK-P01', 'met')], [])
    """
    return list(value.items()) if isinstance(value, dict) else []


def listed(parts: Iterable[str], empty: str = "none") -> str:
    """Return parts in one line, or a word for none."""
    return "; ".join(parts) or empty
