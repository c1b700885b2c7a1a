"""Every explorer as a reader has it: control beside picture on a laptop, in one view; words for a phone."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page

from kit.views.pictures.register import explorer_names

NAMES = [name for name in explorer_names() if not name.startswith("stage-")]
STRIP_PX = 30  # who is working, along the top
LEAST_WORD_PX = 11.5
BOXES = """(least) => [...document.querySelectorAll('.sk-explorer')].map((card) => {
  const of = (name) => { const box = card.querySelector(name).getBoundingClientRect();
    return [box.left, box.top, box.right, box.bottom].map(Math.round); };
  const words = [...card.querySelectorAll('.sk-svg text')].filter((word) => word.textContent.trim());
  const size = (word) => parseFloat(getComputedStyle(word).fontSize) * Math.hypot(word.getScreenCTM().a,
    word.getScreenCTM().b);
  return { name: card.dataset.explorer, controls: of('.sk-settings'), picture: of('.sk-frame'),
    over: card.scrollWidth - card.clientWidth,
    small: words.filter((word) => size(word) < least).map((word) => word.textContent) }; })"""


def opened(page: Page) -> dict[str, dict[str, Any]]:
    """Take every guess, wait for every picture, and return the boxes of each explorer."""
    for name in NAMES:
        card = page.locator(f"[data-explorer={name}]")
        card.scroll_into_view_if_needed()
        if card.locator(".sk-predict input").count():
            card.locator(".sk-predict input").first.check()
            card.get_by_role("button", name="Show me").click()
        card.locator(".sk-svg svg").wait_for(state="attached")
    return {each["name"]: each for each in page.evaluate(BOXES, LEAST_WORD_PX)}


@pytest.mark.slow
@pytest.mark.parametrize(("width", "height"), [(1280, 650), (820, 1180), (390, 844)])
def test_every_explorer_fits_its_page(stage: Any, page_of: Callable[..., Page], width: int, height: int):
    page = page_of(stage.notebook(*(f"lesson.explore('{name}')" for name in NAMES)), width, height)
    found = opened(page)
    assert sorted(found) == sorted(NAMES)
    faults = []
    for name, each in found.items():
        (left, top, right, bottom), (p_left, p_top, p_right, p_bottom) = each["controls"], each["picture"]
        if each["over"] > 1 or left < 0 or p_left < 0 or max(right, p_right) > width:
            faults.append(f"{name}: wider than the page")
        if each["small"] and name != "one-setting-wrong":
            faults.append(f"{name}: small words {each['small'][:4]}")
        if width < 1000:
            continue
        if right > p_left:
            faults.append(f"{name}: the controls stand over the picture, not beside it")
        if max(bottom, p_bottom) - min(top, p_top) > height - STRIP_PX:
            faults.append(f"{name}: {max(bottom, p_bottom) - min(top, p_top)} px high")
    assert faults == []
