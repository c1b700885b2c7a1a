"""Who acts at the tutor's desk: the person named by `--as`, and their key, opened with its password."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

if TYPE_CHECKING:
    from kit.records import Records
    from kit.records.acts import SigningKey
    from kit.records.staff import Hand

PASSWORD_VARIABLE = "SMOKEHOUSE_PASSWORD"
_F = TypeVar("_F", bound=Callable[..., Any])


def as_option(function: _F) -> _F:
    """Add `--as NAME`: who acts."""
    option = click.option("--as", "as_name", metavar="NAME", required=True, help="Who acts: a name or an id.")
    return option(function)


def records_option(function: _F) -> _F:
    """Add `--records FILE`."""
    option = click.option(
        "--records",
        "records_file",
        type=click.Path(path_type=Path),
        help="The records file. By default the one of this machine.",
    )
    return option(function)


def open_hand(records: Records, as_name: str, *, need_key: bool = True) -> Hand:
    """Return who acts, with their key opened where one is needed.

    Raises
    ------
    UnknownName
        If nobody, or more than one, answers to the name.
    BadData
        If a key is needed and none is on file, or its file is not on this machine.
    WrongPassword
        If the key does not open.
    """
    from kit.records import staff

    member = staff.find(records, as_name)
    key = open_key(records, member.person, member.name) if need_key else None
    return staff.Hand(records, member.person, key)


def open_key(records: Records, person: str, name: str) -> SigningKey:
    """Return the valid key of a person, opened with the password asked for here."""
    from sqlalchemy import select

    from kit import places
    from kit.books import signing
    from kit.errors import BadData
    from kit.records import schema

    keys = schema.signing_keys.c
    with records.reading() as connection:
        key_id = connection.scalar(select(keys.key_id).where(keys.person == person, keys.until.is_(None)))
    if key_id is None:
        raise BadData(
            name,
            "no key is on file",
            "`smokehouse key new`, then `smokehouse staff key`",
            "A manager puts it on file.",
        )
    path = places.home() / "tutor" / "keys" / f"{key_id}.json"
    if not path.exists():
        raise BadData(str(path), f"the key of {name} is not on this machine", "the key file, brought here")
    return signing.unseal_key(signing.read_key(path), password(f"Password of {name}'s key"))


def password(prompt: str) -> str:
    """Return the password from the environment, for scripts, or ask for it without showing it."""
    given = os.environ.get(PASSWORD_VARIABLE)
    if given is not None:
        return given
    typed: str = click.prompt(prompt, hide_input=True, err=True)
    return typed
