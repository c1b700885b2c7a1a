"""Which key a person signs with here, and opening it: the records name it, its file holds it sealed."""

from __future__ import annotations

from collections.abc import Callable

from sqlalchemy import Connection, select

from kit.basics import places
from kit.basics.errors import BadData
from kit.files import signing
from kit.records.storage import schema
from kit.records.storage.store import Records


def keys_on_file(connection: Connection) -> dict[str, str]:
    """Return the id of the valid key of everyone who has one, by person id."""
    keys = schema.signing_keys.c
    rows = connection.execute(select(keys.person, keys.key_id).where(keys.until.is_(None)))
    return {row.person: row.key_id for row in rows}


def open_key(records: Records, person: str, name: str, password: Callable[[], str]) -> signing.Signer:
    """Return the opened key of a person.

    Parameters
    ----------
    records : Records
        The open records.
    person, name : str
        Whose key, and what to call them in a message.
    password : callable
        Asked for the password once the file is found.

    Raises
    ------
    BadData
        If no key is on file, its file is not on this machine, or no password is given.
    WrongPassword
        If the key does not open.
    """
    with records.reading() as connection:
        key_id = keys_on_file(connection).get(person)
    if key_id is None:
        raise BadData(
            name,
            "no key is on file",
            "`smokehouse key new`, then `smokehouse staff key`",
            "A manager puts it on file.",
        )
    for path in sorted(places.keys_folder().glob("*.json")):
        try:
            sealed = signing.read_key(path)
        except BadData:
            continue  # a damaged file beside a good one must not stop anybody
        if sealed.key_id == key_id:
            typed = password()
            if not typed:
                raise BadData("the password", "nothing is typed", "the password of your key")
            return signing.unseal_key(sealed, typed)
    raise BadData(
        f"key {key_id}",
        f"the key of {name} is not on this machine",
        f"a file in {places.keys_folder()}",
        "Bring the file that `smokehouse key new` wrote.",
    )
