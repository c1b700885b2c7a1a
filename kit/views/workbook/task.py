"""The task as a widget: what reaches the page, and what happens to each message from it.

The page gets the question without its answer, slips, hints or worked answer. A hint goes there when it was
asked for, the worked answer once it is earned. The answer arrives inside the Check message,
never as widget state.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import traitlets as t

from kit.views.pictures.register import draw_picture
from kit.views.workbook.task_desk import Desk, ExerciseState
from kit.views.workbook.widget_base import WorkbookWidget, page_picture, script


class Task(WorkbookWidget):
    """One exercise on the page, for one person at one desk."""

    _esm = script("common", "kinds", "task")
    form = t.Dict().tag(sync=True)
    shown = t.Dict().tag(sync=True)

    def __init__(self, exercise: str, desk: Desk, *, number: int, told: Callable[[], None] = lambda: None):
        self.exercise, self.number, self._desk, self._told = exercise, number, desk, told
        standing = desk.standing(exercise)
        self.said = f"Task {number}: {standing.title}. Run the lesson to work on it."
        shown = {**page_shown(standing, desk), "restored": bool(standing.verdict)}
        super().__init__(form=page_form(standing, number), shown=shown)

    def heard(self, content: Mapping[str, Any]) -> None:
        """Do what the page asks and show where the person stands now, under the same serial number."""
        what, serial = content.get("do"), str(content.get("serial", ""))
        before = self.form.get("variant")
        if what == "check":
            standing = self._desk.check(self.exercise, content.get("answer"))
        elif what == "hint":
            standing = self._desk.hint(self.exercise)
        elif what == "worked":
            standing = self._desk.worked(self.exercise)
        elif what == "variant":
            standing = self._desk.next_variant(self.exercise)
        elif what == "dispute":
            standing = self._desk.dispute(self.exercise, str(content.get("text", "")))
        else:
            return
        with self.hold_sync():  # one message to the page, so a new question never meets an old mark
            self.shown = {**page_shown(standing, self._desk), "serial": serial}
            if standing.variant != before:
                self.form = page_form(standing, self.number)
        self._told()

    def trouble(self, content: Mapping[str, Any], words: str) -> None:
        """Say on the page that the message could not be answered; the mark on show stays as it was."""
        self.shown = {**self.shown, "error": words, "serial": str(content.get("serial", ""))}


def page_form(standing: ExerciseState, number: int) -> dict[str, Any]:
    """Return the question as the page may know it, with its picture drawn."""
    form = {
        **standing.form,
        "exercise": standing.exercise,
        "number": number,
        "title": standing.title,
        "variant": standing.variant,
    }
    picture = standing.picture
    if picture is not None:
        drawing = draw_picture(picture.name, picture.data)
        form["picture"] = page_picture(
            drawing, label=f"Picture for the task: {standing.title}", text=picture.text
        )
    return form


def page_shown(standing: ExerciseState, desk: Desk) -> dict[str, Any]:
    """Return the outcome and the help that this person has earned, and nothing more."""
    run = standing.run_picture
    picture = None
    if run is not None:
        picture = page_picture(draw_picture(run.name, run.data), label="What the batch did", text=run.text)
    return {
        "verdict": standing.verdict,
        "score": standing.score,
        "of": standing.of,
        "message": standing.message,
        "read_as": standing.read_as,
        "answer": standing.answer,
        "tries": standing.tries,
        "hints": list(standing.hints),
        "hints_left": standing.hints_left,
        "worked": standing.worked,
        "can_worked": standing.can_worked,
        "can_variant": standing.can_variant,
        "can_dispute": standing.can_dispute,
        "disputed": standing.disputed,
        "picture": picture,
        "not_recorded": ""
        if desk.recorded
        else "Not recorded: this answer is not kept for you or your tutor.",
    }
