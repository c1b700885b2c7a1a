"""One exercise as it stands for one person: worked out from the answer book, never from a widget."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from kit.exercises.catalogue import Catalogue
from kit.files import Entry
from kit.marking.draw import seed_for
from kit.marking.model import Explain, Outcome, Question

TRIES_BEFORE_WORKED = 3


@dataclass(frozen=True)
class TaskState:
    """What a task on the screen needs, and all it needs, to be as it was when the lesson closed.

    ``occasion`` counts the variants met, from 1. ``last_answer`` is the raw answer given last, ``last`` what
    marking says to it. ``hints`` are those shown so far. ``worked`` is empty until it was asked for or
    earned; ``may_show_worked`` says that it may be asked for. ``explained`` is the latest explanation kept
    for the tutor.
    """

    question: Question
    fingerprint: str
    title: str
    occasion: int
    attempts: tuple[Entry, ...] = ()
    hints: tuple[str, ...] = ()
    worked_seen: bool = False
    disputes: tuple[Entry, ...] = ()
    explained: str = ""
    last: Outcome | None = None

    @property
    def solved(self) -> bool:
        """Whether an attempt at this variant earned full marks."""
        return any(entry.verdict == "right" for entry in self.attempts)

    @property
    def may_show_worked(self) -> bool:
        """Whether the worked answer may be shown: after success, or after the third try."""
        return self.solved or self.worked_seen or len(self.attempts) >= TRIES_BEFORE_WORKED

    @property
    def worked(self) -> str:
        """The worked answer, once it was asked for or the variant solved; else an empty text."""
        return self.question.worked if self.solved or self.worked_seen else ""

    @property
    def hints_left(self) -> int:
        """How many hints were not shown yet."""
        return len(self.question.hints) - len(self.hints)

    @property
    def last_answer(self) -> Any:
        """The raw answer given last, or None."""
        return self.attempts[-1].answer if self.attempts else None

    @property
    def for_tutor(self) -> bool:
        """Whether this is an explanation, which the tutor reads and the kit never marks."""
        return isinstance(self.question.kind, Explain)

    @property
    def facts(self) -> dict[str, Any]:
        """What each entry about this variant begins with."""
        question = self.question
        return {
            "exercise": question.exercise,
            "version": question.version,
            "occasion": self.occasion,
            "seed": question.seed,
            "fingerprint": self.fingerprint,
        }


def rebuild(
    entries: Iterable[Entry],
    exercise: str,
    person: str,
    profile: str,
    catalogue: Catalogue,
    outcomes: dict[str, Outcome] | None = None,
) -> TaskState:
    """Return the task of one exercise from a person's entries: the open variant and what happened with it.

    A variant that today's kit draws differently (other numbers, other limits) is left as it is in the book,
    for the tutor, and the next occasion is opened. ``outcomes`` keeps what marking said, by the hash of the
    entry.
    """
    info = catalogue.info(exercise)
    mine = [e for e in entries if e.exercise == exercise and e.version == info.version]
    occasion = max((entry.occasion for entry in mine), default=1)
    question, fingerprint = draw(person, exercise, info.version, occasion, profile, catalogue)
    here = [entry for entry in mine if entry.occasion == occasion]
    if any(entry.fingerprint != fingerprint or entry.seed != question.seed for entry in here):
        occasion, here = occasion + 1, []
        question, fingerprint = draw(person, exercise, info.version, occasion, profile, catalogue)
    attempts = tuple(entry for entry in here if entry.what == "attempt")
    shown = min(sum(entry.what == "hint" for entry in here), len(question.hints))
    explained = [str(entry.answer) for entry in here if entry.what == "explained"]
    return TaskState(
        question=question,
        fingerprint=fingerprint,
        title=info.title,
        occasion=occasion,
        attempts=attempts,
        hints=question.hints[:shown],
        worked_seen=any(entry.what == "worked" for entry in here),
        disputes=tuple(entry for entry in here if entry.what == "dispute"),
        explained=explained[-1] if explained else "",
        last=_outcome(question, attempts[-1], catalogue, outcomes) if attempts else None,
    )


def _outcome(
    question: Question, entry: Entry, catalogue: Catalogue, outcomes: dict[str, Outcome] | None
) -> Outcome:
    known = {} if outcomes is None else outcomes
    if entry.hash not in known:
        known[entry.hash] = catalogue.mark(question, entry.answer)
    return known[entry.hash]


def draw(
    person: str, exercise: str, version: int, occasion: int, profile: str, catalogue: Catalogue
) -> tuple[Question, str]:
    """Return the question that this person meets on this occasion, and its fingerprint."""
    question = catalogue.question(exercise, seed_for(person, exercise, version, occasion), profile)
    return question, catalogue.fingerprint(question)
