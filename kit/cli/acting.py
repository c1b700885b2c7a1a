"""Who acts at the tutor's desk: the person named by `--as`, and their key, opened with its password."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from kit.basics.places import is_address

if TYPE_CHECKING:
    from kit.records import Records
    from kit.records.people.staff import Hand

DAY = click.DateTime(["%Y-%m-%d"])
PASSWORD_VARIABLE = "SMOKEHOUSE_PASSWORD"
_F = TypeVar("_F", bound=Callable[..., Any])
_Done = TypeVar("_Done")


def as_place(_ctx: click.Context, _param: click.Parameter, value: str | None) -> str | Path | None:
    """Read what names records: a file, or an address as it was typed (a path would lose its slashes)."""
    return value if value is None or is_address(value) else Path(value)


def as_option(function: _F) -> _F:
    """Add `--as NAME`: who acts."""
    option = click.option("--as", "as_name", metavar="NAME", required=True, help="Who acts: a name or an id.")
    return option(function)


def records_option(function: _F) -> _F:
    """Add `--records PLACE`: a file or an address."""
    option = click.option(
        "--records",
        "records_file",
        callback=as_place,
        metavar="FILE",
        help="The records: a file or an address postgresql://…. By default those of this machine.",
    )
    return option(function)


def acted(records: Records, as_name: str, act: Callable[[Hand], _Done], *, need_key: bool = True) -> _Done:
    """Do an act as the person named, and return what it returns.

    Whatever can be said against it is said before a password is asked for: it is done once in a transaction
    that is thrown away, then for good. The act must do nothing outside the records.

    Raises
    ------
    UnknownName
        If nobody, or more than one, answers to the name.
    BadData
        If a key is needed and none is on file, or its file is not on this machine.
    WrongPassword
        If the key does not open.
    """
    from kit.records.people.rehearse import rehearse

    hand = closed_hand(records, as_name, need_key=need_key)
    if hand.key is not None:
        rehearse(hand, act)
        hand = open_hand(records, hand.person)
    return act(hand)


def acted_with_trust(records: Records, as_name: str, act: Callable[[Hand], _Done]) -> _Done:
    """Do an act that grants or takes trust: from a manager's key on it is signed. See ``acted``."""
    from kit.records.people import staff

    return acted(records, as_name, act, need_key=staff.trust_is_signed(records))


def closed_hand(records: Records, as_name: str, *, need_key: bool = True) -> Hand:
    """Return who acts, with the names of their key where one is needed: nobody is asked for a password.

    Such a hand can be checked and rehearse; what it signs does not count.
    """
    from kit.records.people import keys, staff
    from kit.records.people.rehearse import ClosedKey

    member = staff.find(records, as_name)
    if not need_key:
        return staff.Hand(records, member.person)
    return staff.Hand(records, member.person, ClosedKey(keys.sealed_key(records, member.person, member.name)))


def open_trusted_hand(records: Records, as_name: str) -> Hand:
    """Return who grants or takes trust; from a manager's key on their key is opened, and it is signed."""
    from kit.records.people import staff

    return open_hand(records, as_name, need_key=staff.trust_is_signed(records))


def open_hand(records: Records, as_name: str, *, need_key: bool = True) -> Hand:
    """Return who acts, with their key opened where one is needed. See ``acted`` for what may be wrong."""
    from kit.records.people import keys, staff

    member = staff.find(records, as_name)
    if not need_key:
        return staff.Hand(records, member.person)
    key = keys.open_key(
        records, member.person, member.name, lambda: password(f"Password of {member.name}'s key")
    )
    return staff.Hand(records, member.person, key)


def password(prompt: str) -> str:
    """Return the password from the environment, for scripts, or ask for it without showing it."""
    given = os.environ.get(PASSWORD_VARIABLE)
    if given is not None:
        return given
    typed: str = click.prompt(prompt, hide_input=True, err=True)
    return typed


def day_of(given: datetime | None) -> date | None:
    """Return the day of a date option."""
    return None if given is None else given.date()


def day_or_today(given: datetime | None) -> date:
    """Return the day of a date option, or the local day of today."""
    return datetime.now().astimezone().date() if given is None else given.date()


@contextmanager
def opened(records_file: str | Path | None, *, make: bool = False) -> Iterator[Records]:
    """Open the records and close them again."""
    from kit.records import open_records

    records = open_records(records_file, make=make)
    try:
        yield records
    finally:
        records.close()


def said(act: Any) -> None:
    """Say what was recorded, and where the chain ends now."""
    from kit.records.ledger.acts import LedgerHead

    click.echo(
        f"Recorded as act {act.number}. The chain now ends in {LedgerHead(act.number, act.hash).short}."
    )
