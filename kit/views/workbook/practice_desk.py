"""The real desk: what a task needs, taken from the session of whoever is working."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

from kit.marking import page_form
from kit.marking.model import Controls, Outcome, Picture, Question
from kit.practice import Session, TaskState
from kit.views.workbook.task_desk import BannerLine, ExerciseProgress, ExerciseState

_ECHO_LIMIT = 20_000  # characters of an unreadable answer that go back to the page
_LEADS = ("Right.", "Partly.", "Not yet.")


def practice_desk() -> PracticeDesk:
    """Return the desk of whoever works in this kernel; of nobody, not recorded, if no one does."""
    from kit.practice import session

    return PracticeDesk(session())


class PracticeDesk:
    """Puts a session's answers into the form the page shows. It keeps nothing itself."""

    def __init__(self, session: Session) -> None:
        self._session = session
        self.recorded = session.recorded

    def standing(self, exercise: str) -> ExerciseState:
        """Return where the person stands, as it was when the lesson closed."""
        return _standing(exercise, self._session.current(exercise))

    def check(self, exercise: str, answer: Any) -> ExerciseState:
        """Mark and keep an answer; an explanation is kept unmarked for the tutor."""
        if self._session.current(exercise).for_tutor:
            return _standing(exercise, self._session.explain(exercise, str(answer or "")))
        outcome, task = self._session.check(exercise, answer)
        return _standing(exercise, task, outcome, answer)

    def hint(self, exercise: str) -> ExerciseState:
        """Give the next hint."""
        return _standing(exercise, self._session.hint(exercise))

    def worked(self, exercise: str) -> ExerciseState:
        """Give the worked answer, if it is earned."""
        return _standing(exercise, self._session.worked(exercise))

    def next_variant(self, exercise: str) -> ExerciseState:
        """Draw another variant."""
        return _standing(exercise, self._session.next_variant(exercise))

    def dispute(self, exercise: str, text: str) -> ExerciseState:
        """Keep a dispute of the last mark for the tutor."""
        return _standing(exercise, self._session.dispute(exercise, text))

    def head(self) -> BannerLine:
        """Return who is working and under which rules."""
        from kit import rules

        session = self._session
        who = f"Working: {session.name}" if session.recorded else "Not recorded"
        why = session.notice.removeprefix("Not recorded: ")
        title = rules.load(session.profile).title
        return BannerLine(who, session.recorded, why[:1].upper() + why[1:], f"Rules in force: {title}")

    def rows(self, exercises: Iterable[str]) -> tuple[ExerciseProgress, ...]:
        """Return how far the person is with each exercise, from the book alone: nothing is drawn for it."""
        entries = self._session.book.refresh()
        rows = []
        for exercise in exercises:
            mine = [entry for entry in entries if entry.exercise == exercise]
            title = self._session.catalogue.info(exercise).title
            rows.append(ExerciseProgress(exercise, title, _state(mine)))
        return tuple(rows)


def _standing(
    exercise: str, task: TaskState, outcome: Outcome | None = None, answer: Any = None
) -> ExerciseState:
    question = task.question
    outcome = outcome or task.last
    if outcome is None or outcome.verdict != "not read":
        answer = task.explained or None if task.for_tutor else task.last_answer
    elif len(json.dumps(answer, default=str)) > _ECHO_LIMIT:
        answer = None
    earned = task.may_show_worked and not task.for_tutor
    return ExerciseState(
        exercise=exercise,
        title=task.title,
        variant=task.occasion,
        form={**page_form(question), "picture": None},  # the data of a picture could be read off; see below
        picture=question.picture,
        verdict="kept" if task.explained else outcome.verdict if outcome else "",
        score=outcome.score if outcome else 0.0,
        of=outcome.of if outcome else question.of,
        message="Your tutor reads it with your answer book." if task.explained else _message(outcome),
        read_as=outcome.read_as if outcome else "",
        answer=answer,
        tries=len(task.attempts),
        hints=task.hints,
        hints_left=task.hints_left,
        worked=task.worked,
        can_worked=earned and bool(question.worked),
        can_variant=earned,
        can_dispute=bool(task.attempts),
        disputed=any(each.answer == task.last_answer for each in task.disputes),
        run_picture=_run_picture(question, task, outcome),
    )


def _message(outcome: Outcome | None) -> str:
    """Return what marking says without its first words: the verdict stands above it already."""
    if outcome is None:
        return ""
    message = outcome.message
    for lead in _LEADS:
        message = message.removeprefix(lead)
    return message.strip()


def _run_picture(question: Question, task: TaskState, outcome: Outcome | None) -> Picture | None:
    """Return the picture of the batch that the controls ran, if there was one."""
    if not isinstance(question.kind, Controls) or outcome is None or outcome.verdict == "not read":
        return None
    from kit.marking.batch_runs import run_named

    return run_named(question.kind.run)(task.last_answer, question.facts).picture


def _state(entries: list[Any]) -> str:
    """Return one word for how far somebody is: see `kit.views.workbook.task_desk.ExerciseProgress`."""
    if any(entry.what == "explained" for entry in entries):
        return "kept"
    attempts = [entry for entry in entries if entry.what == "attempt"]
    if not attempts:
        return "new"
    firsts = {entry.occasion: entry for entry in reversed(attempts)}
    if any(entry.verdict == "right" and not entry.hints for entry in firsts.values()):
        return "first"
    if any(entry.verdict == "right" for entry in attempts):
        return "right"
    return str(attempts[-1].verdict)
