"""Today in the browser: a round is done, the book handed in, and the lesson goes on where it was."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from kit.marking.model import Number
from kit.practice import create, prepare, start
from kit.practice.lesson_files import TODAY_FILE, in_reading_order


@pytest.fixture(scope="module")
def ana(server: Callable[..., Any], tmp_path_factory: pytest.TempPathFactory) -> Any:
    """Somebody who did two lessons a week ago, and some tasks of them wrong."""
    home = tmp_path_factory.mktemp("home")
    person = create("Ana Lind", home=home)
    prepare(person)
    week_ago = datetime.now().astimezone() - timedelta(days=7)
    work = start(person.id, home=home, clock=lambda: week_ago)
    names = [name for name in in_reading_order(work.catalogue.ids()) if work.catalogue.info(name).lesson < 3]
    for name in names[:-3]:
        task = work.current(name)
        number = isinstance(task.question.kind, Number)
        work.check(name, task.question.slips[0].value if number else task.question.answer)
    return server(person.lessons, person, home), start(person.id, home=home)


def test_a_round_is_worked_and_handed_in_with_one_button(ana: Any, page_of: Callable[..., Page]):
    book, work = ana
    page = page_of(book.address(TODAY_FILE), width=390)
    card = page.locator(".sk-today")
    rows = card.locator(".sk-round li")
    expect(rows).to_have_count(5)
    name = next(one.exercise for one in work.today().round if _number(work, one.exercise))
    task = page.locator(f"[data-exercise={name}]")
    card.locator(f"a[href='#{name}']").click()
    expect(task.locator("input").first).to_be_focused()
    task.locator("input").first.fill(f"{work.fresh(name).question.answer:.10g}")
    task.locator("button[type=submit]").click()
    expect(task.locator("[role=status].sk-verdict")).to_contain_text("Right")
    expect(card.locator(".sk-round li[data-done=true]")).to_have_count(1)
    expect(card).to_contain_text("Your round: 4 tasks, about 8 min")
    card.get_by_role("button", name="Hand in to your tutor").click()
    expect(card.locator("[role=status]")).to_contain_text("Handed in:")
    wide = page.evaluate("() => document.documentElement.scrollWidth - document.documentElement.clientWidth")
    assert wide <= 0


def test_the_first_link_leads_to_the_very_task_and_today_is_one_click_back(
    ana: Any, page_of: Callable[..., Page]
):
    book, work = ana
    on = work.today().carry_on
    page = page_of(book.address(TODAY_FILE))
    page.locator(".sk-carry a").click()
    task = page.locator(f"[data-exercise={on.exercise}]")
    expect(task).to_be_in_viewport()
    page.locator(".sk-banner").get_by_role("link", name="Today").first.click()
    expect(page.locator(".sk-today")).to_be_visible()


def _number(work: Any, name: str) -> bool:
    return isinstance(work.fresh(name).question.kind, Number)
