"""One lesson in a notebook: the line at the top and the calls that follow it, one a cell."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from kit.views.spec import Predict


class Lesson:
    """A lesson as its notebook sees it. Creating it shows who is working; each call below returns a widget.

    Examples
    --------
    In a notebook::

        from kit.views import Lesson; lesson = Lesson(5)
    """

    def __init__(self, number: int, *, session: Any = None) -> None:
        self.number = number

    def task(self, exercise: str) -> Any:
        """Show the exercise of that id as a task, drawn for whoever is working."""
        raise NotImplementedError

    def explore(self, name: str, *, predict: Predict | None = None, **settings: Any) -> Any:
        """Show the explorer of that name. ``settings`` change where its controls start."""
        raise NotImplementedError

    def picture(self, name: str, **data: Any) -> Any:
        """Show the picture of that name, drawn from ``data``, with its words beside it."""
        raise NotImplementedError

    def predict(self, question: str, choices: Iterable[str], look: str) -> Any:
        """Ask for a guess first; then say what to look at. Not marked, not recorded."""
        raise NotImplementedError

    def checklist(self, title: str, items: Iterable[str]) -> Any:
        """Show a list to tick on the job. Not marked, not recorded; it prints well."""
        raise NotImplementedError
