"""What a person is called in a table that leaves the desk: a short word that says nothing about them."""

from __future__ import annotations

import base64
import hashlib

from sqlalchemy import Connection, select

from kit.records.ledger.joins import joined_ids
from kit.records.storage import schema


def pseudonyms(connection: Connection) -> dict[str, str]:
    """Return a pseudonym for every person id on file.

    It stays the same within one records file, also in its backups, and differs in another. Two ids that were
    joined have one. Without the records nobody can work out whose it is. With a small group, who knows the
    people may still guess.

    Examples
    --------
    >>> import tempfile
    >>> from kit.records import open_records
    >>> from kit.records.people import staff
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     records = open_records(f"{folder}/records.db")
    ...     hand = staff.begin(records, "Hedda Quill")
    ...     with records.reading() as connection:
    ...         len(pseudonyms(connection)[hand.person])
    ...     records.close()
    10
    """
    people = schema.people.c
    rows = connection.execute(select(people.person_id, people.first_taken_at).order_by(people.key)).all()
    ours = "\n".join(map(str, rows[0])) if rows else ""  # nobody outside knows both, and no row ever goes
    joined = joined_ids(connection)
    return {row.person_id: _word(f"{ours}\n{joined.get(row.person_id, row.person_id)}") for row in rows}


def _word(text: str) -> str:
    return "p-" + base64.b32encode(hashlib.sha256(text.encode()).digest())[:8].decode().lower()
