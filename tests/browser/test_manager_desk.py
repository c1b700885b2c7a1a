"""The manager's desk and the forms in the browser: three widths, keyboard, axe-core, a paper to save."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from kit.cli.demo.desk_story import TUTOR
from tests.browser.test_accessibility import axe, faults
from tests.browser.test_desk import OVER, SMALL, THUMB, Desk, part, served

__all__ = ["axe", "served"]


@pytest.mark.parametrize("width", [1280, 820, 390])
def test_nothing_runs_over_and_no_serious_fault(
    width: int, served: Desk, page_of: Callable[..., Page], axe: Any
):
    page = page_of(served.address, width=width)
    house = part(page, "manager")
    house.get_by_role("button", name=f"What can be done about {TUTOR}").click()
    expect(house.get_by_role("heading", name=TUTOR)).to_be_focused()
    assert page.evaluate(OVER) == [] and page.evaluate(SMALL) == []
    house.get_by_role("button", name="Take somebody on").click()
    expect(page.get_by_label("Role", exact=True).or_(page.get_by_label("apprentice")).first).to_be_visible()
    assert page.evaluate(OVER) == [] and page.evaluate(THUMB) == []
    page.get_by_role("button", name="Close this form").click()
    part(page, "person").get_by_role("button", name="Niamh Shevlin").click()
    part(page, "person").locator("summary", has_text="Cook by temperature").click()
    sheet = part(page, "person").get_by_role(
        "button", name="At the bench: Niamh Shevlin, Cook by temperature"
    )
    sheet.click()
    expect(page.get_by_role("group", name="COK-P01")).to_be_visible()
    page.get_by_role("group", name="COK-P01").get_by_label("not met", exact=True).check()
    assert page.evaluate(OVER) == [] and page.evaluate(THUMB) == []
    assert faults(page, axe) == []


def test_a_paper_is_made_and_saved_by_keyboard(served: Desk, page_of: Callable[..., Page]):
    page = page_of(served.address)
    part(page, "manager").get_by_role("button", name="An observation sheet").focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="A paper or a table")).to_be_focused()
    page.get_by_role("button", name="Show what will be recorded").focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="This will be recorded")).to_be_focused()
    page.get_by_role("button", name="Do it").focus()
    page.keyboard.press("Enter")
    link = page.get_by_role("link", name="Save sheet-")
    expect(link).to_be_visible()
    with page.expect_download() as saved:
        link.focus()
        page.keyboard.press("Enter")
    assert saved.value.path().read_bytes().startswith(b"%PDF")


def test_this_week_alone_comes_on_paper(served: Desk, page_of: Callable[..., Page]):
    page = page_of(served.address)
    expect(part(page, "today").get_by_role("heading", name="This week")).to_be_visible()
    page.emulate_media(media="print")
    expect(part(page, "today").get_by_role("heading", name="This week")).to_be_visible()
    expect(part(page, "today").locator("table button").first).to_be_visible()  # the name, as words
    for name in ("board", "manager", "person"):
        expect(part(page, name)).to_be_hidden()
    page.set_viewport_size({"width": 794, "height": 1123})  # the width of A4
    assert page.evaluate("() => document.documentElement.scrollWidth <= innerWidth")
