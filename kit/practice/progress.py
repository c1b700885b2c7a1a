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
from kit.languages import noted
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
        said, n = self.left_said
        return said.format(n=n)

    @property
    def left_said(self) -> tuple[str, int]:
        """The same as a text with a gap ``{n}``, as a language says it, and the number for the gap."""
        shown, sure = self.shown, self.shown.sure_on(self.today)
        if sure == "quite sure":
            return (_WITH_TUTOR if self.safety_critical else _NOTHING), 0
        if shown.still >= TOO_MANY:
            return _ALOUD, 0
        return _STILL.get(sure, _NOT_ENOUGH), max(shown.still, 1)


_WITH_TUTOR = noted("Your tutor also checks this one with you.")
_NOTHING = noted("Nothing for now.")
_ALOUD = noted("Practise it, then ask your tutor to ask you aloud: practice alone will hardly show this one.")
_NOT_ENOUGH = noted("Not enough yet: about {n} new questions right, without a hint, on different days.")
_STILL = {
    "not begun": noted("Not started: about {n} new questions right, without a hint, on different days."),
    "shaky": noted("Shaky: refresh it: about {n} new questions right, without a hint, on different days."),
}


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
