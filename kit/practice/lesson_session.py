"""Who is working in this lesson, and what a task may do: check, hint, worked answer, next, dispute."""

import atexit
import os
import shutil
import tempfile
from collections.abc import Iterable
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

from kit.basics import places
from kit.basics.errors import BadData, KitError, UnknownName
from kit.criteria.knowledge import Try
from kit.exercises.catalogue import Catalogue
from kit.files import Book, BookRefused, Clock, NotSaved, local_now, storable
from kit.files.book_entry import key_in_force
from kit.files.joined_kitchen import joined
from kit.files.kitchen_file import Kitchen
from kit.files.kitchen_number import number_for, number_in_force
from kit.files.tries import tries_of
from kit.marking.draw import seed_for
from kit.marking.model import Outcome
from kit.practice import people
from kit.practice.people import Learner
from kit.practice.pins import take_key
from kit.practice.progress import Progress, how_far, progress
from kit.practice.task_state import TRIES_BEFORE_WORKED, TaskState, rebuild
from kit.practice.today import Today, today_for

PERSON_VARIABLE = "SMOKEHOUSE_PERSON"
DOOR_VARIABLE = "SMOKEHOUSE_DOOR"
"""Holds the address of the page that asks who works, where there is one."""
KEY_VARIABLE = "SMOKEHOUSE_BOOK_KEY"
"""What hands the open key of a person with a PIN to the kernels of their workbook."""
NOBODY = "not-recorded"
"""The id under which questions are drawn where nobody is at work: the same questions each time."""
DRAWS_FOR_NEWS = 40
"""How many variants are drawn to find one that asks something new."""


class Session:
    """One person at work in one lesson.

    Every call reads the book again first, so two lessons open at once agree. Every call that changes
    something returns only after the change is on the disk.

    Parameters
    ----------
    person : Learner
        Who is working.
    book : Book
        Their answer book.
    recorded : bool
        Whether anything is kept once the lesson closes.
    notice : str
        What the person must be told, such as why nothing is kept. May be empty.
    kitchen : Kitchen, optional
        The kitchen that this machine joined. Its rules hold, whatever profile the person chose.
    number : str
        The number that this kitchen gave last; empty if none. It stays the same while a lesson is open.
    """

    def __init__(
        self,
        person: Learner,
        book: Book,
        *,
        recorded: bool = True,
        notice: str = "",
        catalogue: Catalogue | None = None,
        kitchen: Kitchen | None = None,
        number: str = "",
    ) -> None:
        from kit.rules import load

        self.person, self.book, self.recorded, self.notice = person, book, recorded, notice
        self.catalogue = catalogue or Catalogue()
        self.kitchen, self.number = kitchen, number
        self.profile = kitchen.rules() if kitchen else load(person.profile)
        """The rules that questions are drawn under: the kitchen's if there is one."""
        self._outcomes: dict[str, Outcome] = {}

    @property
    def name(self) -> str:
        """Who is working, for the page."""
        return self.person.name

    def current(self, exercise: str) -> TaskState:
        """Return the task as it stands: the open variant, tries so far, what was typed last, what was shown.

        Raises
        ------
        UnknownName
            If the bank has no such exercise.
        """
        version = self.catalogue.info(exercise).version
        mine = (e for e in self.book.refresh() if (e.exercise, e.version) == (exercise, version))
        task = rebuild(mine, lambda occasion, number: self._draw(exercise, occasion, number))
        if not task.attempts:
            return task
        entry = task.attempts[-1]
        if entry.hash not in self._outcomes:
            self._outcomes[entry.hash] = self.catalogue.mark(task.question, entry.answer)
        return replace(task, last=self._outcomes[entry.hash])

    def check(self, exercise: str, raw: Any, asked: str = "") -> tuple[Outcome, TaskState]:
        """Mark an answer, keep it, and return the outcome with the task as it then stands.

        An answer that cannot be read is no attempt: nothing is kept, and the message says how to write it.
        ``asked`` is the fingerprint of the question on show, where another page may have moved on.

        Raises
        ------
        NotSaved
            If the attempt did not reach the disk. It then does not count, and no mark is given.
        BadData
            If the exercise is one that the tutor reads: use ``explain``; or another question is open by now.
        """
        task = self.current(exercise)
        if asked and asked != task.fingerprint:
            raise BadData(task.title, "another page has moved it on", "this lesson opened again")
        if task.for_tutor:
            raise BadData(task.title, "your tutor reads this one; the kit does not mark it")
        try:
            storable(raw)
        except KitError as error:
            return Outcome(0.0, task.question.of, "not read", str(error)), task
        outcome = self.catalogue.mark(task.question, raw)
        if outcome.verdict == "not read":
            return outcome, task
        return outcome, self._keep(
            task,
            "attempt",
            outcome,
            answer=raw,
            read_as=outcome.read_as,
            score=float(outcome.score),
            of=float(outcome.of),
            verdict=outcome.verdict,
            slip=outcome.slip,
            hints=len(task.hints),
            content=self.catalogue.content_print(task.question),
        )

    def hint(self, exercise: str) -> TaskState:
        """Show the next hint, if any is left, and return the task. A try after a hint proves no knowledge."""
        task = self.current(exercise)
        if not task.hints_left:
            return task
        return self._keep(task, "hint", hints=len(task.hints) + 1)

    def worked(self, exercise: str) -> TaskState:
        """Show the worked answer and return the task.

        Raises
        ------
        BadData
            If it is too early: neither solved nor tried three times.
        """
        task = self.current(exercise)
        if not task.may_show_worked:
            left = TRIES_BEFORE_WORKED - len(task.attempts)
            tries = "1 more try" if left == 1 else f"{left} more tries"
            raise BadData(task.title, f"the worked answer comes once it is solved, or after {tries}")
        return task if task.worked else self._keep(task, "worked")

    def next_variant(self, exercise: str) -> TaskState:
        """Open a variant that asks something new, while there is any, and return its task.

        The book notes that it was shown. The same question with its options in another order is nothing new.
        """
        return self._keep(self._following(exercise), "opened")

    def fresh(self, exercise: str) -> TaskState:
        """Return what today's round asks: the open variant, if it is untouched or of today; else the next.

        Nothing is kept: the next variant is opened by ``next_variant`` once something is done with it.
        """
        task, today = self.current(exercise), self.book.clock().date()
        if all(entry.what == "opened" or entry.day >= today for entry in task.entries):
            return task
        return self._following(exercise)

    def dispute(self, exercise: str, text: str = "") -> TaskState:
        """Tell the tutor that the last mark looks wrong, with a word on why, and return the task.

        Raises
        ------
        BadData
            If there is no mark yet to dispute.
        OutOfRange
            If the text is over 16 KB.
        """
        task = self.current(exercise)
        if not task.attempts:
            raise BadData(task.title, "there is no mark to dispute yet", "an answer first")
        last = task.attempts[-1]
        told = {name: getattr(last, name) for name in ("answer", "read_as", "score", "of", "verdict", "slip")}
        return self._keep(task, "dispute", **told, text=text.strip())

    def explain(self, exercise: str, text: str) -> TaskState:
        """Keep an explanation in the person's own words for the tutor, and return the task.

        Raises
        ------
        BadData
            If the text is empty or too long, or the exercise is one that the kit marks.
        """
        task = self.current(exercise)
        if not task.for_tutor:
            raise BadData(task.title, "the kit marks this one", "an answer, not an explanation")
        outcome = self.catalogue.mark(task.question, text)
        if outcome.verdict == "not read":
            raise BadData(task.title, outcome.message.rstrip("."))
        return self._keep(task, "explained", answer=text, read_as=outcome.read_as)

    def progress(self, today: date | None = None) -> tuple[Progress, ...]:
        """Return where this person stands on each knowledge criterion: done, left, and to refresh."""
        return progress(self.book.refresh(), self.catalogue, today or self.book.clock().date())

    def standing_on(self, exercises: Iterable[str]) -> tuple[Progress, ...]:
        """Return where this person stands on the criteria that these exercises serve, and no others."""
        asked = set(exercises)
        return tuple(one for one in self.progress() if asked.intersection(one.exercises))

    def tries(self) -> tuple[Try, ...]:
        """Return every answer in the book as the rule of knowledge sees it, in order."""
        return tries_of(self.book.refresh())

    def today(self) -> Today:
        """Return what this person does today: where they were, a round of tasks, what to show, how far."""
        return today_for(self.book.refresh(), self.catalogue, self.book.clock().date())

    def how_far(self, exercises: Iterable[str]) -> list[dict[str, str]]:
        """Return how far this person is with each exercise, from the book alone: nothing is drawn for it."""
        entries = self.book.refresh()
        return [
            {
                "exercise": exercise,
                "title": self.catalogue.info(exercise).title,
                "state": how_far([entry for entry in entries if entry.exercise == exercise]),
            }
            for exercise in exercises
        ]

    def _following(self, exercise: str) -> TaskState:
        """Return the next variant that asks something new, untouched; the very next one if there is none."""
        version = self.catalogue.info(exercise).version
        mine = [one for one in self.book.refresh() if (one.exercise, one.version) == (exercise, version)]
        tried = {one.content for one in mine if one.what == "attempt"}
        first = self.current(exercise).occasion + 1
        drawn = (self._draw(exercise, occasion) for occasion in range(first, first + DRAWS_FOR_NEWS))
        fresh = (one for one in drawn if self.catalogue.content_print(one.question) not in tried)
        return next(fresh, None) or self._draw(exercise, first)

    def _draw(self, exercise: str, occasion: int, number: str | None = None) -> TaskState:
        """Return the variant that this person meets on this occasion, untouched; by default for today."""
        info = self.catalogue.info(exercise)
        drawn_with = number_for(self.book.entries, self.number) if number is None else number
        seed = seed_for(self.person.id, exercise, info.version, occasion, drawn_with)
        question = self.catalogue.question(exercise, seed, self.profile)
        return TaskState(question, self.catalogue.fingerprint(question), info.title, occasion, drawn_with)

    def _keep(self, task: TaskState, what: str, outcome: Outcome | None = None, **facts: Any) -> TaskState:
        """Write an entry about the task, and return the task as it then stands."""
        entry = self.book.append(what, **task.facts, **self._profile_facts(), **facts)
        if outcome is not None:
            self._outcomes[entry.hash] = outcome
        return task.after(entry, outcome)

    def _profile_facts(self) -> dict[str, str]:
        facts = {"profile": self.profile.id, "profile_fingerprint": self.profile.fingerprint}
        return {**facts, "kitchen": self.kitchen.stamp} if self.kitchen else facts


_OPEN: dict[tuple[str, str], Session] = {}
_KEYS: dict[str, str] = {}


def session() -> Session:
    """Return the session of whoever works in this kernel. It asks nothing and always returns one.

    ``SMOKEHOUSE_PERSON`` says who works, ``SMOKEHOUSE_HOME`` where their folder is. Without them, or where
    the book cannot be used, the session is not recorded: it lives in a temporary folder that goes when the
    kernel does, and ``notice`` says so and why.

    Examples
    --------
    >>> nobody = session()
    >>> nobody.recorded, nobody.notice
    (False, 'Not recorded: nobody is at work here. Start with `smokehouse open`.')
    """
    key = (os.environ.get(PERSON_VARIABLE, ""), str(places.home()))
    if KEY_VARIABLE in os.environ:  # taken out: no cell that prints the environment shows it
        _KEYS[key[0]] = os.environ.pop(KEY_VARIABLE)
    if key not in _OPEN:
        _OPEN[key] = start(key[0], private=_KEYS.get(key[0], ""))
    return _OPEN[key]


def start(
    person_id: str,
    *,
    home: Path | None = None,
    catalogue: Catalogue | None = None,
    clock: Clock = local_now,
    private: str = "",
) -> Session:
    """Return a fresh session of that person, or one that is not recorded. See ``session``.

    ``private`` is the open key of somebody with a PIN, as ``kit.practice.pins.unlock`` returns it. Without it
    nothing is written into a book that has a key.
    """
    kitchen = None
    try:
        kitchen = joined(home)
        if not person_id:
            why = "nobody is at work here. Start with `smokehouse open`."
            return _not_recorded(why, catalogue, clock, kitchen)
        person = people.get(person_id, home)
        book, notice = open_book(person, clock)
        if person.has_pin or key_in_force(book.entries):
            take_key(book, private)
        number = number_in_force(home)
        return Session(person, book, notice=notice, catalogue=catalogue, kitchen=kitchen, number=number)
    except UnknownName as error:
        nobody = f"there is nobody with the id {person_id!r} on this machine."
        why = nobody if error.what == "person" else str(error)
    except NotSaved as error:
        why = f"{error.reason}. {error.advice}".strip()
    except KitError as error:
        why = str(error)
    except OSError as error:
        why = f"{error.filename or 'the book'}: {error.strerror or error}."
    return _not_recorded(why, catalogue, clock, kitchen)


def open_book(person: Learner, clock: Clock = local_now) -> tuple[Book, str]:
    """Return a person's book, made if need be, and what they must be told about it.

    A damaged book is kept whole beside the new one, which goes on from the part that stands.

    Raises
    ------
    BookRefused
        If it was written by a newer kit, or is somebody else's.
    NotSaved
        If it must be written and the disk refuses.
    """
    kept = None
    try:
        book = Book.make(person.book_path, person=person.id, name=person.name, clock=clock)
    except BookRefused as refused:
        if refused.code == "newer":
            raise
        kept = Book.set_aside(person.book_path, clock=clock)
        book = Book.make(person.book_path, person=person.id, name=person.name, clock=clock)
    if book.header.person != person.id:
        raise BookRefused("other person", str(book.path), f"this is the book of {book.header.name}")
    if book.damaged:
        kept = book.mend()
    if kept is None:
        return book, ""
    count = len(book.entries)
    stands = "1 entry stands" if count == 1 else f"{count} entries stand"
    return book, f"Your answer book was damaged. It is kept as {kept.name}; {stands}. Tell your tutor."


def _not_recorded(why: str, catalogue: Catalogue | None, clock: Clock, kitchen: Kitchen | None) -> Session:
    folder = Path(tempfile.mkdtemp(prefix="smokehouse-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    person = Learner(NOBODY, "Nobody", clock(), folder)
    book = Book.make(person.book_path, person=NOBODY, name=person.name, clock=clock)
    return Session(
        person, book, recorded=False, notice=f"Not recorded: {why}", catalogue=catalogue, kitchen=kitchen
    )
