"""The number that a kitchen renews at each taking in, and the small file that brings it to the lessons.

In a joined kitchen it goes into the seed of every question. So nobody can work out today the questions of
next week, and a line that holds the number was written after it was given. The taking in that follows shows
that the line was there by then. Only a day between the two counts as a day of its own. The file lies beside
the books that were handed in; a made-up one gains nothing, for the records know which numbers they gave.
"""

from __future__ import annotations

import secrets
from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Annotated

from msgspec import Meta

from kit.basics import places
from kit.basics.atomic_files import write_private
from kit.basics.data_files import Moment, build, in_utc, toml_of
from kit.basics.errors import BadData, KitError
from kit.basics.given_files import read_given
from kit.files.book_entry import Entry
from kit.files.joined_kitchen import joined

TITLE, SCHEMA, MAX_BYTES = "kitchen number", 1, 4096
FILE = "kitchen-number.toml"
SLACK = timedelta(hours=1)
"""How far the clocks of two machines may be apart: ours, no source."""
Numbers = Mapping[str, datetime]
"""Every number that was given and when, in the order of giving."""


@dataclass(frozen=True)
class KitchenNumber:
    """One number: which kitchen gave it, the number itself, and since when it holds."""

    smokehouse: str
    schema: int
    kitchen: str
    number: Annotated[str, Meta(pattern=r"\A[0-9a-f]{16}\Z", description="16 hex digits")]
    since: Moment

    def __post_init__(self) -> None:
        object.__setattr__(self, "since", in_utc(self.since))


def new_number() -> str:
    """Return a number that nobody can guess: 16 hex digits.

    Examples
    --------
    >>> len(new_number())
    16
    """
    return secrets.token_hex(8)


def kitchen_here(home: Path | None = None) -> str:
    """Return the id of the kitchen that this machine works under; empty if it joined none that can stand."""
    with suppress(KitError):
        kitchen = joined(home)
        return "" if kitchen is None else kitchen.id
    return ""


def give(kitchen: str, number: str, since: datetime, folders: Iterable[Path]) -> tuple[Path, ...]:
    """Write the file of a number into folders, for all to read, and return those that took no file.

    Parameters
    ----------
    kitchen : str
        The id of the kitchen.
    number : str
        See ``new_number``.
    since : datetime
        When the taking in was, with a zone.
    folders : iterable of Path
        Where books were handed in.
    """
    from tomli_w import dumps

    facts = {"smokehouse": TITLE, "schema": SCHEMA, "kitchen": kitchen, "number": number}
    facts["since"] = since.isoformat()
    refused = []
    for folder in folders:
        try:  # a lesson may run under another account than the desk
            write_private(_file_in(folder), dumps(facts).encode("utf-8"))
            _file_in(folder).chmod(0o644)
        except OSError:
            refused.append(folder)
    return tuple(refused)


def not_left(folder: Path) -> str:
    """Say what to do where a folder took no file of the new number.

    Examples
    --------
    >>> not_left(Path("inbox")).split(".")[0]
    "The kitchen's new number cannot be left in inbox"
    """
    return (
        f"The kitchen's new number cannot be left in {folder}. Bring `{FILE}` from your home folder to where "
        "they hand in; until then their days of practice count as the day of the taking in."
    )


def fetch(folder: Path, home: Path | None = None) -> bool:
    """Bring the number in a folder to this machine, if it is a later one of its kitchen; say whether it was.

    A file that cannot be read is passed over: without a number everything works, and days count as handed in.
    """
    return _bring(_read(_file_in(folder)), home)


def _bring(found: KitchenNumber | None, home: Path | None) -> bool:
    held = _newest(home)
    if (
        found is None
        or found.kitchen != kitchen_here(home)
        or (held is not None and held.since >= found.since)
    ):
        return False
    return not give(found.kitchen, found.number, found.since, [home or places.home()])


def number_text(folder: Path) -> str:
    """Return the text of the number's file in a folder, to pass on; empty where none is whole."""
    file = _file_in(folder)
    return "" if _read(file) is None else file.read_text(encoding="utf-8")


def hear(text: str, home: Path | None = None) -> bool:
    """Keep a number that came as text, if it is a later one of this machine's kitchen; say whether it was.

    Whatever else came is passed over, as by ``fetch``.
    """
    with suppress(BadData, OSError, UnicodeEncodeError):
        return _bring(_told(text.encode("utf-8"), "the number"), home)
    return False


def number_in_force(home: Path | None = None) -> str:
    """Return the number for the next question on this machine; empty where there is none.

    Examples
    --------
    >>> number_in_force(Path("/no/such/home"))
    ''
    """
    held = _newest(home)
    return held.number if held is not None and held.kitchen == kitchen_here(home) else ""


def number_for(entries: Iterable[Entry], in_force: str) -> str:
    """Return the number for a new question in a book: never one that the book has left behind.

    Examples
    --------
    >>> number_for((), "aa")
    'aa'
    """
    used = list(dict.fromkeys(entry.number for entry in entries if entry.number))
    return used[-1] if used and (not in_force or in_force in used[:-1]) else in_force


def stray(entries: Iterable[Entry], given: Numbers) -> frozenset[int]:
    """Return which entries hold a number that was never given, or one given before that of an earlier line.

    A book that chose among numbers could choose its questions.
    """
    place = {number: at for at, number in enumerate(given)}
    latest, found = -1, set()
    for entry in entries:
        if not entry.number:
            continue
        here = place.get(entry.number, -1)
        if here < latest or here < 0:
            found.add(entry.n)
        latest = max(latest, here)
    return frozenset(found)


def counted_day(entry: Entry, given: Numbers, taken_at: datetime) -> date:
    """Return the day that an answer counts on in a kitchen that gives numbers.

    Its own, if it lies between the giving of its number and the taking in; else the day of the taking in.
    """
    since = given.get(entry.number)
    bounded = since is not None and since - SLACK <= entry.at <= taken_at + SLACK
    return entry.day if bounded else taken_at.astimezone().date()


def _newest(home: Path | None) -> KitchenNumber | None:
    here = home or places.home()
    found = [
        one
        for folder in (here, places.handed_in_folder(here))
        if (one := _read(_file_in(folder))) is not None
    ]
    return max(found, key=lambda one: one.since, default=None)


def _file_in(folder: Path) -> Path:
    return folder / FILE


def _read(file: Path) -> KitchenNumber | None:
    with suppress(BadData, OSError):
        return _told(read_given(file, "a kitchen's number", MAX_BYTES), file.name)
    return None


def _told(data: bytes, where: str) -> KitchenNumber | None:
    told = build(KitchenNumber, toml_of(data, where, "a kitchen's number"), where)
    return told if (told.smokehouse, told.schema) == (TITLE, SCHEMA) else None
