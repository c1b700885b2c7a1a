"""The first page: the card that says what to do today, and the round of tasks below it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from kit.basics import places
from kit.files import read
from kit.practice import Session, create, start
from kit.practice.lesson_files import in_reading_order
from kit.views import FirstPage


class Moved:
    """A clock of the test's own: noon, a second later each time."""

    def __init__(self) -> None:
        self.now = datetime.fromisoformat("2026-03-02T12:00:00+00:00")

    def __call__(self) -> datetime:
        self.now += timedelta(seconds=1)
        return self.now


@pytest.fixture
def clock() -> Moved:
    return Moved()


@pytest.fixture
def ana(tmp_path: Path, clock: Moved, monkeypatch: pytest.MonkeyPatch) -> Iterator[Session]:
    """Somebody who did the first lesson a week ago, every task right."""
    monkeypatch.setenv("SMOKEHOUSE_HOME", str(tmp_path))
    work = start(create("Ana Lind", home=tmp_path).id, home=tmp_path, clock=clock)
    for name in in_reading_order(work.catalogue.ids())[:12]:
        work.check(name, work.current(name).question.answer)
    clock.now += timedelta(days=7)
    yield work


def test_the_page_says_who_works_and_lists_a_round_with_reasons(ana: Session):
    first = FirstPage(work=ana)
    card = first.today()
    assert first.banner.page["who"] == "Working: Ana Lind"
    assert len(card.page["round"]) == len(first.round().children) == 5
    assert all(row["why"] and row["title"] and not row["done"] for row in card.page["round"])
    assert card.page["minutes"] == 10 and card.page["day"] == "Monday 9 March"
    assert card.page["carry_on"]["file"].endswith(".ipynb")


def test_looking_writes_nothing_and_answering_opens_the_question_that_was_shown(ana: Session, page: Any):
    before = len(ana.book.refresh())
    first = FirstPage(work=ana)
    card, task = first.today(), first.round().children[0]
    assert len(ana.book.refresh()) == before
    shown = ana.fresh(task.exercise)
    assert task.form["variant"] == shown.occasion
    page.send(task, "check", answer=shown.question.answer)
    assert task.shown["verdict"] == "right" and task.form["variant"] == shown.occasion
    kept = ana.book.refresh()[before:]
    assert [(entry.what, entry.occasion) for entry in kept][-1] == ("attempt", shown.occasion)
    assert [row["done"] for row in card.page["round"]] == [True, False, False, False, False]
    again = FirstPage(work=ana)
    assert again.today().page["round"] == card.page["round"]
    assert again.round().children[0].shown["verdict"] == "right"


def test_a_question_that_another_page_moved_on_is_not_marked_against_the_old_one(ana: Session, page: Any):
    first = FirstPage(work=ana)
    task = next(one for one in first.round().children if one.form["variant"] > 1)
    old = ana.fresh(task.exercise)
    ana.next_variant(task.exercise)
    before = len([entry for entry in ana.book.refresh() if entry.what == "attempt"])
    page.send(task, "check", answer=old.question.answer)
    assert "moved this task on" in task.shown["error"]
    assert task.form["variant"] == ana.current(task.exercise).occasion
    assert len([entry for entry in ana.book.refresh() if entry.what == "attempt"]) == before


def test_when_the_round_is_done_five_more_can_be_had(ana: Session, page: Any):
    first = FirstPage(work=ana)
    card = first.today()
    for task in first.round().children:
        page.send(task, "check", answer=ana.fresh(task.exercise).question.answer)
    assert all(row["done"] for row in card.page["round"]) and card.page["minutes"] == 0
    old = first.round().children
    page.send(card, "more")
    assert card.page["round"] and not any(row["done"] for row in card.page["round"])
    assert [task.exercise for task in first._tasks.children] == [
        row["exercise"] for row in card.page["round"]
    ]
    assert all(task.comm is None for task in old)


def test_handing_in_is_one_button(ana: Session, page: Any):
    card = FirstPage(work=ana).today()
    page.send(card, "hand in")
    assert card.page["handed"][0].startswith("Handed in: 12 entries") and not card.page["wrong"]
    (file,) = places.handed_in_folder().glob("*.book")
    assert read(file).hashes == ana.book.reading.hashes
    card.look()
    assert card.page["handed"][0].startswith("Handed in")
    file.write_text("something else")
    page.send(card, "hand in")
    assert card.page["wrong"] and "something else" in card.page["handed"][0]


def test_nobody_is_not_recorded_and_hands_nothing_in(page: Any):
    first = FirstPage()
    card = first.today()
    page.send(card, "hand in")
    assert not card.page["recorded"] and card.page["handed"] == [] and card.page["round"] == []
    assert not places.handed_in_folder().exists()
