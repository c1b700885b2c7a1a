"""The bench in the browser: feel by pointer and by keys, mark, call, and see the bones afterwards."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from playwright.sync_api import Locator, Page, expect

from kit.exercises.lesson_01 import bench
from kit.marking.draw import sub_seed

SEED = 11


def bench_of(stage: Any, page_of: Callable[..., Page]) -> tuple[Page, Locator]:
    page = page_of(stage.notebook(f"lesson.bench({SEED})"))
    return page, page.locator(".sk-bench")


def bumps(page: Page, board: Locator, places: list[bench.Point]) -> list[float]:
    """Slide the pointer to each place and read what the page felt there."""
    box = board.bounding_box()
    assert box is not None
    felt = []
    for x, y in places:
        board.evaluate("node => delete node.dataset.bump")  # the next one is this place's
        page.mouse.move(box["x"] + x * box["width"], box["y"] + y * box["height"])
        expect(board).to_have_attribute("data-bump", re.compile(r"\d"))
        felt.append(float(board.get_attribute("data-bump") or 0))
    return felt


def test_a_finger_feels_marks_and_calls_and_sees_the_bones_only_then(
    stage: Any, page_of: Callable[..., Page]
):
    page, card = bench_of(stage, page_of)
    card.get_by_role("button", name="Start a run of ten").click()
    run = bench.draw_run(sub_seed(SEED, 1))
    fillet = next(each for each in run if each.bones)
    for skipped in range(run.index(fillet)):
        expect(card).to_contain_text(f"Fillet {skipped + 1} of 10")
        card.locator("[data-call=pass]").click()
    expect(card).to_contain_text(f"Fillet {run.index(fillet) + 1} of 10")
    board = card.locator(".sk-board")
    board.scroll_into_view_if_needed()
    strongest = max(fillet.bones, key=lambda each: each.height)
    over, away = bumps(page, board, [fillet.on_board(strongest), (0.98 if fillet.head_left else 0.02, 0.5)])
    assert over > away
    card.locator("[data-call=pull]").click()
    expect(card).to_contain_text("Mark where the bone is before you pull.")
    bumps(page, board, [fillet.on_board(strongest)])
    page.mouse.down()
    page.mouse.up()
    expect(board.locator(".sk-mark")).to_have_count(1)
    card.locator("[data-call=pass]").click()
    expect(card).to_contain_text("You marked a bone.")
    assert card.locator("circle").count() == 0
    card.locator("[data-call=pull]").click()
    for place in range(run.index(fillet) + 2, 11):
        expect(card).to_contain_text(f"Fillet {place} of 10")
        card.locator("[data-call=pass]").click()
    expect(card.locator(".sk-bench-plain")).to_contain_text("Go slower.")
    expect(card.get_by_text("Hits: you pulled 1 of")).to_be_hidden()
    card.get_by_text("All counts").click()
    expect(card.get_by_text("Hits: you pulled 1 of")).to_be_visible()
    expect(card).to_contain_text("Bones missed, week by week:")
    card.get_by_role("button", name="Show me the bones").click()
    expect(card.locator(".sk-bench-gallery figure")).to_have_count(10)
    expect(card).to_contain_text(f"you said pull. Bones found: 1 of {len(fillet.bones)}")


def test_the_keys_alone_will_do(stage: Any, page_of: Callable[..., Page]):
    page, card = bench_of(stage, page_of)
    card.get_by_role("button", name="Try one fillet").focus()
    page.keyboard.press("Enter")
    board = card.locator(".sk-board")
    expect(board).to_be_focused()
    for key in ("ArrowLeft", "Shift+ArrowLeft", "ArrowUp"):
        page.keyboard.press(key)
    expect(card).to_contain_text("44 % across, 48 % down: bump")
    page.keyboard.press("Enter")
    page.keyboard.press("Backspace")
    expect(board.locator(".sk-mark")).to_have_count(0)
    page.keyboard.press("Enter")
    expect(card).to_contain_text("Marked: 1 at 44 % across, 48 % down.")
    card.locator("[data-call=pull]").focus()
    page.keyboard.press("Enter")
    expect(card).to_contain_text("You said pull.")
    expect(card.locator("[data-step=try]")).to_be_focused()
