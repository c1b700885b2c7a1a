"""Doing an act to see what is against it, before anybody is asked for a password. Nothing of it stays."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace

from sqlalchemy import Connection

from kit.files.signing import SealedKey, Signer
from kit.records.people.staff import Hand
from kit.records.storage.store import Records


class ClosedKey(Signer):
    """A key that nobody opened: it has its names, and signs with nothing. For a rehearsal alone."""

    def __init__(self, sealed: SealedKey) -> None:
        self.public, self.key_id = sealed.public, sealed.key_id

    def sign(self, message: bytes) -> str:
        """Return no signature, in as many digits as one has."""
        return "00" * 64


class _Undone(Exception):
    """Ends a transaction that was only a rehearsal."""


@dataclass(frozen=True)
class OneTransaction(Records):
    """Records whose every reading and writing happens on one connection that is open already."""

    connection: Connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """Give the one connection."""
        yield self.connection

    reading = deriving = writing


def inside(hand: Hand, connection: Connection) -> Hand:
    """Return a hand whose acts all happen on a connection that is open already."""
    records = hand.records
    return replace(hand, records=OneTransaction(records.path, records.engine, connection))


def rehearse(hand: Hand, act: Callable[[Hand], object]) -> None:
    """Do an act in a transaction that is then thrown away, and raise what it raises.

    Parameters
    ----------
    hand : Hand
        Who acts. Where the act is signed, the key may be a ``ClosedKey``.
    act : callable
        The act. It must do nothing outside the records.
    """
    with suppress(_Undone), hand.records.writing() as connection:
        act(inside(hand, connection))
        raise _Undone
