"""Whether anybody could still grant trust: the last way to it is never given away."""

from __future__ import annotations

from sqlalchemy import Connection, select

from kit.records.ledger.acts import NotAllowed
from kit.records.people.entitlement import SIGNERS, InTables
from kit.records.storage import schema


def check_trust_stays(connection: Connection, *, without_key: str = "", without_manager: str = "") -> None:
    """Refuse to give away the last way to grant trust: signed acts by a manager.

    There is one as long as a manager holds a valid key, or two others do who can put a manager's new key on
    file: one proposes, the other confirms.

    Parameters
    ----------
    connection : Connection
        Inside a transaction.
    without_key : str
        The id of a key that is to be retired.
    without_manager : str
        The id of somebody who is to be a manager no longer.

    Raises
    ------
    NotAllowed
        If nothing would be left. Records without a manager's key on file need none.
    """
    if not InTables(connection).rooted():
        return
    keys, roles = schema.signing_keys.c, schema.roles.c
    valid = select(keys.person).where(keys.until.is_(None), keys.key_id != without_key)
    rows = connection.execute(select(roles.person, roles.role).where(roles.until.is_(None))).all()
    held = {tuple(row) for row in rows} - {(without_manager, "manager")}
    signers = {person for person, role in held if role in SIGNERS}.intersection(connection.scalars(valid))
    managers = {person for person, role in held if role == "manager"}
    if managers & signers or any(len(signers - {one}) >= 2 for one in managers):
        return
    raise NotAllowed(
        "This is the last key that can grant trust; without it nobody could put another on file. Put the key "
        "of another manager on file first: `smokehouse staff key`."
    )
