"""Where an apprentice stands, criterion by criterion: what is shown, what is left, what to refresh.

Practice is done alone. It is evidence of knowledge and decides nothing: the tutor does.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from kit.criteria.knowledge import Knowledge, first_tries, knowledge
from kit.exercises.catalogue import Catalogue
from kit.files import Entry
from kit.files.tries import tries_of

FIRST_REFRESH_DAYS = 14
LONGEST_REFRESH_DAYS = 182


@dataclass(frozen=True)
class Progress:
    """One knowledge criterion for one person.

    ``exercises`` are those that serve it. ``shown`` is what practice has shown so far. ``refresh_on`` is the
    day on which it is worth showing again; None while it is not shown at all.
    """

    criterion: str
    step: str
    text: str
    safety_critical: bool
    exercises: tuple[str, ...]
    shown: Knowledge
    refresh_on: date | None = None

    @property
    def done(self) -> bool:
        """Whether practice has shown it."""
        return self.shown.held

    @property
    def left(self) -> str:
        """What is left to do, in a sentence for the apprentice."""
        shown = self.shown
        if shown.held:
            return "Your tutor also checks this one with you." if self.safety_critical else "Nothing for now."
        done = f"Right first time on {shown.days_right} of {shown.days_needed} days."
        if not shown.first_tries:
            return f"Not started: be right first time on {shown.days_needed} different days."
        return f"{done} Next: a new variant on another day, without a hint."


def progress(entries: Iterable[Entry], catalogue: Catalogue, today: date) -> tuple[Progress, ...]:
    """Return each knowledge criterion that has an exercise, in the order of the work.

    Parameters
    ----------
    entries : iterable of Entry
        A person's book.
    catalogue : Catalogue
        Exercises and criteria.
    today : date
        The local day, for what to refresh.
    """
    tries = tries_of(entries)
    found = []
    for served, mine in catalogue.exercises_for.items():
        criterion = catalogue.criteria[served]
        chosen = [one for one in tries if one.exercise in mine]
        shown = knowledge(chosen, safety_critical=criterion.safety_critical)
        due = refresh_on(shown, {one.key: one.day for one in chosen}, today)
        found.append(
            Progress(
                criterion.id, criterion.step, criterion.text, criterion.safety_critical, mine, shown, due
            )
        )
    return tuple(found)


def how_far(entries: Sequence[Entry]) -> str:
    """Return one word for how far somebody is with one exercise, from its entries.

    ``new``; ``kept`` (an explanation); ``first`` (a variant right first time, without help); ``right``; else
    the verdict of the last try.
    """
    if any(entry.what == "explained" for entry in entries):
        return "kept"
    tries = tries_of(entries)
    if not tries:
        return "new"
    if any(one.right and not one.helped for one in first_tries(tries)):
        return "first"
    if any(one.right for one in tries):
        return "right"
    return [entry.verdict for entry in entries if entry.what == "attempt"][-1]


def refresh_on(shown: Knowledge, days: dict[int, date], today: date) -> date | None:
    """Return the day on which something that was shown is worth showing again.

    14 days after the last day it was right first time; twice as long for each day more than needed, up to
    half a year; today, if a later first try missed. The figures are ours: common practice, no source.

    Examples
    --------
    >>> on = {1: date(2026, 3, 2), 2: date(2026, 3, 4)}
    >>> refresh_on(Knowledge(True, 2, 2, (1, 2), (), 2, on[2]), on, date(2026, 3, 5))
    datetime.date(2026, 3, 18)
    """
    if not shown.held:
        return None
    last = max(shown.counted, key=lambda key: (days[key], key))
    if any(key > last for key in shown.missed):
        return today
    wait = FIRST_REFRESH_DAYS * 2 ** min(shown.days_right - shown.days_needed, 8)
    return days[last] + timedelta(days=min(wait, LONGEST_REFRESH_DAYS))
