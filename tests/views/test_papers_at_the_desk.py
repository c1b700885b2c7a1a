"""Test papers as forms: from the plan to a signed result and another paper; each bad input is one line."""

from __future__ import annotations

import base64
from datetime import time

import pytest

from kit.exercises.catalogue import Catalogue
from kit.files.paper_plan import PaperPlan, plan_in, plan_text
from kit.records.competence import papers
from kit.records.competence.sat_answers import sat_answers
from kit.records.competence.typed_answers import raw_answer
from kit.records.upkeep.whole_check import check_all
from kit.views.tutor.paper_blocks import paper_blocks
from tests.cli.test_paper import as_typed
from tests.views.test_manager_desk import send
from tests.views.test_tutor_desk import at_desk, blocks, text

__all__ = ["at_desk"]
PLAN = plan_text(PaperPlan(1, {"COK-K01": 1, "COK-K02": 1}, 20)).encode()
WHO = "Niamh Shevlin"


@pytest.fixture
def seat(at_desk):
    one = at_desk("Osric Vane")
    one.part = one.desk.numbers()
    return one


def open_form(seat, form, **more):
    seat.ask(seat.panel.head, do="close")
    seat.ask(seat.part, do="form", form=form, **more)


def draw(seat, names=WHO, extra="", plan=PLAN):
    open_form(seat, "draw paper")
    send(seat.panel.fields["plan"], "plan.toml", plan)
    seat.fill(names=names, extra=extra)


def drawn(seat):
    draw(seat)
    assert "Recorded as act" in seat.sign()
    with seat.records.reading() as connection:
        return list(papers.papers(connection))[-1][0]


def download(seat):
    (made,) = blocks(seat.panel.result, "download")
    return made["name"], base64.b64decode(made["data"])


def test_a_plan_is_made_and_taken_along_and_nothing_is_recorded(seat):
    before = seat.head()
    open_form(seat, "plan paper")
    seat.press(seat.panel.look)
    assert "the steps: none is chosen" in text(seat.panel.result)
    seat.fill(**{"step cook": True, "minutes": "45", "cut": "85"})
    seat.press(seat.panel.look)
    assert "45 min, cut 85 %" in text(seat.panel.preview) and "All of those must be right" in text(
        seat.panel.preview
    )
    seat.press(seat.panel.sign)
    name, data = download(seat)
    made = plan_in(data, name, Catalogue())
    assert (made.minutes, made.cut_pct) == (45, 85.0) and seat.head() == before
    assert not seat.panel.touched  # the form has closed


@pytest.mark.parametrize(
    ("names", "extra", "plan", "said"),
    [
        ("", "", PLAN, "nobody is named"),
        ("Nobody Such", "", PLAN, "Nobody Such"),
        (WHO, WHO, PLAN, "names no minutes"),
        (WHO, "Linh Pham=10", PLAN, "Linh Pham gets no paper"),
        (WHO, "", b"minutes = ", "plan.toml"),
        (WHO, "", b"x" * 70_000, "plan.toml"),
    ],
)
def test_a_bad_draw_is_one_line_and_records_nothing(seat, names, extra, plan, said):
    before = seat.head()
    draw(seat, names, extra, plan)
    seat.press(seat.panel.look)
    assert said in text(seat.panel.result) and seat.panel.proposal is None and seat.head() == before


def test_drawn_printed_marked_and_signed_at_the_desk(seat):
    paper = drawn(seat)
    assert paper.id in text(seat.panel.result) and paper.id in text(seat.part)
    for what, ending in (("paper", ".pdf"), ("sheet", "_marking_sheet.pdf"), ("aloud", ".txt")):
        open_form(seat, "print paper", paper=paper.id)
        seat.fill(what=what)
        seat.press(seat.panel.look)
        seat.press(seat.panel.sign)
        name, data = download(seat)
        assert name == f"{paper.id}{ending}" and (data[:4] == b"%PDF" or b"Task 1." in data)
    questions = papers.questions_of(paper, Catalogue())
    open_form(seat, "mark paper", paper=paper.id)
    seat.press(seat.panel.look)
    assert "the time: when it started or was handed in is not typed" in text(seat.panel.result)
    right = {f"answer {place}": as_typed(each) for place, each in enumerate(questions, 1)}
    for place, each in enumerate(questions, 1):
        assert Catalogue().mark(each, raw_answer(each, right[f"answer {place}"])).score == each.of
    seat.fill(started=time(9, 0), ended=time(9, 55), **right)
    seat.press(seat.panel.look)
    assert "took 55 min; 20 min were agreed" in text(seat.panel.result)
    seat.fill(ended=time(9, 15))
    seat.press(seat.panel.look)
    assert '["Result", "passed"]' in text(seat.panel.preview)
    before = seat.head()
    said = seat.sign()
    assert "declare" in said and seat.head() == before  # their own work was not declared: nothing is recorded
    seat.fill(declared=True)
    assert "Recorded as act" in seat.sign()
    assert paper.id not in text(seat.part) and check_all(seat.records, Catalogue()).whole
    with seat.records.reading() as connection:
        told = [one for one in sat_answers(connection, Catalogue()) if one.paper == paper.id]
    assert [(one.person, one.exercise, one.right, one.slip) for one in told] == [
        (paper.person, task.exercise, True, "") for task in paper.tasks
    ]


def test_half_typed_answers_say_what_is_missing_and_another_paper_waits_a_day(seat):
    paper = drawn(seat)
    open_form(seat, "mark paper", paper=paper.id)
    seat.fill(started=time(23, 50), ended=time(0, 5), declared=True)
    seat.press(seat.panel.look)
    shown = text(seat.panel.preview)
    assert '["Not answered", "1, 2"]' in shown and "not passed: from 80 % of the points on" in shown
    seat.sign()
    assert "Another paper" in text(seat.part)
    open_form(seat, "resit paper", paper=paper.id)
    before = seat.head()
    assert "Another paper may be drawn from" in seat.sign() and seat.head() == before


def test_a_paper_marked_meanwhile_by_somebody_else_is_one_line(seat, at_desk):
    paper = drawn(seat)
    other = at_desk("Osric Vane")
    other.part = other.desk.numbers()
    for one in (seat, other):
        open_form(one, "mark paper", paper=paper.id)
        one.fill(started=time(9, 0), ended=time(9, 15), declared=True)
        one.press(one.panel.look)
    assert "Recorded as act" in seat.sign()
    before = seat.head()
    assert "was marked before" in other.sign() and seat.head() == before


def test_who_draws_no_papers_sees_none(at_desk):
    manager, verifier = at_desk("Hedda Quill"), at_desk("Ines Roald")
    assert paper_blocks(manager.records, frozenset({"manager"})) == []
    assert "Test papers" not in text(verifier.desk.numbers())
