"""Where an apprentice stands, criterion by criterion: what is shown, what is left, what to refresh.

Practice is done alone. It is evidence of knowledge and decides nothing: the tutor does.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from kit.criteria.knowledge import TOO_MANY, Knowledge, first_tries
from kit.exercises.catalogue import Catalogue
from kit.files import Entry
from kit.files.tries import tries_of
from kit.practice.spacing import ask_again_on


@dataclass(frozen=True)
class Progress:
    """One knowledge criterion for one person.

    ``exercises`` are those that serve it. ``shown`` is what practice has shown so far. ``refresh_on`` is the
    day on which it is worth asking again; None while it was never asked.
    """

    criterion: str
    step: str
    text: str
    safety_critical: bool
    exercises: tuple[str, ...]
    shown: Knowledge
    today: date
    refresh_on: date | None = None

    @property
    def done(self) -> bool:
        """Whether practice shows it today."""
        return self.shown.sure_on(self.today) == "quite sure"

    @property
    def left(self) -> str:
        """What is left to do, in a sentence for the apprentice."""
        shown, sure = self.shown, self.shown.sure_on(self.today)
        if sure == "quite sure":
            return "Your tutor also checks this one with you." if self.safety_critical else "Nothing for now."
        if shown.still >= TOO_MANY:
            return (
                "Practise it, then ask your tutor to ask you aloud: practice alone will hardly show this one."
            )
        more = f"about {max(shown.still, 1)} new questions right, without a hint, on different days."
        start = {"not begun": "Not started", "shaky": "Shaky: refresh it"}.get(sure, "Not enough yet")
        return f"{start}: {more}"


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
    about = catalogue.about(tries_of(entries))
    found = []
    for served, mine in catalogue.exercises_for.items():
        one, tries = catalogue.criteria[served], about.get(served, ())
        shown = catalogue.known(served, tries)
        due = ask_again_on(tries, shown, catalogue.facts_of, safety=one.safety_critical)
        found.append(Progress(one.id, one.step, one.text, one.safety_critical, mine, shown, today, due))
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
