"""The task as a widget: what reaches the page, and what happens to each message from it.

The page gets the question without its answer, slips, hints or worked answer. A hint goes there when it was
asked for, the worked answer once it is earned. The answer arrives inside the Check message,
never as widget state.
"""

import json
from collections.abc import Callable, Mapping
from dataclasses import asdict
from typing import Any

import traitlets as t

from kit import exercises, rules
from kit.basics.errors import UnknownName
from kit.exercises.engine.kitchen_rules import set_apart
from kit.languages import noted
from kit.marking import page_form
from kit.marking.model import Outcome, Picture
from kit.practice import Session, TaskState
from kit.views.pictures.register import draw_picture
from kit.views.pictures.teaching import pictures_before
from kit.views.workbook.kitchen_photos import kitchen_photo
from kit.views.workbook.widget_base import WorkbookWidget, page_picture, script

_ECHO_LIMIT = 20_000  # characters of an unreadable answer that go back to the page
_LEADS = ("Right.", "Partly.", "Not yet.")
_NOT_RECORDED = noted("Not recorded: this answer is not kept for you or your tutor.")


class Task(WorkbookWidget):
    """One exercise on the page, for whoever is at work in this session.

    ``fresh`` shows a question that is new today; it is opened in the book once something is done with it.
    Only a lesson teaches: with ``look`` the teaching pictures stand before the question.
    """

    _esm = script("common", "kinds", "order", "threads", "task")
    form = t.Dict().tag(sync=True)
    shown = t.Dict().tag(sync=True)

    def __init__(
        self,
        exercise: str,
        session: Session,
        *,
        number: int,
        told: Callable[[], None] = lambda: None,
        fresh: bool = False,
        look: bool = False,
    ):
        self.exercise, self.number, self._session, self._told = exercise, number, session, told
        open_now = session.current(exercise)
        task = session.fresh(exercise) if fresh else open_now
        self._ahead = task.occasion if task.occasion != open_now.occasion else None
        self._for_tutor, self._asked = task.for_tutor, task.fingerprint
        self._ran: Picture | None = None
        self._drawn: dict[str, Any] | None = None
        self._look = look_first(exercise) if look else []
        self.said = f"Task {number}: {task.title}. Run the lesson to work on it."
        shown = self._page(task)
        super().__init__(form=self._form(task), shown={**shown, "restored": bool(shown["verdict"])})

    def heard(self, content: Mapping[str, Any]) -> None:
        """Do what the page asks and show where the person stands now, under the same serial number."""
        what, answer = str(content.get("do")), content.get("answer")
        if self._ahead is not None and not self._opened(content):
            return
        steps = {"hint": self._session.hint, "worked": self._session.worked}
        steps["variant"] = self._session.next_variant
        unread = None
        if what == "check" and self._for_tutor:
            task = self._session.explain(self.exercise, str(answer or ""))
        elif what == "check":
            outcome, task = self._session.check(self.exercise, answer, self._asked)
            unread = outcome if outcome.verdict == "not read" else None
        elif what == "dispute":
            task = self._session.dispute(self.exercise, str(content.get("text", "")))
        elif what in steps:
            task = steps[what](self.exercise)
        else:
            return
        with self.hold_sync():  # one message to the page, so a new question never meets an old mark
            self.shown = {**self._page(task, unread, answer), "serial": str(content.get("serial", ""))}
            if task.occasion != self.form.get("variant"):
                self._show(task)
        self._told()

    def _opened(self, content: Mapping[str, Any]) -> bool:
        """Open the variant on show. Where another page has moved on meanwhile, show that one instead."""
        shown, self._ahead = self._ahead, None
        task = self._session.next_variant(self.exercise)
        if task.occasion == shown:
            return True
        with self.hold_sync():
            self._show(task)
            self.shown = self._page(task)
        self.trouble(content, "Another page has moved this task on. Here is its next question.")
        return False

    def _show(self, task: TaskState) -> None:
        self.form, self._asked = self._form(task), task.fingerprint

    def _form(self, task: TaskState) -> dict[str, Any]:
        return {**task_form(task, self.number), "look": self._look}

    def trouble(self, content: Mapping[str, Any], words: str) -> None:
        """Say on the page that the message could not be answered; the mark on show stays as it was."""
        self.shown = {**self.shown, "error": words, "serial": str(content.get("serial", ""))}

    def _page(self, task: TaskState, unread: Outcome | None = None, answer: Any = None) -> dict[str, Any]:
        """Return what the page shows. The picture of a batch that was run is drawn once."""
        shown = task_shown(task, unread, answer)
        run = None if unread or task.last is None else task.last.picture
        if run is None or run is not self._ran:
            self._ran, self._drawn = run, _drawn(run, "What the batch did")
        return {
            **shown,
            "picture": self._drawn,
            "not_recorded": "" if self._session.recorded else _NOT_RECORDED,
        }


def task_form(task: TaskState, number: int) -> dict[str, Any]:
    """Return the question as the page may know it, with its picture drawn: its data could be read off."""
    drawing = _drawn(task.question.picture, f"Picture for the task: {task.title}")
    about = {"number": number, "title": task.title, "variant": task.occasion, "picture": drawing}
    asked, rule = set_apart(task.question.text, task.question.profile)
    about |= {"text": asked, "rule": rule, "sources": source_links(task.question.text)}
    return {**page_form(task.question), **about, "model": _from_a_model(task.question.exercise)}


def source_links(*texts: str) -> list[dict[str, str]]:
    """Return title and address of the sources that texts name: a page makes links of them.

    One without an address is told only where a text gives its issuer too, as a rule does.

    Examples
    --------
    >>> source_links("See Food thermometers.")[0]["address"][:27]
    'https://www.cfs.gov.hk/engl'
    """
    text = "\n".join(texts)
    links = []
    for each in rules.sources_named(text):
        whole = f"{each.title}, {each.issuer}"
        if each.address or whole in text:
            links.append({"title": each.title if each.address else whole, "address": each.address})
    return links


def look_first(exercise: str) -> list[dict[str, Any]]:
    """Return the teaching pictures of an exercise as a page shows them, with the kitchen's photographs."""
    return [
        page_picture(draw_picture(one.name, {}), label=one.title) | kitchen_photo(one.name)
        for one in pictures_before(exercise)
    ]


def _from_a_model(exercise: str) -> bool:
    """Whether the numbers of an exercise come from a model; of one that is not in the bank nobody knows."""
    try:
        return exercises.info(exercise).model
    except UnknownName:
        return False


def _drawn(picture: Picture | None, label: str) -> dict[str, Any] | None:
    if picture is None:
        return None
    return page_picture(draw_picture(picture.name, picture.data), label=label, text=picture.text)


def task_shown(task: TaskState, unread: Outcome | None = None, answer: Any = None) -> dict[str, Any]:
    """Return the outcome and the help that this person has earned, and nothing more.

    ``unread`` is what marking says to an answer that could not be read, and ``answer`` that answer.
    """
    outcome = unread or task.last
    if unread is None:
        answer = task.explained or task.last_answer
    elif len(json.dumps(answer, default=str)) > _ECHO_LIMIT:
        answer = None
    earned = task.may_show_worked and not task.for_tutor
    message = "Your tutor reads it with your answer book." if task.explained else _message(outcome)
    return {
        "sources": source_links(message, *task.hints, task.worked),
        "verdict": "kept" if task.explained else outcome.verdict if outcome else "",
        "score": outcome.score if outcome else 0.0,
        "of": outcome.of if outcome else task.question.of,
        "message": message,
        "read_as": outcome.read_as if outcome else "",
        "answer": answer,
        "tries": len(task.attempts),
        "hints": list(task.hints),
        "hints_left": task.hints_left,
        "worked": task.worked,
        "zones": [asdict(zone) for zone in task.right_zones],
        "can_worked": earned and bool(task.question.worked),
        "can_variant": earned,
        "can_dispute": bool(task.attempts),
        "disputed": any(each.answer == task.last_answer for each in task.disputes),
    }


def _message(outcome: Outcome | None) -> str:
    """Return what marking says without its first words: the verdict stands above it already."""
    message = outcome.message if outcome else ""
    for lead in _LEADS:
        message = message.removeprefix(lead)
    return message.strip()
