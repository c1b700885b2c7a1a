"""Tasks of every kind in a real page: wrong, its own feedback, right, reload, still there; and bad days."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from playwright.sync_api import Page, expect

KINDS = ("number", "one", "several", "order", "match", "places", "chart", "controls", "recommend", "explain")


def card(page: Page, kind: str) -> Any:
    return page.locator(f"[data-exercise=stage-{kind}]")


def verdict(page: Page, kind: str) -> Any:
    return card(page, kind).locator("[role=status].sk-verdict")


def check(page: Page, kind: str) -> Any:
    """Press Check, wait for the reply to this very press, and return the verdict."""
    before = verdict(page, kind).get_attribute("data-serial")
    card(page, kind).locator("button[type=submit]").click()
    expect(verdict(page, kind)).not_to_have_attribute("data-serial", before or "")
    return verdict(page, kind)


def mark_place(page: Page, x: float, y: float) -> None:
    board = card(page, "places").locator(".sk-board")
    board.scroll_into_view_if_needed()
    box = board.bounding_box()
    board.click(position={"x": box["width"] * x, "y": box["height"] * y})


def line(page: Page, text: str) -> Any:
    return card(page, "match").locator(".sk-line", has_text=text)


def join(page: Page, text: str, partner: str) -> None:
    """Tap a line, then its partner, as a reader would."""
    line(page, text).click()
    card(page, "match").locator(".sk-partner", has_text=partner).click()


def order_by_buttons(page: Page, wanted: tuple[str, ...]) -> None:
    """Bring steps into an order with the up buttons, as a reader would."""
    for place, text in enumerate(wanted):
        while card(page, "order").locator("li .sk-step").all_inner_texts()[place] != text:
            card(page, "order").get_by_role("button", name=f"Move up: {text}").click()


def answer_wrong(page: Page) -> dict[str, str]:
    """Give a wrong answer of every kind; return what its feedback must say."""
    card(page, "number").locator("input").fill("0,001 kg")
    card(page, "one").get_by_label("The colour of the skin").check()
    card(page, "several").get_by_label("A hotter cabinet").check()
    order_by_buttons(page, ("Chill", "Cure", "Dry to a pellicle", "Cook to the core"))
    join(page, "Thickest part", "Cabinet temperature")
    join(page, "Air beside the rack", "Core temperature")
    mark_place(page, 0.9, 0.5)
    card(page, "chart").locator("input").fill("55")
    card(page, "recommend").get_by_label("Fit to go on").check()
    card(page, "recommend").get_by_label("Because").select_option("b")
    return {kind: f"SLIP-{kind.upper()}" for kind in KINDS[1:-1]}


def answer_right(page: Page) -> None:
    text = card(page, "number").locator(".sk-prose").first.inner_text().replace("\u00a0", " ")
    percent = float(text.split("asks for ")[1].split(" %")[0])
    card(page, "number").locator("input").fill(f"{percent * 10:g}")
    card(page, "one").get_by_label("A probe in the thickest part").check()
    card(page, "several").get_by_label("A hotter cabinet").uncheck()
    for text in ("A thicker piece", "A wet surface", "A colder start"):
        card(page, "several").get_by_label(text).check()
    order_by_buttons(page, ("Cure", "Dry to a pellicle", "Cook to the core", "Chill"))
    join(page, "Thickest part", "Core temperature")
    join(page, "Air beside the rack", "Cabinet temperature")
    mark_place(page, 0.45, 0.5)
    card(page, "chart").locator("input").fill("30,5 °C")
    card(page, "controls").get_by_label("Cabinet temperature, in °C").fill("80")
    card(page, "recommend").get_by_label("Hold and report").check()
    card(page, "recommend").get_by_label("Because").select_option("a")


def test_every_kind_wrong_then_right_then_reopened(stage: Any, page_of: Callable[..., Page]):
    address = stage.notebook(*[f"lesson.task('stage-{kind}')" for kind in KINDS])
    page = page_of(address)
    source = page.content()
    for secret in ("SLIP-", "HINT-", "WORKED-", "0.437", "rel_tol"):
        assert secret not in source

    says = answer_wrong(page)
    for kind in KINDS[:-1]:
        expect(check(page, kind)).to_contain_text(says.get(kind, re.compile("Not yet|Partly")))
        expect(verdict(page, kind)).to_contain_text(re.compile("✗|◐"))
        expect(verdict(page, kind)).not_to_contain_text(re.compile(r"\d of 1\b|\bpoint"))
    expect(verdict(page, "number")).to_contain_text("Read as 0.001 kg, that is 1 g")

    answer_right(page)
    for kind in KINDS[:-1]:
        expect(check(page, kind)).to_contain_text("✓")
        expect(verdict(page, kind)).to_contain_text("Right")
    card(page, "explain").get_by_label("In your own words").fill("Water cools the face.")
    card(page, "explain").locator("button[type=submit]").click()
    expect(card(page, "explain")).to_contain_text("the word “heat”; sentences: 1 of 2")
    assert stage.entries("stage-explain") == []
    card(page, "explain").get_by_label("In your own words").fill("Water takes heat away.")
    card(page, "explain").locator("button[type=submit]").click()
    expect(card(page, "explain")).to_contain_text("sentences: 1 of 2")
    expect(check(page, "explain")).to_contain_text("Kept for your tutor")
    expect(page.locator(".sk-progress summary")).to_contain_text("10 of 10")

    page.goto(address)
    page.locator("[data-kit-ran]").wait_for(state="attached")
    for kind in KINDS[:-1]:
        expect(verdict(page, kind)).to_contain_text("Right")
        expect(verdict(page, kind)).to_contain_text("from last time")
        expect(verdict(page, kind)).to_have_attribute("data-tries", "2")
    expect(card(page, "number").locator("input")).not_to_have_value("")
    expect(card(page, "one").get_by_label("A probe in the thickest part")).to_be_checked()
    expect(line(page, "Thickest part")).to_have_accessible_name(re.compile("joined to: Core temperature"))
    expect(card(page, "match").locator(".sk-thread")).to_have_count(2)
    expect(card(page, "places").locator(".sk-board .sk-mark")).to_have_count(1)
    expect(card(page, "controls").get_by_label("Cabinet temperature, in °C")).to_have_value("80")
    expect(card(page, "explain").locator("textarea")).to_have_value("Water takes heat away.")
    assert card(page, "order").locator("li .sk-step").first.inner_text() == "Cure"


def test_hints_dispute_worked_answer_and_another_variant(stage: Any, page_of: Callable[..., Page]):
    page = page_of(stage.notebook("lesson.task('stage-number')", "lesson.task('stage-one')"))
    box = card(page, "number")
    box.locator("button[data-do=variant]").click()
    box.locator("button[data-do=hint]").click()
    expect(box.locator(".sk-hint")).to_have_count(1)
    expect(box).not_to_contain_text("HINT-TWO")
    box.locator("input").fill("3")
    check(page, "number")
    expect(box.locator("[data-do=variant]")).to_have_count(0)
    box.locator("input").fill("4")
    expect(box).to_contain_text("The mark is for your earlier one")
    for answer in ("4", "5"):
        box.locator("input").fill(answer)
        check(page, "number")
    box.locator("[data-do=worked]").click()
    expect(box.locator(".sk-worked")).to_contain_text("WORKED-NUMBER")

    box.get_by_role("button", name="I dispute this mark").click()
    box.get_by_label("What do you think is wrong").fill("The card says 5 g.")
    box.get_by_role("button", name="Send to my tutor").click()
    expect(box).to_contain_text("You disputed this mark")
    assert stage.entries("stage-number")[-1].text == "The card says 5 g."

    before = box.locator(".sk-prose").first.inner_text()
    box.locator("[data-do=variant]").click()
    expect(box).to_contain_text(re.compile("variant [3-9]"))  # one that asks nothing new is passed over
    expect(box.locator("input")).to_have_value("")
    expect(box).not_to_contain_text("WORKED-NUMBER")
    assert verdict(page, "number").inner_text() == ""
    assert box.locator(".sk-prose").first.inner_text() != before


def test_the_picture_shows_the_right_place_after_the_third_try(stage: Any, page_of: Callable[..., Page]):
    page = page_of(stage.notebook("lesson.task('stage-places')"))
    card(page, "places").scroll_into_view_if_needed()
    if card(page, "places").locator("button[data-do=variant]").count():  # tried before on this stage
        card(page, "places").locator("button[data-do=variant]").click()
        expect(card(page, "places").locator(".sk-mark")).to_have_count(0)
    zone = card(page, "places").locator(".sk-help .sk-zone")
    for x in (0.9, 0.8, 0.85):
        expect(zone).to_have_count(0)
        mark_place(page, x, 0.5)
        check(page, "places")
    expect(zone).to_have_count(1)
    expect(card(page, "places").locator(".sk-help")).to_contain_text("The right place: thick")
    share = page.evaluate(
        "() => { const [z, f] = ['.sk-zone', '.sk-help .sk-frame'].map(q => document.querySelector(q))"
        ".map(node => node.getBoundingClientRect()); return (z.left + z.width / 2 - f.left) / f.width; }"
    )
    assert abs(share - 0.437) < 0.01


def test_keyboard_alone_is_enough_and_no_key_reaches_the_notebook(stage: Any, page_of: Callable[..., Page]):
    kinds = ("one", "order", "places", "several")
    page = page_of(stage.notebook(*[f"lesson.task('stage-{kind}')" for kind in kinds]))
    cells = page.locator(".jp-Cell").count()
    page.locator(".sk-banner summary").focus()
    seen, moved = [], False
    for _ in range(60):
        page.keyboard.press("Tab")
        where = page.evaluate(
            "() => { const e = document.activeElement, c = e.closest('[data-exercise]');"
            " const what = e.matches('.sk-grip') ? 'grip' : e.type || e.className;"
            " return c ? [c.dataset.exercise, what] : null; }"
        )
        if where and where not in seen:
            seen.append(where)
        if where == ["stage-one", "radio"]:
            page.keyboard.press("ArrowDown")
            page.keyboard.press("ArrowUp")  # back on the first: choosing has not submitted
            for key in ("d", "d", "a", "b", "m", "x"):
                page.keyboard.press(key)
            assert verdict(page, "one").get_attribute("data-serial") == seen_serial(page, "one")
            page.keyboard.press("Enter")
        elif where == ["stage-order", "grip"] and not moved:
            order_by_keys(page)
            moved = True
        elif where and where[1] == "sk-board":
            page.keyboard.press("Shift+ArrowLeft")
            page.keyboard.press("Enter")
        elif where == ["stage-several", "checkbox"]:
            page.keyboard.press("Space")
            page.keyboard.press("Enter")
            break
    assert next(exercise for exercise, _ in seen) == "stage-one"
    order = list(dict.fromkeys(exercise for exercise, _ in seen))
    assert order == ["stage-one", "stage-order", "stage-places", "stage-several"]
    expect(card(page, "places").locator(".sk-board .sk-mark")).to_have_count(1)
    expect(verdict(page, "one")).to_contain_text("Right")
    expect(verdict(page, "several")).to_contain_text(" of 3")
    assert page.locator(".jp-Cell").count() == cells
    assert page.locator(".jp-MarkdownCell textarea, .jp-MarkdownCell .cm-content:visible").count() == 0


def seen_serial(page: Page, kind: str) -> str:
    return page.evaluate(f"document.querySelector('[data-exercise=stage-{kind}] .sk-verdict').dataset.serial")


def order_by_keys(page: Page) -> None:
    first = card(page, "order").locator("li .sk-step").first.inner_text()
    page.keyboard.press("ArrowDown")
    expect(card(page, "order").locator("li .sk-step").nth(1)).to_have_text(first)
    expect(card(page, "order").locator("[aria-live]").first).to_contain_text("now 2 of 4")
    for _ in range(12):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.type") == "submit":
            return


def test_threads_are_joined_cut_and_moved_by_tap_and_by_key(stage: Any, page_of: Callable[..., Page]):
    page = page_of(stage.notebook("lesson.task('stage-match')"), width=390, height=844)
    threads = card(page, "match").locator(".sk-thread")
    partner = card(page, "match").locator(".sk-partner")
    for each in card(page, "match").locator(".sk-line").all():  # whatever an earlier answer left
        each.focus()
        page.keyboard.press("Backspace")
    card(page, "match").locator("button[type=submit]").click()
    expect(card(page, "match")).to_contain_text("0 of 2 joined")
    join(page, "Thickest part", "Wet bulb")
    expect(threads).to_have_count(1)
    expect(partner.nth(2)).to_have_accessible_name(re.compile("joined to line 1"))
    join(page, "Thickest part", "Core temperature")  # a line has one thread: it moves
    expect(threads).to_have_count(1)
    join(page, "Air beside the rack", "Core temperature")  # a partner may hold several
    expect(threads).to_have_count(2)
    join(page, "Air beside the rack", "Core temperature")
    expect(threads).to_have_count(1)
    ends = page.evaluate(
        "() => { const box = document.querySelector('.sk-thread').getBoundingClientRect();"
        " const [a, b] = ['.sk-line', '.sk-partner'].map(q => document.querySelector(q))"
        ".map(node => node.getBoundingClientRect());"
        " return [box.left - a.right, box.right - b.left]; }"
    )
    assert all(abs(gap) < 3 for gap in ends)  # from knot to knot

    page.keyboard.press("Escape")
    line(page, "Air beside the rack").focus()
    page.keyboard.press("Enter")
    expect(partner.first).to_be_focused()
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Space")
    expect(threads).to_have_count(2)
    page.keyboard.press("Backspace")
    expect(threads).to_have_count(1)
    expect(line(page, "Air beside the rack")).to_have_accessible_name(re.compile("no partner yet"))
    page.keyboard.press("Enter")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Enter")
    expect(check(page, "match")).to_contain_text("Right")
    assert stage.entries("stage-match")[-1].answer == {"a": "a", "b": "b"}
    wide = page.evaluate("() => document.documentElement.scrollWidth - document.documentElement.clientWidth")
    assert wide <= 0


def test_a_step_is_dragged_by_mouse_and_by_finger_and_put_back(stage: Any, page_of: Callable[..., Page]):
    page = page_of(stage.notebook("lesson.task('stage-order')"))
    steps = card(page, "order").locator("li .sk-step")
    order_by_buttons(page, ("Cook to the core", "Cure", "Chill", "Dry to a pellicle"))
    drag(page, 0, 2)
    expect(steps).to_have_text(["Cure", "Chill", "Cook to the core", "Dry to a pellicle"])
    drag(page, 2, 0, drop=False)
    expect(steps.first).to_have_text("Cook to the core")
    page.keyboard.press("Escape")
    page.mouse.up()
    expect(steps).to_have_text(["Cure", "Chill", "Cook to the core", "Dry to a pellicle"])
    finger_drag(page, 3, 1)
    expect(steps).to_have_text(["Cure", "Dry to a pellicle", "Chill", "Cook to the core"])
    card(page, "order").get_by_role("button", name="Chill. Arrow keys move it").focus()
    page.keyboard.press("End")
    expect(steps).to_have_text(["Cure", "Dry to a pellicle", "Cook to the core", "Chill"])
    expect(check(page, "order")).to_contain_text("Right")


def grip_at(page: Page, place: int) -> tuple[float, float]:
    grip = card(page, "order").locator(".sk-grip").nth(place)
    grip.scroll_into_view_if_needed()
    box = grip.bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def drag(page: Page, place: int, to: int, *, drop: bool = True) -> None:
    (x, y), (_, end) = grip_at(page, place), grip_at(page, to)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x, end + (12 if end > y else -12), steps=8)
    if drop:
        page.mouse.up()


def finger_drag(page: Page, place: int, to: int) -> None:
    (x, y), (_, end) = grip_at(page, place), grip_at(page, to)
    touch = page.context.new_cdp_session(page)
    points = [y + (end - 12 - y) * step / 8 for step in range(9)]
    for n, at in enumerate(points):
        kind = "touchMove" if n else "touchStart"
        touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": x, "y": at}]})
    touch.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})


def test_a_busy_engine_never_marks_an_earlier_answer(stage: Any, page_of: Callable[..., Page]):
    (stage.person.lessons / "slow.txt").write_text("0.25")
    try:
        page = page_of(stage.notebook("lesson.explore('stage-curve')", "lesson.task('stage-chart')"))
        page.locator(".sk-predict input").first.check()
        page.get_by_role("button", name="Show me").click()
        expect(page.locator(".sk-explorer .sk-svg")).to_be_visible()
        for turn in range(4):
            page.locator(".sk-explorer input[type=range]").first.fill(str(12 + turn))  # a slow picture first
            wrong, right = ("55", "30") if turn % 2 else ("30", "55")
            card(page, "chart").locator("input").fill(wrong)
            card(page, "chart").locator("button[type=submit]").click()
            card(page, "chart").locator("input").fill(right)
            card(page, "chart").locator("button[type=submit]").click()
            page.wait_for_function("document.querySelector('.sk-task-box').dataset.state === 'shown'")
            at_once = verdict(page, "chart").inner_text()
            assert ("Right" if right == "30" else "SLIP-CHART") in at_once
    finally:
        (stage.person.lessons / "slow.txt").unlink()


def test_an_engine_that_dies_is_said_and_the_page_comes_back(stage: Any, page_of: Callable[..., Page]):
    page = page_of(stage.notebook("lesson.task('stage-match')"))
    join(page, "Thickest part", "Cabinet temperature")
    join(page, "Air beside the rack", "Core temperature")
    check(page, "match")
    page.evaluate(
        "() => { window.jupyterapp.shell.currentWidget.sessionContext.session.kernel"
        ".requestExecute({code: 'import os; os._exit(1)'}); }"
    )
    expect(page.locator("#kit-notice")).to_contain_text("stopped")
    expect(page.locator("#kit-notice")).to_have_text("", timeout=60_000)
    page.locator("[data-kit-ran='2']").wait_for(state="attached")
    expect(verdict(page, "match")).to_contain_text("from last time")
    join(page, "Thickest part", "Core temperature")
    join(page, "Air beside the rack", "Cabinet temperature")
    expect(check(page, "match")).to_contain_text("Right")
