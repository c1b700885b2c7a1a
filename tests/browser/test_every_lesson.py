"""Every lesson is opened once in the browser: all cells run, one answer wrong, one right, all at home."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from kit import exercises
from kit.marking.draw import seed_for
from kit.marking.model import Number, One, Question
from kit.practice import people, prepare

LESSONS = sorted((Path(__file__).resolve().parents[2] / "lessons").glob("[0-9][0-9]_*.ipynb"))


@pytest.fixture(scope="module")
def workbook(
    server: Callable[..., Any], tmp_path_factory: pytest.TempPathFactory
) -> tuple[Any, people.Learner]:
    home = tmp_path_factory.mktemp("home")
    person = people.create("Nuala Prem", home=home)
    prepare(person)
    return server(person.lessons, person, home), person


def drawn(person: people.Learner, exercise: str) -> Question:
    seed = seed_for(person.id, exercise, exercises.info(exercise).version, 1)
    return exercises.question(exercise, seed, "ie")


def give(page: Page, question: Question, answer: Any) -> Any:
    """Answer and press Check; return the verdict."""
    card = page.locator(f"[data-exercise={question.exercise}]")
    verdict = card.locator("[role=status].sk-verdict")
    before = verdict.get_attribute("data-serial") or ""
    if isinstance(question.kind, Number):
        card.locator("input").first.fill(f"{answer:.10g}")
    else:
        assert isinstance(question.kind, One)
        texts = {option.key: option.text for option in question.kind.options}
        card.get_by_label(texts[answer], exact=True).check()
    card.locator("button[type=submit]").click()
    expect(verdict).not_to_have_attribute("data-serial", before)
    return verdict


@pytest.mark.parametrize("path", LESSONS, ids=lambda path: path.stem)
def test_a_lesson_opens_marks_and_keeps_to_itself(workbook: Any, page_of: Callable[..., Page], path: Path):
    book, person = workbook
    page = page_of(book.address(path.name))
    failed = page.evaluate(
        "() => [...window.jupyterapp.shell.currentWidget.content.model.cells].filter(c => c.type === 'code')"
        ".flatMap(c => [...Array(c.outputs.length).keys()].map(k => c.outputs.get(k)))"
        ".filter(o => o.type === 'error').map(o => o.toJSON().evalue)"
    )
    assert failed == []
    expect(page.locator(".sk-banner")).to_contain_text("Nuala Prem")
    names = exercises.ids(int(path.name[:2]))
    assert page.locator("[data-exercise]").count() >= len(names)
    question = next(
        each for each in (drawn(person, name) for name in names) if each.kind_name in ("one", "number")
    )
    slip = question.slips[0]
    expect(give(page, question, slip.value)).to_contain_text(" ".join(slip.says.split()[:4]))
    expect(give(page, question, question.answer)).to_contain_text("Right")
    wide = page.evaluate(
        "() => { window.scrollTo(0, 0); return [...document.querySelectorAll('.jp-Cell')]"
        ".filter(c => c.scrollWidth > c.clientWidth + 1).map(c => c.textContent.slice(0, 60)); }"
    )
    assert wide == []
