"""The wiring of a task: messages in, what is shown out, and nothing on the page that is not earned."""

from __future__ import annotations

import json
from collections import Counter
from types import ModuleType
from typing import Any

import pytest

from kit.files import NotSaved
from kit.practice import Session, lesson_session, start
from kit.views.workbook import task as task_module
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


def task_of(exercise: str, work: Session) -> Task:
    return Task(exercise, work, number=1)


def question_of(exercise: str, work: Session) -> Any:
    return work.current(exercise).question


def page_of(task: Task) -> str:
    return json.dumps({name: value for name, value in task.get_state().items() if not name.startswith("_")})


@pytest.mark.parametrize("exercise", WRONG)
def test_a_wrong_answer_gets_the_message_of_its_own_slip(exercise: str, work: Session, page: Any):
    task, question = task_of(exercise, work), question_of(exercise, work)
    wrong = WRONG[exercise] or f"{question.slips[0].value:g}"
    shown = page.send(task, "check", answer=wrong)
    assert shown["verdict"] in ("not yet", "partly")
    assert question.slips[0].says in shown["message"]
    assert shown["answer"] == wrong
    assert shown["serial"] == "s-1"
    assert shown["read_as"]


@pytest.mark.parametrize("exercise", WRONG)
def test_the_right_answer_is_full_marks(exercise: str, work: Session, page: Any):
    task, question = task_of(exercise, work), question_of(exercise, work)
    raw = f"{question.answer:g}" if isinstance(question.answer, float) else question.answer
    shown = page.send(task, "check", answer=raw)
    assert (shown["verdict"], shown["score"]) == ("right", question.of)
    assert shown["can_variant"]


@pytest.mark.parametrize("exercise", WRONG)
def test_the_page_holds_nothing_that_gives_the_answer_away(exercise: str, work: Session):
    task, question = task_of(exercise, work), question_of(exercise, work)
    told = page_of(task)
    for secret in (*(slip.says for slip in question.slips), *question.hints, question.worked):
        assert not secret or secret not in told
    form = task.form
    assert not {"answer", "slips", "hints", "worked", "seed", "facts", "criteria"} & form.keys()
    kind = {"rel_tol", "abs_tol", "targets", "traps", "must", "never", "run"}
    assert not kind & form.keys()
    picture = form["picture"]
    assert picture is None or not {"data", "name"} & picture.keys()


def test_the_page_of_a_number_holds_no_form_of_its_answer(stage: ModuleType, nobody: Session):
    task, question = task_of("stage-number", nobody), question_of("stage-number", nobody)
    told = page_of(task)
    assert f"{question.answer:g} g" not in told
    assert f'"{question.answer:g}"' not in told


def test_hints_come_one_by_one_and_the_worked_answer_only_when_it_is_earned(work: Session, page: Any):
    task = task_of("stage-number", work)
    first = page.send(task, "hint")
    assert [hint[:8] for hint in first["hints"]] == ["HINT-ONE"]
    assert first["hints_left"] == 1
    early = page.send(task, "worked")
    assert early["worked"] == "" and "after 3 more tries" in early["error"]
    for answer in ("1", "2", "3"):
        shown = page.send(task, "check", answer=answer)
    assert shown["can_worked"] and shown["worked"] == "" and "WORKED" not in page_of(task)
    assert page.send(task, "worked")["worked"].startswith("WORKED-NUMBER")


def test_the_right_place_reaches_the_page_only_after_the_third_try(work: Session, page: Any):
    task = task_of("stage-places", work)
    for _ in range(2):
        assert page.send(task, "check", answer=[[0.9, 0.5]])["zones"] == []
    assert "0.437" not in page_of(task)
    shown = page.send(task, "check", answer=[[0.9, 0.5]])
    assert shown["zones"] == [{"name": "thick", "x": 0.437, "y": 0.5, "rx": 0.2, "ry": 0.25}]
    assert page.send(task, "variant")["zones"] == []


def test_another_variant_is_another_question_with_no_answer_in_it(work: Session, page: Any):
    task = task_of("stage-number", work)
    before = task.form
    page.send(task, "check", answer=f"{question_of('stage-number', work).answer:g}")
    shown = page.send(task, "variant")
    assert task.form["variant"] == 2
    assert (shown["verdict"], shown["answer"], shown["tries"]) == ("", None, 0)
    assert before["variant"] == 1


def test_a_dispute_reaches_the_book_with_its_words(work: Session, page: Any):
    task = task_of("stage-one", work)
    assert not page.send(task, "check", answer="b")["disputed"]
    assert page.send(task, "dispute", text="The skin was the probe.")["disputed"]
    last = work.book.refresh()[-1]
    assert (last.what, last.text, last.answer) == ("dispute", "The skin was the probe.", "b")


def test_an_explanation_is_kept_and_not_marked(work: Session, page: Any):
    task = task_of("stage-explain", work)
    shown = page.send(task, "check", answer="Water takes heat away.")
    assert (shown["verdict"], shown["can_dispute"]) == ("kept", False)
    assert task_of("stage-explain", work).shown["answer"] == "Water takes heat away."


def test_a_reopened_lesson_shows_the_last_answer_and_its_outcome(work: Session, page: Any):
    page.send(task_of("stage-one", work), "check", answer="b")
    again = task_of("stage-one", work).shown
    assert (again["answer"], again["verdict"], again["restored"], again["tries"]) == ("b", "not yet", True, 1)
    assert again["message"].startswith("SLIP-ONE")


@pytest.mark.parametrize("raw", ["", "1,250", "NaN", True, None, [], {"x": 1}, "9" * 100_000, float("inf")])
def test_an_answer_that_cannot_be_read_is_no_try_and_says_how_to_write_it(raw: Any, work: Session, page: Any):
    shown = page.send(task_of("stage-number", work), "check", answer=raw)
    assert shown["verdict"] == "not read"
    assert shown["tries"] == 0
    assert shown["message"]
    assert len(json.dumps(shown)) < 50_000
    assert work.book.refresh() == ()


def test_the_echo_says_how_the_number_was_read(work: Session, page: Any):
    shown = page.send(task_of("stage-number", work), "check", answer="0,4 kg")
    assert "0.4 kg" in shown["read_as"] and "400 g" in shown["read_as"]


def test_a_full_disk_is_said_and_no_mark_is_given(work: Session, page: Any, monkeypatch: pytest.MonkeyPatch):
    task = task_of("stage-one", work)

    def full(*_: Any, **__: Any) -> None:
        raise NotSaved("The disk is full", "Make room, then check again.")

    monkeypatch.setattr(work.book, "append", full)
    shown = page.send(task, "check", answer="a")
    assert "disk is full" in shown["error"]
    assert (shown["verdict"], shown["serial"]) == ("", "s-1")


def test_a_fault_of_ours_reaches_the_page_as_words(
    work: Session, page: Any, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
):
    task = task_of("stage-one", work)
    monkeypatch.setattr(work, "check", lambda *_: 1 / 0)
    shown = page.send(task, "check", answer="a")
    assert "has a fault" in shown["error"] and shown["serial"] == "s-1"
    assert "ZeroDivisionError" in caplog.text


@pytest.mark.parametrize("content", ["check", None, {}, {"do": "open sesame"}, {"do": ["check"]}])
def test_a_message_that_makes_no_sense_changes_nothing(content: Any, work: Session):
    task = task_of("stage-one", work)
    before = dict(task.shown)
    task._hear(task, content, [])
    assert task.shown == before


def test_nobody_at_work_is_said_on_every_task(nobody: Session, page: Any):
    shown = page.send(task_of("stage-one", nobody), "check", answer="b")
    assert shown["not_recorded"].startswith("Not recorded")
    assert shown["message"].startswith("SLIP-ONE")


def test_a_saved_page_that_was_not_run_says_what_stands_there(work: Session):
    assert repr(task_of("stage-one", work)) == "Task 1: Knowing the core. Run the lesson to work on it."


@pytest.mark.parametrize(
    ("what", "more", "draws"),
    [
        ("hint", {}, 1),
        ("check", {"answer": "1"}, 1),
        ("check", {"answer": "?"}, 1),
        ("dispute", {"text": "No."}, 1),
        ("variant", {}, 2),
    ],
)
def test_a_click_works_the_task_out_once(
    what: str, more: dict[str, str], draws: int, work: Session, page: Any, monkeypatch: pytest.MonkeyPatch
):
    """One look at the book, one question drawn (two where another variant opens), at most one marking."""
    task = task_of("stage-number", work)
    page.send(task, "check", answer="2")
    calls: Counter[str] = Counter()

    def count(owner: Any, name: str) -> None:
        real = getattr(owner, name)

        def counted(*given: Any, **named: Any) -> Any:
            calls[name] += 1
            return real(*given, **named)

        monkeypatch.setattr(owner, name, counted)

    for owner, name in (
        (lesson_session, "rebuild"),
        (work.catalogue, "question"),
        (work.catalogue, "mark"),
        (task_module, "page_form"),
    ):
        count(owner, name)
    page.send(task, what, **more)
    assert calls == Counter(rebuild=1, question=draws, mark=what == "check", page_form=what == "variant")


@pytest.mark.slow
def test_the_picture_of_a_batch_is_drawn_once(page: Any, monkeypatch: pytest.MonkeyPatch):
    task, drawn = task_of("run-the-cook", start("")), []
    real = task_module.draw_picture
    monkeypatch.setattr(task_module, "draw_picture", lambda *given: drawn.append(given[0]) or real(*given))
    settings = {"cabinet_c": 70, "rh_pct": 30, "hold_min": 10}
    first = page.send(task, "check", answer=settings)["picture"]
    assert first["label"] == "What the batch did" and len(drawn) == 1
    assert page.send(task, "hint")["picture"] == page.send(task, "dispute", text="No.")["picture"] == first
    assert len(drawn) == 1
    assert page.send(task, "check", answer=None)["picture"] is None
    assert page.send(task, "dispute", text="No.")["picture"]["text"] == first["text"]
