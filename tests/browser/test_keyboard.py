"""A whole lesson by the keyboard alone: guess, move a slider, answer a task of every kind, hand in."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from kit import exercises
from kit.marking.draw import seed_for
from kit.marking.model import Question
from kit.practice import people, prepare
from tests.browser.answering import Keys, card_of

KINDS = {"number", "one", "several", "order", "match", "places", "chart", "controls", "recommend", "explain"}

pytestmark = pytest.mark.slow


def asked(person: people.Learner, exercise: str) -> Question:
    seed = seed_for(person.id, exercise, exercises.info(exercise).version, 1)
    return exercises.question(exercise, seed, "ie")


def test_a_whole_lesson_by_keyboard_alone(
    server: Callable[..., Any], tmp_path_factory: pytest.TempPathFactory, page_of: Callable[..., Page]
):
    home = tmp_path_factory.mktemp("home")
    person = people.create("Nuala Prem", home=home)
    prepare(person)
    book = server(person.lessons, person, home)
    page = page_of()
    page.goto(book.address("08_the_whole_batch.ipynb"))
    page.locator("[data-kit-ran]").wait_for(state="attached", timeout=120_000)
    keys = Keys(page)
    shown = page.eval_on_selector_all("[data-exercise]", "(all) => all.map((one) => one.dataset.exercise)")
    questions = [asked(person, name) for name in shown]
    assert {one.kind_name for one in questions} == KINDS
    for question in questions:
        verdict = card_of(page, question.exercise).locator("[role=status].sk-verdict")
        for_tutor = question.kind_name == "explain"
        words = f"{question.text} I say so in my own words. It is so in each batch."
        keys.answer(question, words[:900] if for_tutor else question.answer)
        if for_tutor and not verdict.get_attribute("data-serial"):
            keys.press("Enter")  # something that the prompt asks for is missing: said once, then kept
        expect(verdict).to_contain_text("Kept for your tutor" if for_tutor else re.compile("^✓ ?Right"))
    keys.tab_to(".sk-end button")
    keys.press("Enter")
    expect(page.locator(".sk-end [role=status]")).to_contain_text("Handed in")
    assert len(questions) >= 11 and keys.pressed > 200
