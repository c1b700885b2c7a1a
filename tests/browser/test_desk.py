"""The tutor's desk in the browser: the lists, the board by keyboard, one page, one decision signed."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from playwright.sync_api import Page, expect

from kit.cli.demo.crew import make_crew
from kit.cli.demo.desk_story import PASSWORD, TUTOR, make_desk
from kit.cli.tutor.desk import NOTEBOOK, prepare
from kit.records import open_records, take_in
from kit.records.ledger import acts
from kit.records.people import staff
from kit.views.tutor.place import PERSON_VARIABLE
from kit.views.workbook.server import Workbook

OVER = """() => [document.documentElement, ...document.querySelectorAll('.jp-WindowedPanel-outer, .jp-Cell')]
  .filter((e) => e.scrollWidth > e.clientWidth + 1).map((e) => e.className)"""
SMALL = """() => [...document.querySelectorAll('.sk-desk button, .sk-desk select, .sk-desk summary,'
  + '.sk-desk textarea, .sk-desk input:not([type=radio]):not([type=checkbox])')].filter((e) => e.offsetParent
  && e.getBoundingClientRect().height < 43.5).map((e) => e.outerHTML.slice(0, 80))"""


class Desk:
    """The demo's desk, served as the command serves it."""

    def __init__(self, home: Path, book: Workbook) -> None:
        self.home, self.book = home, book
        self.address = book.address(NOTEBOOK)

    def last_act(self) -> Any:
        records = open_records(self.home / "tutor" / "records.db")
        try:
            with records.reading() as connection:
                return acts.get(connection, acts.head(connection).number)
        finally:
            records.close()


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    home = tmp_path_factory.mktemp("home")
    now = datetime.now(UTC)
    records = open_records(home / "tutor" / "records.db")
    take_in(records, make_crew(home, now - timedelta(hours=3)), now=now - timedelta(hours=2))
    make_desk(records, now - timedelta(hours=1), home / "tutor" / "keys")
    me = staff.find(records, TUTOR).person
    records.close()
    environment = {PERSON_VARIABLE: me, "SMOKEHOUSE_HOME": str(home)}
    book = Workbook(prepare(home / "tutor" / "desk"), home / "tutor" / "jupyter", environment=environment)
    book.start()
    yield Desk(home, book)
    book.stop()


def part(page: Page, name: str) -> Any:
    return page.locator(f"[data-page={name}]")


def step(page: Page, name: str) -> None:
    part(page, "board").get_by_label("Step", exact=True).select_option(name)
    expect(part(page, "board").locator(f"table[aria-label='The rail: {TITLES[name]}']")).to_be_visible()


TITLES = {"cook": "Cook by temperature", "pellicle": "Pellicle"}


def test_from_the_lists_to_a_signed_decision(served: Desk, page_of: Callable[..., Page]):
    page = page_of(served.address)
    today = part(page, "today")
    expect(today).to_contain_text(f"{TUTOR} is at the desk")
    expect(today.get_by_role("heading", name="This week")).to_be_visible()
    for name in ("To sign", "To look into"):
        expect(today.get_by_role("region", name=name, exact=True).locator(".d-count")).to_be_visible()
    expect(today).to_contain_text("2 decisions of your own wait for somebody else")

    step(page, "cook")
    page.get_by_role("gridcell", name="Eithne Corrigan, COK-P03").click()
    evidence = part(page, "board")
    expect(evidence.get_by_role("heading", name="Eithne Corrigan: COK-P03")).to_be_focused()
    expect(evidence).to_contain_text("AFDO model code")
    expect(evidence).to_contain_text("Probed the thickest fillet")
    evidence.get_by_role("button", name="Decide", exact=True).click()
    expect(page.get_by_role("heading", name="Decide", exact=True)).to_be_focused()

    page.get_by_label("competent", exact=True).check()
    page.get_by_label("On what it rests").fill("Seen on 3 batches. <script>document.title = 'x'</script>")
    page.get_by_role("button", name="Show what will be recorded").click()
    expect(part(page, "preview")).to_contain_text("Seen on 3 batches.")
    expect(part(page, "preview")).to_contain_text("Review by")
    before = served.last_act().number
    password = page.get_by_label("Password of your key")
    password.fill("not the password")
    page.get_by_role("button", name="Sign and record").click()
    expect(part(page, "result")).to_contain_text("does not open with this password")
    expect(password).to_have_value("")
    assert served.last_act().number == before
    password.fill(PASSWORD)
    page.get_by_role("button", name="Sign and record").click()
    expect(part(page, "result")).to_contain_text(f"Recorded as act {before + 1}.")
    expect(part(page, "result")).to_contain_text("End of the chain")
    act = served.last_act()
    assert (act.kind, act.criterion, act.facts["decision"]) == ("decided", "COK-P03", "competent")
    cell = page.get_by_role("gridcell", name="Eithne Corrigan, COK-P03")
    expect(cell).to_contain_text("competent" if not act.facts["second_wanted"] else "signed once")
    page.locator("[data-page=board]").get_by_text("<script>").wait_for()  # as words, not as a script
    assert page.title() != "x"
    assert PASSWORD not in (served.home / "tutor" / "desk" / NOTEBOOK).read_text(encoding="utf-8")


def test_the_board_and_a_page_by_keyboard_alone(served: Desk, page_of: Callable[..., Page]):
    page = page_of(served.address)
    step(page, "pellicle")
    grid = part(page, "board").get_by_role("grid")
    part(page, "board").get_by_role("button", name="Find").focus()
    page.keyboard.press("Tab")
    expect(grid.locator('[data-row="0"][data-column="-1"]')).to_be_focused()
    for key in ("ArrowDown", "ArrowDown", "ArrowRight", "ArrowRight", "End", "ArrowLeft"):
        page.keyboard.press(key)
    where = grid.locator(":focus")
    expect(where).to_have_attribute("data-row", "2")
    said = where.get_attribute("aria-label") or ""
    assert said.startswith("Eithne Corrigan, PEL-")
    page.keyboard.press("Enter")
    expect(part(page, "board").locator("h3")).to_be_focused()
    for _ in range(9):
        page.keyboard.press("Tab")
        if page.locator(":focus").inner_text().startswith("Close and go back"):
            break
    page.keyboard.press("Enter")
    expect(grid.locator(":focus")).to_have_attribute("aria-label", said)
    page.keyboard.press("Home")
    page.keyboard.press("Enter")
    expect(part(page, "person").get_by_role("heading", name="Eithne Corrigan")).to_be_focused()
    expect(part(page, "person").get_by_role("img", name="First tries, day by day")).to_be_visible()
    expect(part(page, "person")).to_contain_text("54 h")


def test_a_text_typed_in_a_hurry_is_the_one_that_is_shown(served: Desk, page_of: Callable[..., Page]):
    page = page_of(served.address)
    part(page, "person").get_by_role("button", name="Linh Pham").click()
    for turn in range(5):
        part(page, "person").get_by_role("button", name="Note hours").click()
        page.get_by_label("About", exact=True).select_option("plan")
        page.get_by_label("In words").fill(f"Turn {turn}: cook next")
        page.get_by_role("button", name="Show what will be recorded").click()
        expect(part(page, "preview")).to_contain_text(f"Turn {turn}: cook next")
        page.get_by_role("button", name="Close this form").click()
        expect(part(page, "form")).to_contain_text("No form is open")


@pytest.mark.parametrize("width", [480, 820])
def test_nothing_runs_over_and_every_target_is_large_enough(
    width: int, served: Desk, page_of: Callable[..., Page]
):
    page = page_of(served.address, width=width)
    step(page, "cook")
    part(page, "person").get_by_role("button", name="Niamh Shevlin").click()
    expect(part(page, "person")).to_contain_text("read aloud, extra time")
    assert page.evaluate(OVER) == []
    assert page.evaluate(SMALL) == []
    part(page, "today").get_by_role("button", name="CLN-P01").first.click()
    part(page, "person").get_by_role("button", name="Observe", exact=True).click()
    expect(page.get_by_label("Used: read aloud")).to_be_checked()
    assert page.evaluate(OVER) == []
    assert page.evaluate(SMALL) == []


THUMB = """() => [...document.querySelectorAll('.d-form button, .d-form .d-big, .d-form textarea,'
  + '.d-form input:not([type=radio]):not([type=checkbox])')].filter((e) => e.offsetParent)
  .filter((e) => e.getBoundingClientRect().height < 47.5 || e.getBoundingClientRect().right > innerWidth)
  .map((e) => e.outerHTML.slice(0, 80))"""


def test_a_sheet_is_signed_on_a_phone_with_a_photo(
    served: Desk, page_of: Callable[..., Page], tmp_path: Path
):
    shot = tmp_path / "tray.png"
    Image.frombytes("RGB", (700, 500), os.urandom(700 * 500 * 3)).save(shot)  # more than one piece
    page = page_of(served.address, width=390)
    person = part(page, "person")
    person.get_by_role("button", name="Niamh Shevlin").click()
    person.locator("summary", has_text="Cook by temperature").click()
    person.get_by_role("button", name="At the bench: Niamh Shevlin, Cook by temperature").click()
    line = page.get_by_role("group", name="COK-P01")
    line.get_by_label("met", exact=True).focus()
    for key in ("Space", "ArrowRight", "ArrowLeft"):  # by keyboard: met, not met, met
        page.keyboard.press(key)
    expect(line.get_by_label("met", exact=True)).to_be_checked()
    page.get_by_role("group", name="COK-P03").get_by_label("not seen", exact=True).check()
    page.get_by_label("Label of the batch").fill("C-12")
    page.get_by_label("Core temperature at the end").fill("41")
    page.get_by_label("When the core was read").fill("14:05")
    page.get_by_label("A photo").set_input_files(shot)
    expect(page.get_by_role("img", name="The photo that was chosen")).to_be_visible()
    page.get_by_label("The apprentice declared").check()
    assert page.evaluate(OVER) == [] and page.evaluate(THUMB) == []
    page.get_by_role("button", name="Show what will be recorded").click()
    expect(part(page, "result")).to_contain_text("a core of 41 °C: the kitchen's rule asks for")
    page.get_by_label("COK-P01: why it counts").fill("A second probe read 78 °C.")
    page.get_by_role("button", name="Show what will be recorded").click()
    expect(part(page, "preview")).to_contain_text("tray.png")
    assert page.evaluate(OVER) == [] and page.evaluate(THUMB) == []
    page.get_by_label("Password of your key").fill(PASSWORD)
    page.get_by_role("button", name="Sign and record").click()
    expect(part(page, "result")).to_contain_text("under one signing")
    act = served.last_act()
    assert act.facts["points"] == {"COK-P01": "met"} and len(act.facts["files"]) == 1
    assert act.facts["read_at"] == "14:05" and act.facts["against"]
