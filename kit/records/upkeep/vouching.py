"""Who vouches for a backup: somebody whose key is on file signs its manifest, over every part of it."""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import Connection

from kit.basics.errors import KitError
from kit.files.signing import Signer
from kit.records.ledger.acts import NotAllowed
from kit.records.people.entitlement import InTables
from kit.records.people.staff import Hand, name_of
from kit.records.upkeep.backup_file import Backup, signed_by


class UnsignedBackup(KitError):
    """Nobody who is on file vouches for a backup: whoever puts it back says why in writing."""

    def __init__(self, path: Path, doubt: str) -> None:
        self.path, self.doubt = path, doubt
        super().__init__(
            f"{path}: {doubt}, so nobody vouches for it. Use a backup that was made with "
            '`smokehouse backup FILE --as NAME`, or say why this one: --unsigned "WHY".'
        )


class OtherSigner(KitError):
    """A backup is not signed with the key that a paper shows."""

    def __init__(self, path: Path, paper: str, found: str) -> None:
        self.path, self.paper, self.found = path, paper, found
        super().__init__(
            f"{path}: your paper shows the key {paper}, and this backup is {found}. "
            "Look for the backup that the paper was written for; do not use this one."
        )


def knows_signer(made: Backup, paper: str) -> bool:
    """Return whether a paper names the key that signed a backup; False if there is no paper.

    On an empty machine only this tells a backup from records that somebody made up whole.

    Parameters
    ----------
    made : Backup
        Its signature was checked when it was read.
    paper : str
        The name of a key, 16 digits of 0-9 and a-f; spaces and capitals do not count. Empty: no paper.

    Raises
    ------
    OtherSigner
        If it is signed with another key, or not at all.
    """
    wanted = "".join(paper.split()).lower()
    if not wanted:
        return False
    if made.signed is None:
        raise OtherSigner(made.path, wanted, "signed by nobody")
    if made.signed.key_id != wanted:
        raise OtherSigner(made.path, wanted, f"signed with the key {made.signed.key_id}")
    return True


def signed_manifest(made: Backup, by: Hand) -> Backup:
    """Return a backup whose manifest is signed.

    Raises
    ------
    NotAllowed
        If there is no open key, or it is not on file for that person.
    """
    with by.records.reading() as connection:
        name = name_of(connection, by.person)
        held = None if by.key is None else InTables(connection).key(by.key.key_id)
    if not isinstance(by.key, Signer) or held != (by.person, None):
        raise NotAllowed(f"A backup is signed with a key that is on file for {name}.")
    return signed_by(made, by.person, name, by.key)


def doubt_of(made: Backup, connection: Connection) -> str:
    """Return why nobody who is on file vouches for a backup; an empty text if somebody does.

    Where no manager's key is on file, nobody could sign, so nobody has to.
    """
    then = InTables(connection)
    if not then.rooted():
        return ""
    if made.signed is None:
        return "nobody signed it"
    held = then.key(made.signed.key_id)
    if held is None or held[0] != made.signed.person:
        return f"the key {made.signed.key_id} that signed it is not on file"
    return "" if held[1] is None else f"the key that signed it was retired on {held[1]:%Y-%m-%d}"
