"""The whole batch in the browser: one batch from the order to the end, by the keyboard alone."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from playwright.sync_api import Page, expect

from kit.exercises.lesson_08.batch_plan import FORECASTS
from kit.exercises.lesson_08.batch_run import draw_batch
from kit.exercises.lesson_08.batch_story import STAGES

SEED = next(seed for seed in range(4000) if draw_batch(seed).wrong == ("warm store",))


def tab_to(page: Page, selector: str) -> None:
    """Press Tab until the focus is there: whatever cannot be reached so fails the test."""
    for _ in range(60):
        if page.evaluate("(wanted) => document.activeElement?.matches(wanted)", selector):
            return
        page.keyboard.press("Tab")
    raise AssertionError(f"Tab never reached {selector}")


def fill(page: Page, label: str, value: float) -> None:
    tab_to(page, f'.sk-batch input[aria-label="{label}"]')
    page.keyboard.press("Control+A")
    page.keyboard.type(f"{value:g}")


def pick(page: Page, name: str) -> None:
    """Pick a radio button by its value: Tab into its group, then the arrow keys."""
    group = page.evaluate(
        "(value) => document.querySelector(`.sk-batch input[value='${value}']`).name",
        name,
    )
    tab_to(page, f'.sk-batch input[name="{group}"]')
    page.keyboard.press("Space")
    for _ in range(6):
        if page.evaluate("(value) => document.activeElement.value === value", name):
            return
        page.keyboard.press("ArrowDown")
    raise AssertionError(f"the arrow keys never reached {name}")


def decide(page: Page, decision: str, reason: str, remedy: str = "") -> None:
    pick(page, decision)
    if remedy:
        pick(page, remedy)
    tab_to(page, ".sk-batch select")
    page.keyboard.type(reason)
    tab_to(page, ".sk-batch [data-step=decide], .sk-batch [data-step=recommend]")
    page.keyboard.press("Enter")


def test_one_batch_to_its_end_by_keyboard(stage: Any, page_of: Callable[..., Page]):
    page = page_of(stage.notebook(f"lesson.batch({SEED})"))
    card, batch = page.locator(".sk-batch"), draw_batch(SEED)
    meant = batch.meant
    own = {
        "order_kg": round(2 * batch.shop_kg / 0.8 + 0.49) / 2,  # up to the next half kilo
        "speed_m_s": meant.draught.speed_m_s,
        "life_days": batch.life_days,
        "pack": batch.pack,
        "lab": "sent",
    }
    expect(card).to_contain_text("The same number gives the same batch again.")
    card.locator("[data-step=begin]").focus()
    page.keyboard.press("Enter")
    expect(card.locator(".sk-batch-title")).to_have_text("Plan first")
    for dial, said in zip(FORECASTS, (3, 80, 2, 90), strict=True):
        fill(page, f"{dial.label}, in {dial.unit}", said)
    tab_to(page, ".sk-batch [data-step=plan]")
    page.keyboard.press("Enter")
    for place, each in enumerate(STAGES, start=1):
        expect(card.locator(".sk-batch-title")).to_have_text(f"Stage {place} of 7: {each.title}")
        expect(card.locator(".sk-batch-title")).to_be_focused()
        for dial in each.dials:
            value = own.get(dial.key, getattr(meant, dial.key, None))
            if dial.options:
                pick(page, str(value))
            else:
                fill(page, f"{dial.label}, in {dial.unit}", float(value or 0))
        tab_to(page, ".sk-batch [data-step=set]")
        page.keyboard.press("Enter")
        expect(card).to_contain_text("The evidence")
        expect(card.locator(".sk-batch-title")).to_be_focused()
        if each.key == "pack":
            expect(card).to_contain_text("Warmest air in the store: 7.5 °C.")
            decide(page, "correct", "The store", "other store")
            expect(card.locator(".sk-batch-news")).to_contain_text("Move it to the other cold store")
            expect(card).to_contain_text("Warmest air in the store: 1.5 °C.")
        if each.key != "intake":
            expect(card.locator("figure [role=img]")).to_be_visible()
        decide(page, "carry on", "No limit")
    expect(card.locator(".sk-batch-title")).to_have_text("Your recommendation")
    tab_to(page, ".sk-batch [data-step=recommend]")
    page.keyboard.press("Enter")
    expect(card.get_by_role("status").last).to_have_text("Pick what you decide first.")
    assert "The cold store was warm" not in (card.text_content() or "")
    page.keyboard.press("Shift+Tab")
    pick_back = page.locator(".sk-batch input[value='go on']")
    pick_back.focus()
    decide(page, "go on", "Every limit")
    expect(card).to_contain_text("the cold store was warm")
    expect(card.locator(".sk-batch-score")).to_contain_text("25 of 25 points")
    expect(card.get_by_role("table")).to_have_count(6)
    tab_to(page, ".sk-batch [data-step=begin]")
    page.keyboard.press("Enter")
    expect(card.locator(".sk-batch-title")).to_have_text("Plan first")
    expect(card).to_contain_text(f"Batch number {SEED}")


def test_a_number_that_is_none_is_said_and_what_was_typed_stays(stage: Any, page_of: Callable[..., Page]):
    page = page_of(stage.notebook(f"lesson.batch({SEED})"), width=820)
    card = page.locator(".sk-batch")
    card.get_by_label("Batch number").fill("many")
    card.get_by_label("Batch number").press("Enter")
    expect(card.get_by_role("status").last).to_contain_text("Number of the batch")
    expect(card.get_by_label("Batch number")).to_have_value("many")
    card.get_by_label("Batch number").fill("19")
    card.locator("[data-step=begin]").click()
    expect(card).to_contain_text("Batch number 19")
    wide = page.evaluate("() => document.querySelector('.sk-batch').scrollWidth")
    assert wide <= page.evaluate("() => document.querySelector('.sk-batch').clientWidth") + 1
