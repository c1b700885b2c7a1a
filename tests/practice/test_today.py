"""Today: where somebody goes on, what they show their tutor, and how far each step is."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from kit.basics.places import lessons_folder
from kit.criteria import steps
from kit.exercises.catalogue import Catalogue
from kit.practice import create, start
from kit.practice.lesson_files import in_reading_order, lesson_files
from kit.practice.today import carry_on, today_for

BANK = Catalogue()
FIRST_DAY = date(2026, 3, 2)


@pytest.fixture
def ana(tmp_path, clock):
    person = create("Ana Lind", home=tmp_path)
    return start(person.id, home=tmp_path, clock=clock)


def test_the_reading_order_is_that_of_the_lessons():
    order = in_reading_order(BANK.ids())
    assert sorted(order) == sorted(BANK.ids())
    listed = [name for lesson in lesson_files() for name in lesson.tasks if name in BANK.ids()]
    assert list(order) == listed
    assert [one.number for one in lesson_files()] == list(range(len(lesson_files())))


def test_a_lesson_that_cannot_be_read_keeps_its_name_and_has_no_tasks(tmp_path):
    (tmp_path / "05_cook_by_temperature.ipynb").write_text("[1, 2")
    (tmp_path / "06_chill.ipynb").write_text('{"cells": 3, "metadata": {"title": "Cold"}}')
    found = lesson_files(tmp_path)
    assert [(one.title, one.tasks) for one in found] == [("5 · Cook by temperature", ()), ("6 · Cold", ())]
    assert lesson_files(tmp_path / "nowhere") == lesson_files(lessons_folder())


def test_who_is_new_starts_with_the_first_task_of_the_first_lesson(ana):
    today = ana.today()
    first = in_reading_order(BANK.ids())[0]
    assert (today.carry_on.exercise, today.carry_on.begun) == (first, False)
    assert today.round == () and today.show is None


def test_somebody_goes_on_at_the_task_that_is_not_right_and_then_at_the_next(ana):
    order = in_reading_order(BANK.ids())
    ana.check(order[0], ana.current(order[0]).question.answer)
    assert ana.today().carry_on.exercise == order[1]
    wrong = ana.current(order[1]).question.slips[0].value
    ana.check(order[1], wrong)
    on = ana.today().carry_on
    assert (on.exercise, on.begun) == (order[1], True)


def test_going_back_to_an_old_task_does_not_move_where_somebody_goes_on(ana, clock):
    order = in_reading_order(BANK.ids())
    for name in order[:3]:
        ana.check(name, ana.current(name).question.answer)
    clock.days_on(3)
    ana.next_variant(order[0])
    ana.check(order[0], ana.current(order[0]).question.answer)
    assert ana.today().carry_on.exercise == order[3]


@pytest.mark.slow
def test_who_tried_everything_has_nowhere_to_go_on(ana):
    entries = []
    for name in BANK.ids():
        ana.check(name, ana.current(name).question.answer)
    entries = ana.book.refresh()
    assert carry_on(entries, BANK) is None


def test_each_step_says_what_is_known_begun_and_for_the_tutor_to_see(ana):
    stands = {one.step: one for one in ana.today().steps}
    assert list(stands) == [step for step in steps() if step in stands]
    cook = stands["cook"]
    assert (cook.shown, cook.begun, cook.to_know) == (0, 0, 5)
    assert cook.to_be_seen == sum(
        c.step == "cook" and c.kind == "performance" for c in BANK.criteria.values()
    )
    ana.check("own-cook-missing", ana.current("own-cook-missing").question.answer)
    assert next(one for one in ana.today().steps if one.step == "cook").begun == 1


@pytest.mark.slow
def test_what_to_show_is_something_to_do_that_was_prepared_for_and_changes_with_the_days(ana):
    for name in in_reading_order(BANK.ids())[:30]:
        ana.check(name, ana.current(name).question.answer)
    entries = ana.book.refresh()
    shown = [today_for(entries, BANK, FIRST_DAY + timedelta(days=n)).show for n in range(10)]
    tried = {entry.exercise for entry in entries}
    prepared = {criterion for name in tried for criterion in BANK.info(name).prepares_for}
    assert {one.id for one in shown} <= prepared and {one.kind for one in shown} == {"performance"}
    assert len({one.id for one in shown}) > 1
