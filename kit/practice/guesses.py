"""A learner's guesses before a picture: what they said, what happened, how far off, what changed their mind.

It is their own note, not evidence: it never enters the answer book and is never marked. A week later Today
shows it again.
"""

from dataclasses import asdict, dataclass, replace
from datetime import date
from pathlib import Path

from kit.basics.errors import OutOfRange
from kit.basics.typed_text import tidy_text
from kit.files import Clock, local_now, saving
from kit.practice.own_file import read_page, write_page

FILE = "guesses.json"
SCHEMA = 1
LONGEST_TEXT = 500
SHOWN_AGAIN_DAYS = 7
"""A guess comes back after so many days, ..."""
LAST_SHOWN_DAYS = 28
"""... and not after so many. Both are ours: common practice, no source."""


@dataclass(frozen=True)
class Guess:
    """One guess: where it was made, what was asked and said, what happened, how far off, and the day.

    ``off`` is empty where the guess was right; ``changed`` is what the learner wrote afterwards, if anything.
    """

    name: str
    question: str
    said: str
    happened: str
    off: str
    day: date
    changed: str = ""


@dataclass(frozen=True)
class GuessFile:
    """What the file holds: the latest guess at each place."""

    schema: int
    guesses: tuple[Guess, ...]


def read_guesses(folder: Path, *, clock: Clock = local_now) -> tuple[Guess, ...]:
    """Return the guesses kept in a person's folder, the oldest first.

    Raises
    ------
    BadData, NotSaved
        As ``kit.practice.own_file.read_page``.
    """
    page, _ = read_page(folder / FILE, GuessFile, SCHEMA, "Your list of guesses", clock)
    return tuple(sorted(page.guesses, key=lambda one: one.day)) if page else ()


def keep_guess(folder: Path, guess: Guess, *, clock: Clock = local_now) -> None:
    """Keep a guess in place of an earlier one at the same place.

    Raises
    ------
    OutOfRange
        If what was written is longer than 500 characters. Nothing is kept then.
    NotSaved, BadData
        If the disk refuses, or the file is a newer kit's. What was kept before still is.

    Examples
    --------
    >>> from tempfile import TemporaryDirectory
    >>> guess = Guess("hold", "How long?", "3 min", "17 min", "14 min too short", date(2026, 3, 2))
    >>> with TemporaryDirectory() as place:
    ...     keep_guess(Path(place), guess)
    ...     read_guesses(Path(place))[0].happened
    '17 min'
    """
    changed = tidy_text(guess.changed)
    if len(changed) > LONGEST_TEXT:
        raise OutOfRange("Your text", f"{len(changed)} characters long", f"{LONGEST_TEXT} or fewer")
    read_guesses(folder, clock=clock)  # sets a damaged file aside, before the lock is held
    with saving("Your guess", alone=folder / FILE):
        others = [one for one in read_guesses(folder, clock=clock) if one.name != guess.name]
        kept = [*others, replace(guess, changed=changed)]
        write_page(folder / FILE, {"schema": SCHEMA, "guesses": [_line(one) for one in kept]})


def to_look_back_on(guesses: tuple[Guess, ...], day: date) -> Guess | None:
    """Return the guess to show again on a day: of those made 7 to 28 days before, another one each day.

    Examples
    --------
    >>> guess = Guess("hold", "How long?", "3 min", "17 min", "14 min too short", date(2026, 3, 2))
    >>> to_look_back_on((guess,), date(2026, 3, 8)), to_look_back_on((guess,), date(2026, 3, 9)) == guess
    (None, True)
    """
    old = [one for one in guesses if SHOWN_AGAIN_DAYS <= (day - one.day).days <= LAST_SHOWN_DAYS]
    return old[day.toordinal() % len(old)] if old else None


def _line(guess: Guess) -> dict[str, str]:
    return {**asdict(guess), "day": guess.day.isoformat()}
