"""Reading one book and marking every answer in it again, from the data. It knows of no database.

What comes out is plain data that travels between processes. A mark that the book claims is never believed:
it is only compared.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from kit.basics.errors import KitError, UnknownName
from kit.basics.typed_text import shown_text
from kit.exercises.catalogue import Catalogue
from kit.files import BookReading, Entry, read, read_bytes, stepped_back
from kit.files.book_entry import day_is_odd
from kit.files.book_keys import Doubt, doubts
from kit.files.joined_kitchen import RuleShelf
from kit.files.kitchen_number import Numbers, counted_day, stray
from kit.files.tries import with_help
from kit.marking.draw import seed_for
from kit.marking.model import Outcome, Question

if TYPE_CHECKING:
    from kit.rules import Profile

    Behind = Callable[[str, str, str], Profile | None]

FUTURE = timedelta(hours=1)  # a clock may be a little fast
_LARGEST = 2**63 - 1
_STRAY = "Drawn with a number that this kitchen had not given by then, or had left behind. Kept, not marked."
_COUNTED = ("version", "occasion", "seed")

FlagKind = Literal[
    "book breaks",
    "unknown exercise",
    "other version",
    "other rules",
    "other seed",
    "not markable",
    "other mark claimed",
    "clock stepped back",
    "in the future",
    "odd day",
    "out of range",
    "name changed",
    "name in two ids",
    "not signed",
    "new key",
]


@dataclass(frozen=True)
class Flag:
    """Something to look at, and the line of the book. Line 1 is the header; 0 is the whole book."""

    kind: FlagKind
    says: str
    line: int = 0


@dataclass(frozen=True)
class RemarkedEntry:
    """One entry with its words cleaned, and the outcome of marking its answer again.

    An attempt without an outcome is kept for the tutor to decide. ``counts`` says whether the attempt may be
    evidence, ``day`` on which day, where that is not its own.
    """

    entry: Entry
    helped: bool
    outcome: Outcome | None = None
    counts: bool = False
    flags: tuple[Flag, ...] = ()
    day: date | None = None


@dataclass(frozen=True)
class RemarkedBook:
    """A book that was read and marked again, ready to record.

    ``lines`` are those after ``held``, the number already recorded; ``hashes`` are those of the whole chain,
    the header's first. A refused book has only ``file`` and ``refused``, the reason.
    """

    file: str
    person: str = ""
    name: str = ""
    made: datetime | None = None
    hashes: tuple[str, ...] = ()
    held: int = 0
    lines: tuple[RemarkedEntry, ...] = ()
    flags: tuple[Flag, ...] = ()
    refused: str = ""
    path: str = field(default="", compare=False)


def check_book(
    path: str | Path,
    catalogue: Catalogue,
    held: Mapping[str, int],
    now: datetime,
    shelf: RuleShelf | None = None,
    asked: Collection[str] = (),
    numbers: Numbers | None = None,
    data: bytes | None = None,
) -> RemarkedBook:
    """Read a book and mark again what lies after the part already recorded.

    Parameters
    ----------
    path : str or Path
        The answer book.
    catalogue : Catalogue
        Draws and marks.
    held : Mapping
        How many lines, the header among them, are recorded for each person id.
    now : datetime
        When the book is taken in, to find times in the future.
    shelf : RuleShelf, optional
        The rules that it may have been made under. By default those of this machine.
    asked : collection of str, optional
        The hashes of new keys that a tutor asked about: see ``kit.files.book_keys.doubts``.
    numbers : Mapping, optional
        The numbers that this kitchen gave: see ``kit.files.kitchen_number``. None where there is no kitchen.
    data : bytes, optional
        What the file holds, where it was read before: a path means nothing on another machine.

    Returns
    -------
    RemarkedBook
        What to record; ``refused`` says why a file is not taken at all. Nothing is raised for a bad file.
    """
    file = Path(path)
    try:
        reading = read(file) if data is None else read_bytes(data, where=file.name)
    except (KitError, OSError) as error:
        why = f"{error.strerror or error}." if isinstance(error, OSError) else str(error)
        return RemarkedBook(file.name, refused=why, path=str(file))
    known = held.get(reading.header.person, 0)
    breaks = tuple(_break_flag(reading, problem.line, problem.says) for problem in reading.problems)
    doubtful = {entry.n: doubt for entry, doubt in doubts(reading.entries, max(known, 1) - 1, asked) if doubt}
    lines = _lines(reading, known, catalogue, now, shelf or RuleShelf(), doubtful, numbers or {})
    if numbers is not None:
        lines = tuple(replace(one, day=counted_day(one.entry, numbers, now)) for one in lines)
    return RemarkedBook(
        file=file.name,
        person=reading.header.person,
        name=clean(reading.header.name, 200) or "(no name)",
        made=reading.header.made,
        hashes=reading.hashes,
        held=known,
        lines=lines,
        flags=breaks,
        path=str(file),
    )


def clean(text: str, longest: int) -> str:
    """Return text that any database and terminal can hold: no stray code points, not longer than ``longest``.

    Examples
    --------
    >>> clean("char\\ud800 smoked\\x1b[2J", 40)
    'char? smoked?[2J'
    """
    return shown_text(text, keep="\n\t")[:longest]


def _break_flag(reading: BookReading, line: int, says: str) -> Flag:
    stand, later = len(reading.entries), len(reading.flagged)
    tail = f" {later} readable lines after it were not taken." if later else ""
    return Flag("book breaks", f"{says} The {stand} entries before it were taken.{tail}", line)


def _lines(
    reading: BookReading,
    known: int,
    catalogue: Catalogue,
    now: datetime,
    shelf: RuleShelf,
    doubtful: Mapping[int, Doubt],
    numbers: Numbers,
) -> tuple[RemarkedEntry, ...]:
    made, person = reading.header.made, reading.header.person
    believable = [(e.n, e.at) for e in reading.entries if e.at <= now + FUTURE]
    back = set(stepped_back([(0, made), *believable]))
    strays = stray(reading.entries, numbers)
    behind = cache(shelf.behind)  # one look at this machine's kitchens for each book
    found = []
    for entry, helped in with_help(reading.entries):
        if entry.n < max(known, 1):
            continue
        flags = _clock_flags(entry, entry.n in back, now)
        if not _fits(entry):
            flags.append(Flag("out of range", "A number in this line is too large to be meant.", entry.n + 1))
        flags += _key_flags(entry, doubtful)
        outcome: Outcome | None = None
        more: list[Flag] = []
        if entry.what == "attempt":
            if entry.n in strays:
                more.append(Flag("other seed", _STRAY, entry.n + 1))
            else:
                outcome, more, content = _mark(entry, person, behind, catalogue)
                entry = replace(entry, content=content)
        doubted = bool(flags) or entry.n in doubtful
        counts = not doubted and outcome is not None and outcome.verdict != "not read"
        found.append(RemarkedEntry(_cleaned(entry), helped, outcome, counts, (*flags, *more)))
    return tuple(found)


def _key_flags(entry: Entry, doubtful: Mapping[int, Doubt]) -> list[Flag]:
    """Return what is to be looked at in the signature of a line; once for lines in a row without one."""
    doubt, line = doubtful.get(entry.n), entry.n + 1
    if doubt == "new key":
        says = (
            "From here on the book has another PIN, or none, and the one before was not given. Ask them "
            "whether it was them. Say 'nothing wrong' if so: what comes in after that counts."
        )
        return [Flag("new key", says, line)]
    if doubt == "not signed" and doubtful.get(entry.n - 1) != "not signed":
        last = entry.n
        while doubtful.get(last + 1) == "not signed":
            last += 1
        some = f"Line {line} is" if last == entry.n else f"Lines {line} to {last + 1} are"
        says = f"{some} not signed with the key of this book: written without its PIN. Not counted."
        return [Flag("not signed", says, line)]
    return []


def _cleaned(entry: Entry) -> Entry:
    """Return the entry as any table can hold it."""
    widths = {"what": 16, "exercise": 120, "profile": 32, "fingerprint": 64, "verdict": 16}
    fits: dict[str, Any] = {name: clean(getattr(entry, name), longest) for name, longest in widths.items()}
    fits |= {name: _within(getattr(entry, name)) for name in _COUNTED}
    return replace(entry, extra={}, **fits)


def _clock_flags(entry: Entry, back: bool, now: datetime) -> list[Flag]:
    line, found = entry.n + 1, []
    if entry.at > now + FUTURE:
        found.append(
            Flag("in the future", f"Dated {entry.at:%Y-%m-%d %H:%M} UTC, after it was taken in.", line)
        )
    if back:
        found.append(
            Flag("clock stepped back", "Dated before an earlier line: the clock was set back.", line)
        )
    if day_is_odd(entry):
        found.append(Flag("odd day", f"The local day {entry.day} does not fit the time {entry.at}.", line))
    return found


def _fits(entry: Entry) -> bool:
    return all(getattr(entry, name) == _within(getattr(entry, name)) for name in _COUNTED)


def _within(number: int) -> int:
    return number if 0 <= number <= _LARGEST else 0


def _mark(
    entry: Entry, person: str, behind: Behind, catalogue: Catalogue
) -> tuple[Outcome | None, list[Flag], str]:
    """Return what marking again says to an attempt, or None where the tutor decides; what to look at; and the
    content print of the question: what the book claims of it is not believed.
    """
    question, flag = _draw_again(entry, person, behind, catalogue)
    if question is None or flag is not None:
        return None, [flag] if flag else [], ""
    try:
        outcome = catalogue.mark(question, entry.answer)
    except Exception as error:  # whatever a hostile answer sets off, the other books must go on
        says = f"Marking stopped with {type(error).__name__}. The tutor decides."
        return None, [Flag("not markable", says, entry.n + 1)], ""
    told = replace(outcome, slip=clean(outcome.slip, 200), picture=None)
    return told, _claim_flags(entry, outcome), catalogue.content_print(question)


def _draw_again(
    entry: Entry, person: str, behind: Behind, catalogue: Catalogue
) -> tuple[Question | None, Flag | None]:
    """Return today's question for this entry, or why it cannot stand for the one that was answered."""
    line, name = entry.n + 1, clean(entry.exercise, 120)
    try:
        today = catalogue.info(entry.exercise).version
    except UnknownName:
        return None, Flag("unknown exercise", f"This kit has no exercise {name!r}. Kept, not marked.", line)
    if entry.seed != seed_for(person, entry.exercise, entry.version, entry.occasion, entry.number):
        says = f"{name}: the question was not drawn for this person and occasion. Kept, not marked."
        return None, Flag("other seed", says, line)
    other = f"{name}: drawn by another version: tutor decides."
    if today != entry.version:
        return None, Flag("other version", other, line)
    try:
        rules = behind(entry.profile, entry.kitchen, entry.profile_fingerprint)
        if rules is None:
            where = f"kitchen {clean(entry.kitchen, 40)}"
            says = f"{name}: made under rules that are not on this machine ({where}): tutor decides."
            return None, Flag("other rules", says, line)
        question = catalogue.question(entry.exercise, entry.seed, rules)
    except KitError as error:
        says = f"{name}: the question cannot be drawn here ({error}). Tutor decides."
        return None, Flag("not markable", clean(says, 400), line)
    if catalogue.fingerprint(question) != entry.fingerprint:
        return None, Flag("other version", other, line)
    return question, None


def _claim_flags(entry: Entry, outcome: Outcome) -> list[Flag]:
    if abs(outcome.score - entry.score) < 1e-9 and outcome.verdict == entry.verdict:
        return []
    says = (
        f"{clean(entry.exercise, 120)}: the book claims {entry.score:g} ({clean(entry.verdict, 16)}); "
        f"marked again it is {outcome.score:g} of {outcome.of:g} ({outcome.verdict}). The new mark stands."
    )
    return [Flag("other mark claimed", says, entry.n + 1)]
