"""Free text and other personal words, kept apart from the chain so that they can be erased.

An act holds only a mark: the SHA-256 of a random salt and the text. When text and salt are erased, the mark
says nothing any more, and the chain still fits.
"""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Iterable

from sqlalchemy import Connection, delete, insert, select

from kit.basics.errors import OutOfRange
from kit.records.storage import schema

LONGEST = 8_000
ERASED = "(erased)"


def keep(connection: Connection, text: str, person: str) -> str:
    """Keep words about a person and return their mark; an empty text has an empty mark.

    Raises
    ------
    OutOfRange
        If the text is longer than 8,000 characters.
    """
    tidy = text.strip()
    if not tidy:
        return ""
    if len(tidy) > LONGEST:
        raise OutOfRange("the text", f"{len(tidy)} characters long", f"{LONGEST} or fewer")
    salt = secrets.token_hex(16)
    mark = mark_of(salt, tidy)
    connection.execute(insert(schema.words).values(mark=mark, person=person, salt=salt, text=tidy))
    return mark


def keep_salted(connection: Connection, mark: str, salt: str, text: str, person: str) -> None:
    """Keep words that came with their salt, unless they are here; ``mark_of`` must give their mark."""
    words = schema.words
    if connection.scalar(select(words.c.mark).where(words.c.mark == mark)) is None:
        connection.execute(insert(words).values(mark=mark, person=person, salt=salt, text=text))


def salted(connection: Connection, marks: Iterable[str]) -> dict[str, tuple[str, str]]:
    """Return salt and text of marks whose words are still here and fit."""
    words, found = schema.words.c, dict[str, tuple[str, str]]()
    for mark in sorted(set(marks) - {""}):
        row = connection.execute(select(words.salt, words.text).where(words.mark == mark)).first()
        if row is not None and mark_of(row.salt, row.text) == mark:
            found[mark] = (row.salt, row.text)
    return found


def mark_of(salt: str, text: str) -> str:
    """Return the mark of a text under a salt.

    Examples
    --------
    >>> len(mark_of("00", "seen at the bench"))
    64
    """
    return hashlib.sha256(f"{salt}\n{text}".encode()).hexdigest()


def tell(connection: Connection, mark: str) -> str:
    """Return the words of a mark; ``(erased)`` if they are gone, or if they no longer fit their mark."""
    return tell_all(connection, [mark]).get(mark, ERASED) if mark else ""


def tell_all(connection: Connection, marks: Iterable[str]) -> dict[str, str]:
    """Return the words of many marks at once. A mark whose words are gone is left out."""
    words = schema.words.c
    found: dict[str, str] = {}
    wanted = sorted({mark for mark in marks if mark})
    for start in range(0, len(wanted), 500):
        rows = connection.execute(
            select(words.mark, words.salt, words.text).where(words.mark.in_(wanted[start : start + 500]))
        )
        found |= {row.mark: row.text for row in rows if mark_of(row.salt, row.text) == row.mark}
    return found


def changed(connection: Connection, person: str | None = None) -> list[str]:
    """Return the marks whose words, or whose words about a person, were changed after they were kept."""
    words = schema.words.c
    query = select(words.mark, words.salt, words.text)
    rows = connection.execute(query if person is None else query.where(words.person == person))
    return [row.mark for row in rows if mark_of(row.salt, row.text) != row.mark]


def erase(connection: Connection, person: str) -> int:
    """Erase all words about a person and return how many texts went."""
    return connection.execute(delete(schema.words).where(schema.words.c.person == person)).rowcount
