"""The keys people sign with: putting one on file and retiring it, and opening it from its sealed file."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from sqlalchemy import Connection, select

from kit.basics import places
from kit.basics.errors import BadData, UnknownName
from kit.files import signing
from kit.records.ledger import acts, texts
from kit.records.ledger.acts import Act, Draft
from kit.records.people.entitlement import InTables
from kit.records.people.staff import Hand, check_known, name_of, write
from kit.records.people.trust_left import check_trust_stays
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
    sealed = sealed_key(records, person, name)
    typed = password()
    if not typed:
        raise BadData("the password", "nothing is typed", "the password of your key")
    return signing.unseal_key(sealed, typed)


def sealed_key(records: Records, person: str, name: str) -> signing.SealedKey:
    """Return the key of a person that is on file, as it lies sealed on this machine.

    Raises
    ------
    BadData
        If no key is on file, or its file is not on this machine.
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
    return sealed_here(key_id, name)


def sealed_here(key_id: str, name: str) -> signing.SealedKey:
    """Return a key as it lies sealed on this machine. ``name`` is its owner's, for a message.

    Raises
    ------
    BadData
        If its file is not here.
    """
    for path in sorted(places.keys_folder().glob("*.json")):
        try:
            sealed = signing.read_key(path)
        except BadData:
            continue  # a damaged file beside a good one must not stop anybody
        if sealed.key_id == key_id:
            return sealed
    raise BadData(
        f"key {key_id}",
        f"the key of {name} is not on this machine",
        f"a file in {places.keys_folder()}",
        "Bring the file that `smokehouse key new` wrote.",
    )


def add_key(hand: Hand, person: str, key_id: str, public: str) -> Act:
    """Put a person's public key on file, or propose it. From then on what they sign can be checked.

    Somebody's first key is put on file at once. A new key for somebody who signed here before is proposed;
    somebody else who holds a key confirms it. Where nobody else holds one, it is put on file at once, and
    the records say that one person did it alone.

    Returns
    -------
    Act
        Of the kind ``key added``, or ``key proposed`` where it waits for the second person.

    Raises
    ------
    BadData
        If the key is on file already, or the person holds another valid key: retire that first.
    """
    with hand.records.writing() as connection:
        check_known(connection, person)
        _check_key_is_new(connection, person, key_id)
        facts: dict[str, Any] = {"key_id": key_id, "public": public}
        now, kind = InTables(connection), "key added"
        if now.rooted() and now.had_key(person):
            if now.signers() - {hand.person, person}:
                kind = "key proposed"
            else:
                facts["alone"] = True
        return write(connection, hand, Draft(kind, hand.person, person, facts=facts))


def confirm_key(hand: Hand, proposal: int) -> Act:
    """Put a proposed key on file, as the second person. Make sure first that its owner asked for it.

    Raises
    ------
    BadData
        If the act proposes no key, or the key cannot go on file any more.
    NotAllowed
        If the hand proposed it, or is its owner.
    """
    with hand.records.writing() as connection:
        act = acts.get(connection, proposal)
        if act.kind != "key proposed":
            raise BadData(
                f"act {proposal}", "it proposes no key", "the act that `smokehouse staff key` named"
            )
        _check_key_is_new(connection, str(act.person), act.facts["key_id"])
        facts = {"key_id": act.facts["key_id"], "public": act.facts["public"], "proposed": proposal}
        return write(connection, hand, Draft("key added", hand.person, act.person, facts=facts))


def _check_key_is_new(connection: Connection, person: str, key_id: str) -> None:
    keys = schema.signing_keys.c
    if connection.scalar(select(keys.person).where(keys.key_id == key_id)) is not None:
        raise BadData(f"key {key_id}", "it is on file already")
    valid = connection.scalar(select(keys.key_id).where(keys.person == person, keys.until.is_(None)))
    if valid is not None:
        raise BadData(
            name_of(connection, person), f"holds the key {valid}", "no valid key", "Retire it first."
        )


def retire_key(hand: Hand, key_id: str, reason: str) -> Act:
    """Stop a key from signing: it was lost, or its owner left. What it signed before can still be checked.

    A manager retires anybody's, and everybody their own; a manager's lost one any tutor or verifier. The
    last key that can grant trust stays: see ``check_trust_stays``.
    """
    keys = schema.signing_keys.c
    with hand.records.writing() as connection:
        row = connection.execute(select(keys.person, keys.until).where(keys.key_id == key_id)).one_or_none()
        if row is None:
            raise UnknownName("key", key_id, connection.scalars(select(keys.key_id)))
        if row.until is not None:
            raise BadData(f"key {key_id}", f"it was retired on {row.until:%Y-%m-%d}")
        check_trust_stays(connection, without_key=key_id)
        facts = {"key_id": key_id, "reason": texts.keep(connection, reason, row.person)}
        return write(connection, hand, Draft("key retired", hand.person, row.person, facts=facts))
