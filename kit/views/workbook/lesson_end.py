"""The end of a lesson: a list for the job, what you can show now, what to redo, handing in, what is next."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

import traitlets as t

from kit.practice import Session
from kit.practice.handing_in import hand_in_here
from kit.practice.lesson_files import TODAY_FILE
from kit.views.workbook.page_language import language_of
from kit.views.workbook.widget_base import WorkbookWidget, script

MOST_SHOWN = 3
"""So many open points and tasks to redo are named: a tired reader takes in no more."""
MOST_REDO = 2
_WEAKEST_FIRST = ("not yet", "partly", "new", "right")


class LessonEnd(WorkbookWidget):
    """A list to tick on the job, and where somebody stands. It looks anew each time it comes into view.

    Parameters
    ----------
    work : Session
        Whoever is working.
    tasks : callable
        Returns the ids of the tasks on the page, in order.
    checklist : tuple
        Its title, and what to tick.
    after : mapping, optional
        The next lesson: ``title`` and ``file``.
    """

    _esm = script("common", "jump", "hand_in", "end")
    form = t.Dict().tag(sync=True)
    page = t.Dict().tag(sync=True)
    said = "The end of the lesson. Run the lesson to see what you can do now."

    def __init__(
        self,
        work: Session,
        tasks: Callable[[], Sequence[str]],
        checklist: tuple[str, Sequence[str]],
        after: Mapping[str, str] | None = None,
    ) -> None:
        self._work, self._tasks, self._after = work, tasks, after
        title, items = checklist
        super().__init__(form={"title": title, "items": list(items)}, page=self._look())

    def heard(self, content: Mapping[str, Any]) -> None:
        """Look again, or hand the book in."""
        if content.get("do") == "look":
            self.page = {**self._look(), **{name: self.page[name] for name in ("handed", "wrong")}}
        elif content.get("do") == "hand in" and self._work.recorded:
            said = hand_in_here(self._work.person, language_of(self._work))
            self.page = {**self._look(), "handed": list(said)}

    def trouble(self, content: Mapping[str, Any], words: str) -> None:
        """Say why the book is not handed in. The book itself is as it was."""
        self.page = {**self._look(), "handed": [f"Not handed in: {words}"], "wrong": True}

    def _look(self) -> dict[str, Any]:
        tasks = self._tasks()
        here = self._work.standing_on(tasks) if self._work.recorded else ()
        left = [one for one in here if not one.done]
        left.sort(key=lambda one: not (one.shown.counted or one.shown.missed))  # what was begun first
        return {
            "recorded": self._work.recorded,
            "can": [one.text for one in here if one.done],
            "open": [
                {"text": one.text, "left": one.left_said[0], "n": one.left_said[1]}
                for one in left[:MOST_SHOWN]
            ],
            "more": max(len(left) - MOST_SHOWN, 0),
            "redo": to_redo(self._work.how_far(tasks)),
            "after": dict(self._after or {}),
            "today": TODAY_FILE,
            "handed": [],
            "wrong": False,
        }


def to_redo(rows: Sequence[Mapping[str, str]]) -> list[Mapping[str, str]]:
    """Return the tasks most worth doing again: missed ones first, then those not begun, then with help.

    Examples
    --------
    >>> rows = [{"exercise": name, "state": state} for name, state in
    ...     (("a", "first"), ("b", "new"), ("c", "not yet"), ("d", "right"))]
    >>> [row["exercise"] for row in to_redo(rows)]
    ['c', 'b']
    """
    weak = [row for row in rows if row["state"] in _WEAKEST_FIRST]
    return sorted(weak, key=lambda row: _WEAKEST_FIRST.index(row["state"]))[:MOST_REDO]
