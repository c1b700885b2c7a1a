"""The key of an answer book: sealed under its person's PIN, and what it says of each line.

It stops somebody who shares the account from writing into a colleague's book by way of the kit, and shows
what was written by another way. A PIN of four digits has 10,000 values: whoever copies the file can try them
all in about an hour. It does not stop that, nor somebody who watches the keys being pressed.
"""

import unicodedata
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from kit.basics.errors import BadData
from kit.files.book_entry import Entry, line_message
from kit.files.signing import COST, KeyHex, Seal, Signer, check, open_private, seal_private

Doubt = Literal["", "not signed", "new key", "after a new key"]
"""What speaks against a line: nothing; no signature of the book's key; a key put in without the one before;
or that it follows such a key, which no tutor asked about yet."""


@dataclass(frozen=True)
class PinKey:
    """A key at rest: the public half in hex, and the private half sealed under a PIN."""

    public: KeyHex
    by_pin: Seal


def make_pin_key(pin: str, private: str = "", *, cost: int = COST) -> tuple[PinKey, str]:
    """Return a key sealed under a PIN, and its private half in hex.

    Parameters
    ----------
    pin : str
        The PIN, whatever its length.
    private : str
        The private half of a key that is there already, to seal it anew. Default: a new key.
    cost : int
        scrypt's n: see ``kit.files.signing.make_key``.

    Examples
    --------
    >>> key, private = make_pin_key("2719", cost=2**14)
    >>> open_pin_key(key, "2719") == private
    True
    """
    made = Ed25519PrivateKey.from_private_bytes(bytes.fromhex(private)) if private else None
    made = made or Ed25519PrivateKey.generate()
    raw, public = made.private_bytes_raw(), made.public_key().public_bytes_raw().hex()
    return PinKey(public, seal_private(raw, public, _tidy(pin), "PIN", cost)), raw.hex()


def open_pin_key(key: PinKey, pin: str) -> str:
    """Return the private half of a key in hex: ``signer_of`` signs with it.

    Raises
    ------
    WrongPassword
        If the PIN does not open it.
    """
    return open_private(key.public, key.by_pin, _tidy(pin), "PIN").private_bytes_raw().hex()


def signer_of(private: str) -> Signer:
    """Return the open key of a private half in hex.

    Raises
    ------
    BadData
        If it is none.
    """
    try:
        return Signer(Ed25519PrivateKey.from_private_bytes(bytes.fromhex(private)))
    except ValueError:
        raise BadData("the key of an answer book", "it is damaged", "64 hex digits") from None


def doubts(
    entries: Sequence[Entry], after: int, asked: Collection[str] = ()
) -> Iterator[tuple[Entry, Doubt]]:
    """Yield each entry after number ``after`` with what speaks against it.

    Parameters
    ----------
    entries : sequence of Entry
        The whole book, from its first entry.
    after : int
        How many entries were looked at before; only their keys are followed.
    asked : collection of str
        The hashes of new keys that a tutor asked about and found right.
    """
    public, open_question = "", False
    for entry in entries:
        doubt: Doubt = ""
        if entry.what == "key":
            if not _signed(entry, public or entry.public) and (public or entry.public):
                doubt = "" if entry.hash in asked else "new key"
                open_question = doubt != ""
            public = entry.public
        elif entry.n > after and public and not _signed(entry, public):
            doubt = "not signed"
        elif open_question:
            doubt = "after a new key"
        if entry.n > after:
            yield entry, doubt


def _signed(entry: Entry, public: str) -> bool:
    return bool(entry.signature) and check(public, line_message(entry.said), entry.signature)


def _tidy(pin: str) -> str:
    return unicodedata.normalize("NFC", pin)
