"""The desk's numbers in the browser: read on a click, three widths, nothing over the edge, axe-core."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser.test_accessibility import axe, faults
from tests.browser.test_desk import OVER, SMALL, Desk, part, served

__all__ = ["axe", "served"]


@pytest.mark.parametrize("width", [1280, 820, 390])
def test_numbers_are_read_by_keyboard_and_nothing_runs_over(
    width: int, served: Desk, page_of: Callable[..., Page], axe: Any
):
    page = page_of(served.address, width=width)
    numbers = part(page, "numbers")
    numbers.get_by_role("button", name="Read the numbers").focus()
    page.keyboard.press("Enter")
    expect(numbers.get_by_role("heading", name="Questions to mend")).to_be_focused()
    expect(numbers.get_by_role("heading", name="How much do I agree with others?")).to_be_visible()
    assert page.evaluate(OVER) == [] and page.evaluate(SMALL) == []
    assert faults(page, axe) == []
    numbers.get_by_role("button", name="Judge the ten cases").click()
    expect(page.get_by_role("heading", name="Ten invented cases").last).to_be_focused()
    assert page.evaluate(OVER) == [] and page.evaluate(SMALL) == []
    assert faults(page, axe) == []
