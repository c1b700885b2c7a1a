"""The page around the tasks: explorers, who is working, the way to the full JupyterLab, narrow screens."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from kit.practice.guesses import read_guesses

CURVE = "lesson.explore('stage-curve')"
OVER = """() => [document.documentElement, ...document.querySelectorAll('.jp-WindowedPanel-outer, .jp-Cell')]
  .filter((e) => e.scrollWidth > e.clientWidth + 1).map((e) => e.className)"""
SMALL = """() => {
  return [...document.querySelectorAll('.sk button, .sk select, .sk summary, .sk label.sk-option,'
  + '.sk textarea, .sk input:not([type=radio]):not([type=checkbox])')].filter((e) => e.offsetParent
  && touched(e) < 43.5).map((e) => e.outerHTML.slice(0, 80));

  function touched(e) {  // an ear in a line of text is small to look at, and its ::after takes the finger
    const own = e.getBoundingClientRect().height, more = getComputedStyle(e, '::after');
    const around = e.matches('.sk-hear');
    return around ? own - parseFloat(more.top) - parseFloat(more.bottom) : own;
  }
}"""

QUIET = """() => new Promise((done) => {
  let timer = setTimeout(done, 1500);
  window.addEventListener('kit-engine', () => { clearTimeout(timer); timer = setTimeout(done, 1500); });
})"""


def explorer(page: Page) -> Any:
    return page.locator("[data-explorer=stage-curve]")


def drawn_for(page: Page) -> dict[str, Any]:
    return json.loads(page.locator(".sk-explorer-box").get_attribute("data-drawn") or "{}")


def predict(page: Page) -> None:
    explorer(page).get_by_label("Twice as long", exact=True).check()
    explorer(page).get_by_role("button", name="Show me").click()


def test_an_explorer_asks_first_then_shows_the_newest_setting(stage: Any, page_of: Callable[..., Page]):
    page = page_of(stage.notebook(CURVE))
    assert drawn_for(page) == {}
    expect(explorer(page).locator(".sk-svg")).to_be_hidden()
    explorer(page).get_by_role("button", name="Show me").click()
    expect(explorer(page)).to_contain_text("Take a guess first")
    predict(page)
    expect(explorer(page)).to_contain_text("You said: Twice as long")
    expect(explorer(page).locator(".sk-svg")).to_be_visible()
    close = explorer(page).locator(".sk-close")
    close.get_by_role("button", name="How close was I?").click()
    expect(close.locator(".sk-ends")).to_contain_text("About four times as long")
    expect(close.get_by_role("status")).to_contain_text("Kept")
    close.get_by_label("What changed your mind?").fill("Thickness counts twice.")
    close.get_by_role("button", name="Keep my words").click()
    page.wait_for_timeout(300)
    expect(close.get_by_role("status")).to_contain_text("Kept")
    (kept,) = read_guesses(stage.person.folder)
    assert (kept.said, kept.changed) == ("Twice as long", "Thickness counts twice.")

    page.evaluate(
        """() => { const range = document.querySelector('[data-explorer] input[type=range]');
        for (const value of [12, 20, 33, 41]) {
          range.value = value; range.dispatchEvent(new Event('input')); } }"""
    )
    expect(explorer(page).locator(".sk-facts")).to_contain_text("Drawn for 41 mm")
    expect(explorer(page).locator("output").first).to_have_text("41 mm")
    expect(explorer(page).locator("figure")).not_to_have_attribute("aria-busy", "true")
    assert drawn_for(page)["thickness_mm"] == 41
    words = explorer(page).locator(".sk-svg").get_attribute("aria-describedby")
    expect(page.locator(f"#{words}")).to_contain_text("41 mm piece")

    explorer(page).get_by_label("Dry", exact=True).check()
    expect(explorer(page).locator(".sk-facts")).to_contain_text("Surface: dry")
    explorer(page).get_by_role("button", name="Back to the start").click()
    expect(explorer(page).locator(".sk-facts")).to_contain_text("Drawn for 25 mm")

    page.evaluate(
        QUIET
    )  # what is drawn ahead also moves the engine, and would speak against what is told below
    tell = "(state) => { document.documentElement.dataset.kitEngine = state; "
    tell += "window.dispatchEvent(new CustomEvent('kit-engine', { detail: state })); }"
    wait = explorer(page).locator(".sk-work > .sk-wait")
    wait.evaluate("node => { node.textContent = 'thickness_mm is 900'; }")
    page.evaluate(tell, "busy")
    page.evaluate(tell, "idle")
    expect(wait).to_have_text("thickness_mm is 900")  # an error stays: the engine being idle is no news
    page.evaluate(tell, "dead")
    expect(wait).to_contain_text("engine behind this page stopped")
    page.evaluate(tell, "idle")
    expect(wait).to_have_text("")


def test_an_explorer_far_down_is_not_drawn_until_the_reader_comes_near(
    stage: Any, page_of: Callable[..., Page]
):
    kinds = ("one", "several", "order", "recommend", "controls")
    filler = [f"lesson.task('stage-{kind}')" for kind in kinds]
    page = page_of(stage.notebook(*filler, "lesson.explore('stage-open')"))
    page.wait_for_timeout(400)
    assert page.locator("[data-drawn]").count() == 0
    page.locator("[data-explorer=stage-open]").scroll_into_view_if_needed()
    expect(page.locator("[data-drawn]")).to_have_count(1)


def test_nobody_at_work_is_said_at_the_top_and_on_each_task(stage: Any, page_of: Callable[..., Page]):
    alone = "import os; os.environ.pop('SMOKEHOUSE_PERSON', None); lesson = open_lesson()"
    page = page_of(stage.notebook(alone, "lesson.task('stage-one')"))
    banner = page.locator(".sk-banner").last
    expect(banner).to_contain_text("Not recorded")
    expect(banner).to_contain_text("smokehouse open")
    task = page.locator("[data-exercise=stage-one]")
    task.get_by_label("The clock").check()
    task.locator("button[type=submit]").click()
    expect(task.locator(".sk-verdict")).to_contain_text("Not yet")
    expect(task.locator(".sk-not-recorded")).to_contain_text("Not recorded")


def test_the_full_jupyterlab_is_one_link_away_and_back(stage: Any, page_of: Callable[..., Page]):
    page = page_of(stage.notebook("lesson.task('stage-one')"))
    expect(page.locator("#jp-menu-panel")).not_to_be_visible()
    expect(page.locator(".jp-CodeCell .cm-editor:visible")).to_have_count(0)
    page.get_by_role("link", name="Open the full JupyterLab").click()
    expect(page.locator("#jp-menu-panel")).to_be_visible()
    expect(page.locator(".jp-NotebookPanel-toolbar").first).to_be_visible()
    page.get_by_role("link", name="Back to the plain page").first.click()
    expect(page.locator("#jp-menu-panel")).not_to_be_visible()
    expect(page.locator("[data-exercise=stage-one]")).to_be_visible()


def test_the_end_of_a_lesson_hands_in_and_leads_on(stage: Any, page_of: Callable[..., Page]):
    page = page_of(stage.notebook("lesson.task('stage-one')", "lesson.checklist('Before', ['One'])"))
    end = page.locator(".sk-end")
    end.scroll_into_view_if_needed()
    expect(end.get_by_text("Do these next")).to_be_visible()
    hand_in = end.get_by_role("button", name="Hand in to your tutor")
    hand_in.focus()
    page.keyboard.press("Enter")
    expect(end.get_by_role("status")).to_contain_text("still empty")
    end.get_by_role("link", name=re.compile(".")).first.click()
    page.locator("[data-exercise=stage-one] input").first.check()
    page.get_by_role("button", name="Check").first.click()
    expect(page.locator("[data-exercise=stage-one] .sk-verdict-line")).to_be_visible()
    hand_in.click()
    expect(end.get_by_role("status")).to_contain_text("Handed in: 1 entry, 1 of them answers.")
    expect(end.get_by_role("button", name="Hand in to your tutor")).to_be_focused()


@pytest.mark.parametrize("width", [320, 820])
def test_nothing_runs_over_and_every_target_is_large_enough(
    width: int, stage: Any, page_of: Callable[..., Page]
):
    kinds = ("number", "order", "match", "places", "chart", "controls", "recommend", "explain")
    row = "| a long word each " * 5
    table = f"| Rule | Limit | Source | Locator | Says |\n|---|---|---|---|---|\n{row}|"
    calls = [
        CURVE,
        *[f"lesson.task('stage-{kind}')" for kind in kinds],
        "lesson.checklist('Before', ['One'])",
    ]
    page = page_of(stage.notebook(*calls, intro=f"# Title\n\n{table}"), width=width, height=900)
    predict(page)
    expect(explorer(page).locator(".sk-svg")).to_be_visible()
    assert page.evaluate(OVER) == []
    assert page.evaluate(SMALL) == []


def boxes(page: Page) -> int:
    return page.locator("dialog.jp-Dialog, div.jp-Dialog").count()


def test_a_page_that_cannot_be_saved_says_so_in_our_words_and_goes_on(
    stage: Any, page_of: Callable[..., Page]
):
    page = page_of(stage.notebook(CURVE))
    page.route("**/api/contents/**", lambda route: _no_room(route))
    page.evaluate(
        "() => { const cell = window.jupyterapp.shell.currentWidget.content.model.cells.get(0);"
        " cell.setMetadata('kit_touched', true);"
        " void window.jupyterapp.commands.execute('docmanager:save').catch(() => undefined); }"
    )
    notice = page.locator("#kit-notice")
    expect(notice).to_contain_text("could not be saved")
    expect(notice).to_contain_text("Checked answers are kept")
    expect(page.locator("dialog.jp-Dialog, div.jp-Dialog")).to_have_count(0)
    predict(page)
    expect(explorer(page)).to_contain_text("You said: Twice as long")
    assert "could not be saved" in notice.inner_text()  # a click does not take it away at once


def _no_room(route: Any) -> None:
    if route.request.method == "PUT":
        route.fulfill(status=500, json={"message": "No space left on device", "reason": None})
    else:
        route.continue_()


def test_a_lost_server_is_told_once_and_in_our_words(stage: Any, page_of: Callable[..., Page]):
    page = page_of(stage.notebook(CURVE))
    page.context.set_offline(True)
    page.evaluate(
        "() => { void window.jupyterapp.serviceManager.sessions.refreshRunning().catch(() => undefined); }"
    )
    expect(page.locator("#kit-notice")).to_contain_text("lost touch with the workbook")
    page.wait_for_timeout(1500)
    assert boxes(page) == 0
    page.context.set_offline(False)
    page.faults.clear()


def test_a_box_of_no_known_name_is_closed_too(stage: Any, page_of: Callable[..., Page]):
    page = page_of(stage.notebook(CURVE))
    page.evaluate(
        """() => { const box = document.createElement('dialog'); box.className = 'jp-Dialog'; box.open = true;
        box.setAttribute('aria-label', 'Traceback');
        box.innerHTML = '<button class="jp-mod-accept">OK</button>';
        box.querySelector('button').onclick = () => box.remove(); document.body.append(box); }"""
    )
    expect(page.locator("dialog.jp-Dialog")).to_have_count(0)
    expect(page.locator("#kit-notice")).to_contain_text("met a fault and went on")


def test_a_time_plays_by_itself_and_stops(stage: Any, page_of: Callable[..., Page]):
    page = page_of(stage.notebook('lesson.explore("where-to-probe")'))
    card = page.locator("[data-explorer=where-to-probe]")
    card.locator(".sk-predict input").first.check()
    card.get_by_role("button", name="Show me").click()
    expect(card.locator(".sk-facts")).to_contain_text("At 20 min")
    card.get_by_role("button", name="Play").press("Enter")
    expect(card.locator(".sk-facts")).not_to_contain_text("At 20 min")
    card.get_by_role("button", name="Stop").press("Enter")
    expect(card.get_by_role("button", name="Play")).to_be_visible()
    expect(card.locator("figure")).not_to_have_attribute("aria-busy", "true")
    at = card.locator("input[data-key=minute]").input_value()
    page.wait_for_timeout(900)
    assert card.locator("input[data-key=minute]").input_value() == at
    page.evaluate(
        """() => { const range = document.querySelector('[data-key=minute]');
        range.value = 98; range.dispatchEvent(new Event('input')); }"""
    )
    card.get_by_role("button", name="Play").click()
    expect(card.locator(".sk-facts")).to_contain_text("At 100 min")
    expect(card.get_by_role("button", name="Play")).to_be_visible()
