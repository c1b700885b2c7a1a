"""A lesson's calls, its head, and the small cards."""

from __future__ import annotations

from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from kit.basics.errors import UnknownName
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
    assert lesson.predict("Why?", ["a", "b"], "Look.").form["choices"] == ["a", "b"]
    assert lesson.checklist("Before", ("x", "y")).form["items"] == ["x", "y"]


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
