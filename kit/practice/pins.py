"""A person's PIN, and the key of their answer book that is sealed under it.

Nothing more than the PIN is ever asked for. Whoever sets one gets a key; every line of their book is signed
with it from then on. A PIN from before there were keys gets its key the next time it is typed.

It keeps colleagues on a shared account out of each other's books. It is no safe: see ``kit.files.book_keys``.
"""

import hashlib
import hmac
import unicodedata
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import UTC, timedelta
from math import ceil

from kit.basics.data_files import Moment
from kit.basics.errors import KitError, OutOfRange
from kit.files import Book, Clock, NotSaved, local_now, saving
from kit.files.book_entry import key_in_force
from kit.files.book_keys import make_pin_key, open_pin_key, signer_of
from kit.files.signing import WrongPassword
from kit.languages import noted
from kit.practice import people
from kit.practice.own_file import read_page, write_page
from kit.practice.people import Learner

LONGEST_PIN = 32
SHORTEST_PIN = 4
FREE_TRIES = 2
"""So many wrong PINs are typing slips, and cost no time."""
FIRST_WAIT, LONGEST_WAIT = timedelta(seconds=15), timedelta(hours=1)
TRIES_FILE = "pin_tries.json"
_SCRYPT = {"n": 2**14, "r": 8, "p": 1}  # of before there were keys


class WrongPin(KitError):
    """The PIN was wrong, or it is too early to try another."""


@dataclass(frozen=True)
class PinTries:
    """How many wrong PINs were typed in a row, and when the last was."""

    schema: int
    wrong: int
    last: Moment


def set_pin(
    person: Learner, pin: str | None, *, private: str | None = None, clock: Clock = local_now
) -> Learner:
    """Return the person with a new PIN, or with none. The PIN itself is never kept.

    Parameters
    ----------
    person : Learner
        Who.
    pin : str or None
        The new PIN; None takes it away, and the key with it.
    private : str, optional
        Their open key, from ``unlock``. Without it somebody who had a PIN gets another key, and the book
        says so: the tutor is told to ask.
    clock : callable
        Returns the time now, for the line in the book.

    Raises
    ------
    OutOfRange
        If the PIN is shorter than 4 or longer than 32 characters.
    NotSaved
        If the disk is full or can only be read.
    """
    if pin is None:
        _write_key_line(person, private or "", "", clock)
        changed = replace(person, pin="", key=None)
    else:
        check_new_pin(pin)
        key, private = make_pin_key(pin, private or "")
        changed = replace(person, pin="", key=key)
    people.keep(changed)
    if pin is not None:
        _write_key_line(person, private or "", key.public, clock)
    _forget_tries(person)
    return changed


def check_new_pin(pin: str) -> None:
    """Raise `OutOfRange` for a PIN that is too short or too long."""
    if not SHORTEST_PIN <= len(pin) <= LONGEST_PIN:
        raise OutOfRange("the PIN", f"{len(pin)} characters long", f"from {SHORTEST_PIN} to {LONGEST_PIN}")


def check_pin(person: Learner, pin: str) -> bool:
    """Return whether the PIN is right, or none is needed. It counts no try: see ``unlock``."""
    return not person.has_pin or _opened(person, pin) is not None


def unlock(person: Learner, pin: str, *, clock: Clock = local_now) -> str:
    """Return a person's open key in hex; empty if they have no PIN, or no key can be made for it now.

    Wrong PINs wait longer each time, after the second in a row: 15 s, 30 s, and so on up to an hour. The
    count outlives the program, and is written down before the PIN is tried.

    Raises
    ------
    WrongPin
        If the PIN is wrong, or it is too early to try.
    """
    if not person.has_pin:
        return ""
    opened = _counted(person, pin, clock)
    if opened is None:
        raise WrongPin(_wait_words(person, clock) or noted("That PIN is wrong."))
    if opened:
        return opened
    with suppress(NotSaved):  # a disk that can only be read: the PIN of before still does
        key, private = make_pin_key(pin)
        people.keep(replace(person, pin="", key=key))
        _write_key_line(person, private, key.public, clock)
        return private
    return ""


def _counted(person: Learner, pin: str, clock: Clock) -> str | None:
    """Try a PIN and count it. On a disk that can only be read no try is counted, and no book written."""
    with suppress(NotSaved), saving("The PIN", alone=person.folder / TRIES_FILE):
        if words := _wait_words(person, clock):
            raise WrongPin(words)
        _note_try(person, wrong_pins(person, clock) + 1, clock)
        opened = _opened(person, pin)
        if opened is not None:
            _forget_tries(person)
        return opened
    return _opened(person, pin)


def _opened(person: Learner, pin: str) -> str | None:
    """Return the open key of a right PIN, empty where it has none yet; None if the PIN is wrong."""
    if person.key is not None:
        try:
            return open_pin_key(person.key, pin)
        except WrongPassword:
            return None
    _, salt, wanted = person.pin.split(":")
    text = unicodedata.normalize("NFC", pin).encode("utf-8", "surrogatepass")
    found = hashlib.scrypt(text, salt=bytes.fromhex(salt), **_SCRYPT)
    return "" if hmac.compare_digest(found, bytes.fromhex(wanted)) else None


def wrong_pins(person: Learner, clock: Clock = local_now) -> int:
    """Return how many wrong PINs were typed in a row."""
    tries = _tries(person, clock)
    return 0 if tries is None else max(0, tries.wrong)


def wait_left(person: Learner, clock: Clock = local_now) -> timedelta:
    """Return how long it is until another PIN may be tried; nothing if it may be now."""
    tries = _tries(person, clock)
    if tries is None or tries.wrong <= FREE_TRIES:
        return timedelta(0)
    wait: timedelta = min(FIRST_WAIT * 2 ** min(tries.wrong - FREE_TRIES - 1, 20), LONGEST_WAIT)
    return min(max(tries.last + wait - clock().astimezone(UTC), timedelta(0)), wait)


def take_key(book: Book, private: str) -> None:
    """Let an open key sign a book from here on; the book's first line of a key says so.

    Raises
    ------
    NotSaved
        If the key is missing, or it is not the book's.
    """
    told = "this answer book has a PIN, and it was not given"
    if not private:
        raise NotSaved(told, "Open the workbook with `smokehouse open`.")
    book.signer = signer_of(private)
    there = key_in_force(book.entries)
    if there and there != book.signer.public:
        advice = "Set the PIN again with your tutor: `smokehouse people pin NAME --forgotten`."
        raise NotSaved("this answer book is signed with another key", advice)
    if not there:
        book.append("key", public=book.signer.public)


def _write_key_line(person: Learner, private: str, public: str, clock: Clock) -> None:
    """Note a new key in the book, or that there is none any more, if the book can be read."""
    try:
        book = Book(person.book_path, clock=clock)
    except (KitError, OSError):  # made, or set aside, when the workbook opens; it then takes the key
        return
    if key_in_force(book.entries) == public:
        return
    book.signer = signer_of(private) if private else None
    book.append("key", public=public)


def _tries(person: Learner, clock: Clock) -> PinTries | None:
    return read_page(person.folder / TRIES_FILE, PinTries, 1, "The count of PINs", clock)[0]


def _note_try(person: Learner, wrong: int, clock: Clock) -> None:
    page = {"schema": 1, "wrong": wrong, "last": clock().astimezone(UTC).isoformat()}
    write_page(person.folder / TRIES_FILE, page)


def _forget_tries(person: Learner) -> None:
    with suppress(OSError):
        (person.folder / TRIES_FILE).unlink(missing_ok=True)


def _wait_words(person: Learner, clock: Clock) -> str:
    """Return how often the PIN was wrong and when the next try is open; nothing if it is open now."""
    seconds = ceil(wait_left(person, clock).total_seconds())
    if not seconds:
        return ""
    left = f"{seconds} s" if seconds < 120 else f"{ceil(seconds / 60)} min"
    return f"The PIN of {person.name} was wrong {wrong_pins(person, clock)} times. The next try is in {left}."
