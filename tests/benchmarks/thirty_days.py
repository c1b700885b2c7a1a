"""Thirty days of one apprentice, played in the browser, and what they met.

    python tests/benchmarks/thirty_days.py [--days 30] [--width 1280] [--tasks 5]

Somebody invented opens Today each day, does its round, and goes on in their lesson until about five tasks are
done. Three in ten answers are wrong where the exercise names a way to go wrong. Bad luck is dealt by the day:
a tab closed over a half-typed answer, an engine killed while an answer stands in its field. Each week they
press the button that hands in. The clock of the kernels is moved, a day at a time; the browser's is not.

Prints a line a day, then all that a person should never meet: a mark that is not as the answer was, an answer
that the book lacks, an error of a script, a request to the outside, a box of the notebook engine, a wait of
more than 10 s for a verdict. Exits with 1 if anything was met.
"""

from __future__ import annotations

import argparse
import contextlib
import importlib.util
import random
import re
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import ModuleType
from typing import Any

BROWSER_TESTS = Path(__file__).parents[1] / "browser"
START = datetime(2026, 3, 2, 16, 0, tzinfo=UTC)
WRONG, LONGEST_S, WAIT_MS = 0.3, 10.0, 120_000
ONE_SLIP_KINDS = ("number", "one", "several", "recommend")
CLOSED_TAB, KILLED_ENGINE, HAND_IN = 3, 5, 7
"""On every so many days: a closed tab, a killed engine, a hand-in."""

# Each kernel reads how far its clock is moved at each look, so that a day passes without a new server.
CLOCK = """
import os
from datetime import timedelta
from pathlib import Path
from kit.files import answer_book
answer_book._by = lambda: timedelta(seconds=float(Path(os.environ["MOVED_CLOCK"]).read_text()))
def local_now():
    return datetime.now(UTC).astimezone() + _by()
answer_book.local_now.__code__ = local_now.__code__
"""
DIE = """() => { window.jupyterapp.shell.currentWidget.sessionContext.session.kernel.requestExecute(
  {code: 'import os, signal; os.kill(os.getpid(), signal.SIGKILL)'}); }"""


def module(name: str) -> ModuleType:
    """Return a module that stands beside the browser tests."""
    spec = importlib.util.spec_from_file_location(name, BROWSER_TESTS / f"{name}.py")
    assert spec is not None and spec.loader is not None
    made = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(made)
    return made


@dataclass
class Play:
    """The person, their workbook and browser, and what was met so far."""

    browser: Any
    book: Any
    person: Any
    home: Path
    clock_file: Path
    answering: ModuleType
    width: int
    dice: random.Random = field(default_factory=lambda: random.Random(30))
    day: int = 0
    met: list[str] = field(default_factory=list)
    sent: int = 0
    longest_s: float = 0.0
    unlucky: int = -1
    tabs_closed: int = 0
    engines_killed: int = 0

    def begin_day(self, day: int) -> None:
        """Move the clock to the afternoon of a day."""
        self.day = day
        now = START + timedelta(days=day)
        self.clock_file.write_text(str((now - datetime.now(UTC)).total_seconds()), encoding="utf-8")

    def now(self) -> datetime:
        """Return the moved time, as the kernels have it."""
        return datetime.now(UTC).astimezone() + timedelta(seconds=float(self.clock_file.read_text()))

    def work(self) -> Any:
        """Return what the kit knows of the person now."""
        from kit.practice import start

        return start(self.person.id, home=self.home, clock=self.now)

    def note(self, what: str) -> None:
        """Keep something that a person should not meet."""
        self.met.append(f"day {self.day + 1}: {what}")

    def page(self, file: str) -> Any:
        """Open a page in a tab of its own, and listen to what goes wrong on it."""
        page = self.browser.new_context(viewport={"width": self.width, "height": 900}).new_page()
        page.set_default_timeout(WAIT_MS)
        page.on("pageerror", lambda error: self.note(f"script: {str(error)[:200]}"))
        page.on("request", lambda one: self._looked_at(one.url))
        page.goto(self.book.address(file))
        page.locator("[data-kit-ran]").wait_for(state="attached")
        return page

    def _looked_at(self, url: str) -> None:
        if not url.startswith(("http://127.0.0.1", "ws://127.0.0.1", "data:", "blob:")):
            self.note(f"asked the outside: {url[:80]}")

    def close(self, page: Any) -> None:
        """Look the page over once more, and close its tab."""
        if page.locator("dialog.jp-Dialog:visible, div.jp-Dialog:visible").count():
            self.note("a box of the notebook engine is open")
        for words in page.locator(".sk-error:visible, .sk-trouble:visible").all_inner_texts():
            self.note(f"the page says: {words[:120]}")
        page.context.close()


def attempt(play: Play, page: Any, question: Any, occasion: int) -> str:
    """Answer one task, wrong or right; return the verdict. Whatever is not as it should be is noted."""
    card = page.locator(f"[data-exercise={question.exercise}]")
    if card.get_attribute("data-variant") != str(occasion):
        play.note(
            f"{question.exercise}: variant {card.get_attribute('data-variant')} on show, not {occasion}"
        )
        return "skipped"
    slips = [one for one in question.slips if question.kind_name in ONE_SLIP_KINDS and _full(one.value)]
    wrong = bool(slips) and play.dice.random() < WRONG
    verdict = card.locator("[role=status].sk-verdict")
    before = verdict.get_attribute("data-serial") or ""
    play.answering.by_mouse(page, question, play.dice.choice(slips).value if wrong else _right(question))
    begun = time.perf_counter()
    if "also asks for" in (card.locator(".sk-go .sk-wait").text_content() or ""):
        card.locator("button[type=submit]").click()  # told once what is missing, then kept
    _serial_after(verdict, before)
    took = time.perf_counter() - begun
    play.longest_s, play.sent = max(play.longest_s, took), play.sent + 1
    if took > LONGEST_S:
        play.note(f"{question.exercise}: {took:.0f} s to the verdict")
    said = (verdict.get_attribute("class") or "").split("sk-is-")[-1].split()[0]
    wanted = ("not-yet", "partly") if wrong else ("right", "kept")
    if said not in wanted:
        play.note(f"{question.exercise}: a {'wrong' if wrong else 'right'} answer is marked {said}")
    return said


def _full(value: Any) -> bool:
    return (
        isinstance(value, int | float | list)
        or (isinstance(value, str) and bool(value))
        or isinstance(value, dict)
    )


def _right(question: Any) -> Any:
    return f"{question.text} So I say." if question.kind_name == "explain" else question.answer


def _serial_after(verdict: Any, before: str) -> None:
    from playwright.sync_api import expect

    expect(verdict).not_to_have_attribute("data-serial", before, timeout=WAIT_MS)


def the_round(play: Play, most: int) -> list[str]:
    """Do Today's round, and hand in once a week; return the verdicts."""
    from kit.practice.lesson_files import TODAY_FILE

    page, verdicts = play.page(TODAY_FILE), []
    for one in [row for row in play.work().today().round if not row.done][:most]:
        if len(verdicts) == 1:
            page = bad_luck(play, page, TODAY_FILE, one.exercise)
        task = play.work().fresh(one.exercise)
        verdicts.append(attempt(play, page, task.question, task.occasion))
    if play.day % HAND_IN == HAND_IN - 1:
        page.get_by_role("button", name="Hand in to your tutor").click()
        told = page.locator(".sk-today [role=status]")
        told.get_by_text(re.compile("Handed in")).first.wait_for()
    play.close(page)
    return verdicts


def the_lesson(play: Play, most: int) -> tuple[str, list[str]]:
    """Carry on in the lesson from where the person was; return its number and the verdicts."""
    from kit.practice.lesson_files import lesson_files

    on = play.work().today().carry_on
    if on is None or most <= 0:
        return "", []
    file = next(one.file for one in lesson_files() if one.number == on.lesson)
    page, verdicts = play.page(file), []
    shown = page.eval_on_selector_all("[data-exercise]", "(all) => all.map((one) => one.dataset.exercise)")
    for name in shown[shown.index(on.exercise) :]:
        if len(verdicts) >= most:
            break
        task = play.work().current(name)
        if task.attempts and task.last is not None and task.last.verdict == "right":
            continue
        if len(verdicts) == 1:
            page = bad_luck(play, page, file, name)
        verdicts.append(attempt(play, page, play.work().current(name).question, task.occasion))
    play.close(page)
    return str(on.lesson), verdicts


def bad_luck(play: Play, page: Any, file: str, exercise: str) -> Any:
    """Close the tab over a half-typed answer, or kill the engine; return the page to go on with."""
    from playwright.sync_api import TimeoutError

    field_of = page.locator(f"[data-exercise={exercise}] form input[type=text]")
    if play.unlucky == play.day:
        return page
    if play.day % CLOSED_TAB == CLOSED_TAB - 1:
        if field_of.count():
            field_of.first.fill("1")
        page.context.close()
        play.unlucky, play.tabs_closed = play.day, play.tabs_closed + 1
        return play.page(file)
    if play.day % KILLED_ENGINE == KILLED_ENGINE - 1:
        if field_of.count():
            field_of.first.fill("1")
        ran = page.locator("[data-kit-ran]").get_attribute("data-kit-ran")
        page.evaluate(DIE)
        play.unlucky, play.engines_killed = play.day, play.engines_killed + 1
        back = f"() => document.querySelector('[data-kit-ran]').dataset.kitRan > {ran}"
        try:
            page.wait_for_function(back)
        except TimeoutError as late:
            play.note(f"the engine was killed, and the page did not come back: {str(late).splitlines()[0]}")
            page.context.close()
            return play.page(file)
        if "engine" in (page.locator("#kit-notice").text_content() or ""):
            page.wait_for_function("() => !document.getElementById('kit-notice').textContent")
    return page


@contextlib.contextmanager
def begun(width: int) -> Iterator[Play]:
    """Make a home with one person, start their workbook with a clock that can be moved, and a browser."""
    from playwright.sync_api import sync_playwright

    fixtures, answering = module("conftest"), module("answering")
    with tempfile.TemporaryDirectory() as place, sync_playwright() as playwright:
        home, path = Path(place) / "home", Path(place) / "path"
        path.mkdir()
        (path / "sitecustomize.py").write_text(CLOCK, encoding="utf-8")
        from kit.practice import prepare

        person = fixtures.people.create("Nuala Prem", home=home)
        prepare(person)
        clock_file = Path(place) / "moved_s.txt"
        clock_file.write_text("0", encoding="utf-8")
        variables = {"SMOKEHOUSE_PERSON": person.id, "SMOKEHOUSE_HOME": str(home)}
        variables |= {"PYTHONPATH": str(path), "MOVED_CLOCK": str(clock_file)}
        book = fixtures.Workbook(
            person.lessons, Path(place) / "room", environment=variables, options=["--expose-app-in-browser"]
        )
        browser = playwright.chromium.launch(
            executable_path=fixtures.CHROMIUM, headless=True, args=fixtures.ARGUMENTS
        )
        try:
            book.start()
            yield Play(browser, book, person, home, clock_file, answering, width)
        finally:
            browser.close()
            book.stop()


def main() -> int:
    """Play the days, print what was met, and return the exit code."""
    asked = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    asked.add_argument("--days", type=int, default=30)
    asked.add_argument("--width", type=int, default=1280)
    asked.add_argument("--tasks", type=int, default=5)
    wanted = asked.parse_args()
    counts: dict[str, int] = {}
    with begun(wanted.width) as play:
        for day in range(wanted.days):
            play.begin_day(day)
            due = the_round(play, wanted.tasks)
            lesson, new = the_lesson(play, wanted.tasks - len(due))
            for one in (*due, *new):
                counts[one] = counts.get(one, 0) + 1
            told = ", ".join(f"{(*due, *new).count(one)} {one}" for one in dict.fromkeys((*due, *new)))
            where = f", lesson {lesson}: {len(new)}" if lesson else ""
            print(f"day {day + 1:2}: Today {len(due)}{where}. {told}", flush=True)
        entries = [one for one in play.work().book.entries if one.what in ("attempt", "explained")]
        if len(entries) != play.sent:
            play.note(f"{play.sent} answers were given, and the book holds {len(entries)}")
        known = sum(one.shown for one in play.work().today().steps)
    print(f"{play.sent} answers: {counts}; {known} points known; longest wait {play.longest_s:.1f} s")
    print(f"{play.tabs_closed} tabs closed, {play.engines_killed} engines killed.")
    print("\n".join(play.met) or "Met: nothing that a person should not meet.")
    return 1 if play.met else 0


if __name__ == "__main__":
    sys.exit(main())
