"""One lesson in a notebook: the line at the top and the calls that follow it, one a cell."""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kit.languages import ENGLISH, Language, noted
from kit.practice import DOOR_VARIABLE, Session, session
from kit.practice.lesson_files import TODAY_FILE, lesson_files
from kit.views.pictures.register import explorer_named
from kit.views.workbook.banner import Banner, show_banner
from kit.views.workbook.bench import Bench
from kit.views.workbook.cards import PictureCard, picture_card
from kit.views.workbook.explorer import Explorer
from kit.views.workbook.lesson_end import LessonEnd
from kit.views.workbook.own_terms import WordList
from kit.views.workbook.page_language import choose_language, language_of, page_language
from kit.views.workbook.task import Task
from kit.views.workbook.widget_base import WorkbookWidget

if TYPE_CHECKING:
    from kit.views.workbook.batch import BatchTask

HAND_IN = noted("To hand in, press the button at the end of the lesson, or run: smokehouse hand-in")


class Lesson:
    """A lesson as its notebook sees it. Creating it shows who is working; each call below returns a widget.

    Parameters
    ----------
    number : int
        The lesson's number, as in its file name.
    work : Session, optional
        Who is working. Without it: whoever opened the workbook, or nobody ("not recorded").

    Examples
    --------
    In a notebook's first code cell::

        from kit.views import Lesson; lesson = Lesson(5)
    """

    def __init__(self, number: int, *, work: Session | None = None) -> None:
        close_old_widgets()
        self.number = number
        self._work = work or session()
        self._tasks: dict[str, int] = {}
        self._language = language_of(self._work)
        self.banner = Banner(
            self._speak,
            self._work,
            page=self._head(),
            language=page_language(self._language, number, self._work.kitchen),
        )
        show_banner(self.banner)

    def task(self, exercise: str) -> Task:
        """Show the exercise of that id as a task, drawn for whoever is working."""
        number = self._tasks.setdefault(exercise, len(self._tasks) + 1)
        task = Task(exercise, self._work, number=number, told=self._tell, look=True)
        self._tell()
        return task

    def explore(self, name: str, **settings: Any) -> Explorer:
        """Show the explorer of that name. ``settings`` change where its controls start."""
        return Explorer(explorer_named(name), start=settings, work=self._work)

    def picture(self, name: str, *, title: str = "", **data: Any) -> PictureCard:
        """Show the picture of that name, drawn from ``data``, with its words beside it."""
        return picture_card(name, data, title)

    def bench(self, seed: int | None = None) -> Bench:
        """Lay out fillets to feel for bones. Practice: not marked, no evidence. ``seed`` fixes the fish."""
        return Bench(seed, self._work)

    def words(self) -> WordList:
        """Show the words of the trade, with room for each in the learner's own language. Kept, not marked."""
        titles = {one["number"]: one["title"] for one in lessons_here(self.number)}
        return WordList(self._work, lesson=self.number, titles=titles)

    def batch(self, seed: int | None = None, *, profile: str | None = None) -> BatchTask:
        """Play a whole batch, stage by stage. Practice: no evidence. ``seed`` is the number of the batch.

        Without ``profile`` it is played under the rules in force; where those have no number for the card,
        under Ireland's. The page says which.
        """
        from kit.exercises.lesson_08.batch_limits import lacking
        from kit.rules import load
        from kit.views.workbook.batch import BatchTask  # the whole day's physics: only lesson 8 waits for it

        here = self._work.profile if profile is None else load(profile)
        rules = load() if profile is None and lacking(here) else here
        return BatchTask(seed, rules, self._work)

    def checklist(self, title: str, items: Iterable[str]) -> LessonEnd:
        """End the lesson: a list to tick on the job, then where you stand, handing in, and the next lesson.

        The ticks are not marked and not recorded; the list prints well.
        """
        after = next((one for one in lessons_here(self.number) if one["number"] > self.number), None)
        told = None if after is None else {"title": after["title"], "file": after["file"]}
        return LessonEnd(self._work, lambda: tuple(self._tasks), (title, tuple(items)), told)

    def _speak(self, code: str) -> None:
        self._language = choose_language(self._work, code)
        self.banner.language = page_language(self._language, self.number, self._work.kitchen)
        self._tell()

    def _tell(self) -> None:
        self.banner.page = self._head()

    def _head(self) -> dict[str, Any]:
        lessons = lessons_here(self.number)
        titles = [self._language.say(one["title"]) for one in lessons if one["here"]]
        about = [self._language.say("lesson {n}", n=self.number), *(one.split(" · ")[-1] for one in titles)]
        return {
            **head_of(self._work, self._language),
            "lesson": ", ".join(about).lower(),
            "progress": self._work.how_far(self._tasks),
            "lessons": lessons if len(lessons) > 1 else [],
            "hand_in": HAND_IN if self._work.recorded else "",
            "today": TODAY_FILE,
        }


def head_of(work: Session, language: Language = ENGLISH) -> dict[str, Any]:
    """Return who is working and under which rules, in words for the page."""
    say = language.say
    why = work.notice.removeprefix("Not recorded: ")
    return {
        "who": say("Working: {name}", name=work.name) if work.recorded else say("Not recorded"),
        "recorded": work.recorded,
        "why": why[:1].upper() + why[1:],
        "rules": say("Rules in force: {rules}", rules=work.profile.title),
        "door": os.environ.get(DOOR_VARIABLE, ""),
    }


def lessons_here(number: int | None, folder: Path | None = None) -> list[dict[str, Any]]:
    """Return the lessons beside this page, in order: number, title, file, and which is open."""
    return [
        {"number": one.number, "title": one.title, "file": one.file, "here": one.number == number}
        for one in lesson_files(folder or Path.cwd())
    ]


def close_old_widgets() -> None:
    """Close the widgets of an earlier run of the same page: each run would add as many again."""
    from ipywidgets.widgets import widget as register

    for old in list(register._instances.values()):
        if isinstance(old, WorkbookWidget):
            old.close()
