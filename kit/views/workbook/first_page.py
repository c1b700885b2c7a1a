"""The first page of the workbook: Today, with the tasks of its round."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date
from typing import Any

import ipywidgets
import traitlets as t

from kit.basics.errors import KitError
from kit.exercises.engine.registry import Info
from kit.languages import Language
from kit.practice import Session, session
from kit.practice.guesses import read_guesses, to_look_back_on
from kit.practice.handing_in import hand_in_here
from kit.practice.lesson_files import lesson_files
from kit.practice.round_of_tasks import RoundTask, next_round
from kit.practice.today import Today, minutes, why_words
from kit.views.workbook.banner import Banner, show_banner
from kit.views.workbook.lesson import close_old_widgets, head_of, lessons_here
from kit.views.workbook.page_language import choose_language, language_of, page_language
from kit.views.workbook.task import Task
from kit.views.workbook.widget_base import WorkbookWidget, script


class FirstPage:
    """The page as its notebook sees it: it shows who is working, then each call below returns a widget.

    Parameters
    ----------
    work : Session, optional
        Who is working. Without it: whoever opened the workbook, or nobody ("not recorded").

    Examples
    --------
    In a notebook's first code cell::

        from kit.views import FirstPage; page = FirstPage()
    """

    def __init__(self, *, work: Session | None = None) -> None:
        close_old_widgets()
        self._work = work or session()
        self._language = language_of(self._work)
        self.banner = Banner(
            self._speak,
            self._work,
            page=self._head(),
            language=page_language(self._language, None, self._work.kitchen),
        )
        show_banner(self.banner)
        self._round, self._tried_before = self._work.today().round, len(self._work.tries())
        self._tasks = ipywidgets.VBox()
        self._card = TodayCard(self._work, self._rows, self._five_more, self._language)

    def today(self) -> TodayCard:
        """Show what to do today."""
        return self._card

    def round(self) -> ipywidgets.VBox:
        """Lay out the tasks of today's round, each a question that is new for this person."""
        self._lay_out()
        return self._tasks

    def _head(self) -> dict[str, Any]:
        head = {"lesson": self._language.say("today"), "progress": [], "lessons": lessons_here(None)}
        return {**head_of(self._work, self._language), **head, "hand_in": "", "today": ""}

    def _speak(self, code: str) -> None:
        self._language = choose_language(self._work, code)
        self.banner.language = page_language(self._language, None, self._work.kitchen)
        self.banner.page = self._head()
        self._card.look(self._language)

    def _rows(self) -> tuple[RoundTask, ...]:
        """Return the round that is laid out, with what of it is done by now."""
        since = {one.exercise for one in self._work.tries()[self._tried_before :]}
        return tuple(replace(one, done=one.done or one.exercise in since) for one in self._round)

    def _five_more(self) -> None:
        tries = self._work.tries()
        self._round = next_round(tries, self._work.catalogue, self._work.today().day)
        self._tried_before = len(tries)
        self._lay_out()

    def _lay_out(self) -> None:
        old, told = self._tasks.children, self._card.look
        self._tasks.children = tuple(
            Task(one.exercise, self._work, number=n, told=told, fresh=True)
            for n, one in enumerate(self._round, 1)
        )
        for task in old:
            task.close()


class TodayCard(WorkbookWidget):
    """What to do today, on one card. It looks again after every answer."""

    _esm = script("common", "jump", "hand_in", "today")
    page = t.Dict().tag(sync=True)
    said = "Today. Run the page to see what to do."

    def __init__(
        self,
        work: Session,
        rows: Callable[[], tuple[RoundTask, ...]],
        more: Callable[[], None],
        language: Language,
    ) -> None:
        self._work, self._rows, self._more, self._language = work, rows, more, language
        super().__init__(page=self._page())

    def heard(self, content: Mapping[str, Any]) -> None:
        """Hand the book in, or lay out five more tasks."""
        if content.get("do") == "hand in" and self._work.recorded:
            self.page = {**self._page(), "handed": list(hand_in_here(self._work.person, self._language))}
        elif content.get("do") == "more":
            self._more()
            self.look()

    def trouble(self, content: Mapping[str, Any], words: str) -> None:
        """Say why something did not go. The book itself is as it was."""
        self.page = {**self._page(), "handed": [f"Not done: {words}"], "wrong": True}

    def look(self, language: Language | None = None) -> None:
        """Look again, in another language if one is given; leave standing what was said of handing in."""
        self._language = language or self._language
        self.page = {**self._page(), **{name: self.page[name] for name in ("handed", "wrong")}}

    def _page(self) -> dict[str, Any]:
        now, rows = self._work.today(), self._rows()
        info = self._work.catalogue.info
        return {
            "recorded": self._work.recorded,
            "handed": [],
            "wrong": False,
            "day": self._language.day(now.day),
            "started": bool(self._work.tries()),
            "carry_on": _carried(now, info),
            "round": [
                {
                    "exercise": one.exercise,
                    "title": info(one.exercise).title,
                    "why": why_words(one, self._language),
                    "done": one.done,
                }
                for one in rows
            ],
            "minutes": minutes(rows),
            "show": now.show.text if now.show else "",
            "back": self._looked_back(now.day),
            "steps": [
                {name: getattr(one, name) for name in ("title", "shown", "begun", "to_know", "to_be_seen")}
                for one in now.steps
            ],
        }

    def _looked_back(self, day: date) -> dict[str, str] | None:
        """Return a guess of a week ago, as the page shows it; None too where its file cannot be read."""
        try:
            guess = to_look_back_on(read_guesses(self._work.person.folder), day)
        except (KitError, OSError):
            return None
        if guess is None:
            return None
        told = {"when": self._language.day(guess.day), "question": guess.question, "said": guess.said}
        return {**told, "happened": guess.happened, "off": guess.off, "changed": guess.changed}


def _carried(now: Today, info: Callable[[str], Info]) -> dict[str, Any] | None:
    """Return where to go on, as the page may link it; None where there is no such lesson."""
    on = now.carry_on
    lesson = next((one for one in lesson_files() if on and one.number == on.lesson), None)
    if on is None or lesson is None:
        return None
    told = {"exercise": on.exercise, "title": info(on.exercise).title, "begun": on.begun}
    return {"file": lesson.file, "lesson": lesson.title, **told}
