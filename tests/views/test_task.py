"""The wiring of a task: messages in, what is shown out, and nothing on the page that is not earned."""

from __future__ import annotations

import json
from types import ModuleType
from typing import Any

import pytest

from kit.files import NotSaved
from kit.views.workbook.practice_desk import PracticeDesk
from kit.views.workbook.task import Task

WRONG = {
    "stage-number": None,  # a tenth of the answer: worked out in the test, as the numbers are drawn
    "stage-one": "b",
    "stage-several": ["a", "c"],
    "stage-order": ["c", "b", "d", "a"],
    "stage-match": {"a": "b", "b": "a"},
    "stage-places": [[0.9, 0.5]],
    "stage-chart": "55",
    "stage-controls": {"cabinet_c": 65, "hours": 1},
    "stage-recommend": {"decision": "go on", "reason": "b"},
}


def task_of(exercise: str, desk: PracticeDesk) -> Task:
    return Task(exercise, desk, number=1)


def question_of(exercise: str, desk: PracticeDesk) -> Any:
    return desk._session.current(exercise).question


def page_of(task: Task) -> str:
    return json.dumps({name: value for name, value in task.get_state().items() if not name.startswith("_")})


@pytest.mark.parametrize("exercise", WRONG)
def test_a_wrong_answer_gets_the_message_of_its_own_slip(exercise: str, desk: PracticeDesk, page: Any):
    task, question = task_of(exercise, desk), question_of(exercise, desk)
    wrong = WRONG[exercise] or f"{question.slips[0].value:g}"
    shown = page.send(task, "check", answer=wrong)
    assert shown["verdict"] in ("not yet", "partly")
    assert question.slips[0].says in shown["message"]
    assert shown["answer"] == wrong
    assert shown["serial"] == "s-1"
    assert shown["read_as"]


@pytest.mark.parametrize("exercise", WRONG)
def test_the_right_answer_is_full_marks(exercise: str, desk: PracticeDesk, page: Any):
    task, question = task_of(exercise, desk), question_of(exercise, desk)
    raw = f"{question.answer:g}" if isinstance(question.answer, float) else question.answer
    shown = page.send(task, "check", answer=raw)
    assert (shown["verdict"], shown["score"]) == ("right", question.of)
    assert shown["can_variant"]


@pytest.mark.parametrize("exercise", WRONG)
def test_the_page_holds_nothing_that_gives_the_answer_away(exercise: str, desk: PracticeDesk):
    task, question = task_of(exercise, desk), question_of(exercise, desk)
    told = page_of(task)
    for secret in (*(slip.says for slip in question.slips), *question.hints, question.worked):
        assert not secret or secret not in told
    form = task.form
    assert not {"answer", "slips", "hints", "worked", "seed", "facts", "criteria"} & form.keys()
    kind = {"rel_tol", "abs_tol", "targets", "traps", "must", "never", "run"}
    assert not kind & form.keys()
    picture = form["picture"]
    assert picture is None or not {"data", "name"} & picture.keys()


def test_the_page_of_a_number_holds_no_form_of_its_answer(stage: ModuleType, nobody: PracticeDesk):
    task, question = task_of("stage-number", nobody), question_of("stage-number", nobody)
    told = page_of(task)
    assert f"{question.answer:g} g" not in told
    assert f'"{question.answer:g}"' not in told


def test_hints_come_one_by_one_and_the_worked_answer_only_when_it_is_earned(desk: PracticeDesk, page: Any):
    task = task_of("stage-number", desk)
    first = page.send(task, "hint")
    assert [hint[:8] for hint in first["hints"]] == ["HINT-ONE"]
    assert first["hints_left"] == 1
    early = page.send(task, "worked")
    assert early["worked"] == "" and "after 3 more tries" in early["error"]
    for answer in ("1", "2", "3"):
        shown = page.send(task, "check", answer=answer)
    assert shown["can_worked"] and shown["worked"] == "" and "WORKED" not in page_of(task)
    assert page.send(task, "worked")["worked"].startswith("WORKED-NUMBER")


def test_another_variant_is_another_question_with_no_answer_in_it(desk: PracticeDesk, page: Any):
    task = task_of("stage-number", desk)
    before = task.form
    page.send(task, "check", answer=f"{question_of('stage-number', desk).answer:g}")
    shown = page.send(task, "variant")
    assert task.form["variant"] == 2
    assert (shown["verdict"], shown["answer"], shown["tries"]) == ("", None, 0)
    assert before["variant"] == 1


def test_a_dispute_reaches_the_book_with_its_words(desk: PracticeDesk, page: Any):
    task = task_of("stage-one", desk)
    assert not page.send(task, "check", answer="b")["disputed"]
    assert page.send(task, "dispute", text="The skin was the probe.")["disputed"]
    last = desk._session.book.refresh()[-1]
    assert (last.what, last.text, last.answer) == ("dispute", "The skin was the probe.", "b")


def test_an_explanation_is_kept_and_not_marked(desk: PracticeDesk, page: Any):
    task = task_of("stage-explain", desk)
    shown = page.send(task, "check", answer="Water takes heat away.")
    assert (shown["verdict"], shown["can_dispute"]) == ("kept", False)
    assert task_of("stage-explain", desk).shown["answer"] == "Water takes heat away."


def test_a_reopened_lesson_shows_the_last_answer_and_its_outcome(desk: PracticeDesk, page: Any):
    page.send(task_of("stage-one", desk), "check", answer="b")
    again = task_of("stage-one", desk).shown
    assert (again["answer"], again["verdict"], again["restored"], again["tries"]) == ("b", "not yet", True, 1)
    assert again["message"].startswith("SLIP-ONE")


@pytest.mark.parametrize("raw", ["", "1,250", "NaN", True, None, [], {"x": 1}, "9" * 100_000, float("inf")])
def test_an_answer_that_cannot_be_read_is_no_try_and_says_how_to_write_it(
    raw: Any, desk: PracticeDesk, page: Any
):
    shown = page.send(task_of("stage-number", desk), "check", answer=raw)
    assert shown["verdict"] == "not read"
    assert shown["tries"] == 0
    assert shown["message"]
    assert len(json.dumps(shown)) < 50_000
    assert desk._session.book.refresh() == ()


def test_the_echo_says_how_the_number_was_read(desk: PracticeDesk, page: Any):
    shown = page.send(task_of("stage-number", desk), "check", answer="0,4 kg")
    assert "0.4 kg" in shown["read_as"] and "400 g" in shown["read_as"]


def test_a_full_disk_is_said_and_no_mark_is_given(
    desk: PracticeDesk, page: Any, monkeypatch: pytest.MonkeyPatch
):
    task = task_of("stage-one", desk)

    def full(*_: Any, **__: Any) -> None:
        raise NotSaved("The disk is full", "Make room, then check again.")

    monkeypatch.setattr(desk._session.book, "append", full)
    shown = page.send(task, "check", answer="a")
    assert "disk is full" in shown["error"]
    assert (shown["verdict"], shown["serial"]) == ("", "s-1")


def test_a_fault_of_ours_reaches_the_page_as_words(
    desk: PracticeDesk, page: Any, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
):
    task = task_of("stage-one", desk)
    monkeypatch.setattr(desk._session, "check", lambda *_: 1 / 0)
    shown = page.send(task, "check", answer="a")
    assert "has a fault" in shown["error"] and shown["serial"] == "s-1"
    assert "ZeroDivisionError" in caplog.text


@pytest.mark.parametrize("content", ["check", None, {}, {"do": "open sesame"}, {"do": ["check"]}])
def test_a_message_that_makes_no_sense_changes_nothing(content: Any, desk: PracticeDesk):
    task = task_of("stage-one", desk)
    before = dict(task.shown)
    task._hear(task, content, [])
    assert task.shown == before


def test_nobody_at_work_is_said_on_every_task(nobody: PracticeDesk, page: Any):
    shown = page.send(task_of("stage-one", nobody), "check", answer="b")
    assert shown["not_recorded"].startswith("Not recorded")
    assert shown["message"].startswith("SLIP-ONE")


def test_a_saved_page_that_was_not_run_says_what_stands_there(desk: PracticeDesk):
    assert repr(task_of("stage-one", desk)) == "Task 1: Knowing the core. Run the lesson to work on it."
