"""A lesson's calls, its head, and the small cards."""

from __future__ import annotations

from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from kit.basics import places
from kit.basics.errors import UnknownName
from kit.files import read
from kit.practice import Session
from kit.views import Lesson
from kit.views.workbook.lesson import lessons_here


def test_the_head_always_says_who_is_working_and_under_which_rules(work: Session):
    page = Lesson(5, work=work).banner.page
    assert page["who"] == "Working: Nuala Prem"
    assert page["recorded"] is True
    assert page["lesson"].startswith("lesson 5")
    assert page["rules"].startswith("Rules in force: ") and len(page["rules"]) > 20


def test_the_head_says_not_recorded_and_why():
    page = Lesson(5).banner.page
    assert (page["who"], page["recorded"]) == ("Not recorded", False)
    assert "smokehouse open" in page["why"]


def test_progress_lists_the_tasks_of_the_page_in_order_and_follows_the_answers(work: Session, page: Any):
    lesson = Lesson(5, work=work)
    lesson.task("stage-one")
    second = lesson.task("stage-number")
    assert [row["exercise"] for row in lesson.banner.page["progress"]] == ["stage-one", "stage-number"]
    states = []
    answer = work.current("stage-number").question.answer
    for raw in ("1", f"{answer:g}"):
        page.send(second, "check", answer=raw)
        states.append(lesson.banner.page["progress"][1]["state"])
    page.send(second, "variant")
    page.send(second, "check", answer=f"{work.current('stage-number').question.answer:g}")
    states.append(lesson.banner.page["progress"][1]["state"])
    assert states == ["not yet", "right", "first"]


def test_tasks_are_numbered_in_order_and_keep_their_number(work: Session):
    lesson = Lesson(5, work=work)
    numbers = [lesson.task(name).form["number"] for name in ("stage-one", "stage-order", "stage-one")]
    assert numbers == [1, 2, 1]


def test_a_second_run_closes_the_widgets_of_the_first(work: Session):
    first = Lesson(5, work=work)
    task = first.task("stage-one")
    Lesson(5, work=work)
    assert task.comm is None and first.banner.comm is None


def test_cards_carry_what_they_show(work: Session, stage: ModuleType):
    lesson = Lesson(5, work=work)
    picture = lesson.picture("stage-fish", title="A side", fish="trout").form["picture"]
    assert picture["svg"].startswith("<svg") and "trout" in picture["text"]
    assert lesson.checklist("Before", ("x", "y")).form["items"] == ["x", "y"]


def test_the_end_says_where_somebody_stands_and_what_to_redo(work: Session, page: Any):
    lesson = Lesson(5, work=work)
    number, _ = lesson.task("stage-number"), lesson.task("stage-order")
    end = lesson.checklist("Before", ("x",))
    page.send(number, "check", answer="1")
    page.send(end, "look")
    assert [row["exercise"] for row in end.page["redo"]] == ["stage-number", "stage-order"]
    assert end.page["can"] == [] and end.page["handed"] == []
    assert all(one["left"] for one in end.page["open"])


def test_handing_in_from_the_page_writes_a_whole_copy(work: Session, page: Any, tmp_path: Path):
    lesson = Lesson(5, work=work)
    task, end = lesson.task("stage-number"), lesson.checklist("Before", ("x",))
    page.send(end, "hand in")
    assert end.page["wrong"] and "still empty" in end.page["handed"][0]
    page.send(task, "check", answer="1")
    page.send(end, "hand in")
    assert not end.page["wrong"] and end.page["handed"][0].startswith("Handed in: 1 entry, 1 of them")
    (file,) = places.handed_in_folder().glob("*.book")
    assert str(file) in end.page["handed"][1]
    assert read(file).hashes == work.book.reading.hashes
    page.send(task, "check", answer="2")
    page.send(end, "hand in")
    assert len(read(file).entries) == 2


def test_nobody_hands_in_what_is_not_recorded(page: Any):
    end = Lesson(5).checklist("Before", ("x",))
    page.send(end, "hand in")
    assert not end.page["recorded"] and end.page["handed"] == [] and not places.handed_in_folder().exists()


def test_the_next_lesson_follows_and_the_last_has_none(work: Session, monkeypatch: pytest.MonkeyPatch):
    lessons = [{"number": n, "title": f"{n} · L{n}", "file": f"0{n}_x.ipynb", "here": n == 5} for n in (5, 7)]
    monkeypatch.setattr("kit.views.workbook.lesson.lessons_here", lambda number: lessons)
    assert Lesson(5, work=work).checklist("Before", ("x",)).page["after"]["file"] == "07_x.ipynb"
    assert Lesson(7, work=work).checklist("Before", ("x",)).page["after"] == {}


def test_an_unknown_name_lists_the_known_ones(work: Session, stage: ModuleType):
    lesson = Lesson(5, work=work)
    with pytest.raises(UnknownName, match="stage-curve"):
        lesson.explore("stage-curv")
    with pytest.raises(UnknownName, match="stage-fish"):
        lesson.picture("stage-fisch")


def test_the_lessons_beside_this_one_are_listed_by_number(tmp_path: Path):
    for name in ("05_cook_by_temperature.ipynb", "02_cure_ratios.ipynb", "notes.ipynb"):
        (tmp_path / name).write_text("{}")
    rows = lessons_here(5, tmp_path)
    assert [(row["title"], row["here"]) for row in rows] == [
        ("2 · Cure ratios", False),
        ("5 · Cook by temperature", True),
    ]


def test_a_lesson_goes_by_the_title_it_gives_itself(tmp_path: Path):
    named = tmp_path / "01_fish_in_trim_and_pin_bones.ipynb"
    named.write_text('{"metadata": {"title": "Fish in, trim and pin bones"}}', encoding="utf-8")
    (row,) = lessons_here(1, tmp_path)
    assert row["title"] == "1 · Fish in, trim and pin bones"
