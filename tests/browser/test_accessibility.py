"""Every page under axe-core, a public checker of WCAG rules: nothing serious or critical on any of them."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from datetime import UTC, datetime
from importlib.resources import files
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from playwright.sync_api import Page

from kit.practice import people, prepare
from kit.views.tutor.sitting_page import SittingTask
from kit.views.workbook.plain_pages import template

HERE = Path(__file__).resolve().parent
AXE = HERE.parent / "javascript" / "node_modules" / "axe-core" / "axe.min.js"
LESSONS = sorted((HERE.parents[1] / "lessons").glob("*.ipynb"))


@pytest.fixture(scope="module")
def axe() -> str:
    if AXE.is_file():
        return AXE.read_text(encoding="utf-8")
    if os.environ.get("SMOKEHOUSE_REQUIRE_JAVASCRIPT") == "1":
        pytest.fail("axe-core is not installed: run `npm ci` in tests/javascript.")
    pytest.skip("Run `npm ci` in tests/javascript first.")


@pytest.fixture(scope="module")
def lessons(server: Callable[..., Any], tmp_path_factory: pytest.TempPathFactory) -> Any:
    home = tmp_path_factory.mktemp("home")
    person = people.create("Nuala Prem", home=home)
    prepare(person)
    return server(person.lessons, person, home)


def faults(page: Page, axe: str) -> list[str]:
    """Return what axe-core calls serious or critical, light and dark, a line each with the first place."""
    page.evaluate(axe)
    found = []
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        page.wait_for_timeout(200)  # colours change over 0.12 s
        found += [f"{scheme}: {each}" for each in _in_this_scheme(page)]
    page.emulate_media(color_scheme="light")
    return found


def _in_this_scheme(page: Page) -> list[str]:
    found = page.evaluate("() => axe.run(document, { resultTypes: ['violations'] })")
    assert found["testEngine"]["name"] == "axe-core" and len(found["passes"]) >= 5
    return [
        f"{one['id']} ({one['impact']}, {len(one['nodes'])}): {one['nodes'][0]['html'][:160]}"
        for one in found["violations"]
        if one["impact"] in ("serious", "critical")
    ]


@pytest.mark.parametrize("path", LESSONS, ids=lambda path: path.stem)
def test_a_page_of_the_workbook_has_no_serious_fault(lessons: Any, page_of: Any, axe: str, path: Path):
    page = page_of(lessons.address(path.name))
    assert json.dumps(faults(page, axe), indent=1) == "[]"


def test_a_page_with_its_verdicts_open_has_no_serious_fault(lessons: Any, page_of: Any, axe: str):
    """After a wrong answer, a hint, the worked answer, the word list and a guess, on a narrow screen."""
    page = page_of(lessons.address("05_cook_by_temperature.ipynb"), width=390, height=844)
    for card in page.locator("[data-exercise]").all()[:6]:
        fields = card.locator("input[type=radio], input[type=checkbox]")
        if fields.count():
            fields.first.check()
        elif card.locator("input[type=text], input:not([type])").count():
            card.locator("input[type=text], input:not([type])").first.fill("7")
        card.locator("button[type=submit]").click()
        page.wait_for_timeout(400)
    page.evaluate("() => document.querySelectorAll('details').forEach((each) => { each.open = true; })")
    assert page.locator(".sk-verdict[data-serial]").count() >= 4
    assert json.dumps(faults(page, axe), indent=1) == "[]"


def test_the_page_that_checks_a_certificate_has_no_serious_fault(page_of: Any, axe: str):
    page = page_of()
    page.set_content((files("kit.files") / "check_certificate.html").read_text("utf-8"))
    page.click("#check")
    page.locator("#result p").first.wait_for()
    assert json.dumps(faults(page, axe), indent=1) == "[]"


@pytest.mark.parametrize("part", ["who", "pin", "new", "alike", "wait", "closed", "fault"])
def test_the_page_that_asks_who_works_has_no_serious_fault(page_of: Any, axe: str, part: str):
    person = people.Learner("p-1", "Nuala Prem", datetime(2026, 3, 2, tzinfo=UTC), Path("p-1"), pin="x")
    values = {"people": [person], "alike": [person], "person": person, "words": "No.", "about_s": 7}
    page = page_of()
    page.set_content(template("door.html").render(part=part, key="k", name="Nula", **values))
    assert json.dumps(faults(page, axe), indent=1) == "[]"


@pytest.mark.parametrize("part", ["start", "task", "end", "done"])
def test_the_page_of_a_sitting_has_no_serious_fault(page_of: Any, axe: str, part: str):
    options = [{"key": "a", "text": "cold"}, {"key": "b", "text": "clean"}]
    forms = [
        {"kind": "number", "text": "How much?", "unit": "g"},
        {"kind": "one", "text": "Which?", "options": options},
        {"kind": "several", "text": "Which?", "options": options},
        {"kind": "order", "text": "In order?", "options": options},
        {"kind": "match", "text": "Join.", "left": options, "right": options},
        {"kind": "recommend", "text": "And now?", "decisions": options, "reasons": options},
    ]
    tasks = [SittingTask(form) for form in forms]
    shown = SimpleNamespace(name="Tam Ferris", key="k", tasks=tasks, answers={1: "5 g"})
    for place, task in enumerate(tasks, start=1):
        values = {"page": shown, "until": "10:40", "over": False, "place": place, "task": task, "words": ""}
        page = page_of()
        page.set_content(template("sitting.html").render(part=part, **values))
        assert json.dumps(faults(page, axe), indent=1) == "[]"
        if part != "task":
            break


@pytest.mark.parametrize(
    ("width", "height", "scale"), [(640, 400, 2), (320, 640, 1)], ids=["200 %", "320 px"]
)
def test_nothing_has_to_be_scrolled_sideways_when_enlarged(
    chromium: Any, lessons: Any, width: int, height: int, scale: int
):
    # WCAG 2.2, 1.4.4 and 1.4.10: a window of 1,280 px at 200 % is 640 wide; at 400 % it is 320
    context = chromium.new_context(viewport={"width": width, "height": height}, device_scale_factor=scale)
    page = context.new_page()
    page.set_default_timeout(30_000)
    for path in LESSONS:
        page.goto(lessons.address(path.name))
        page.locator("[data-kit-ran]").wait_for(state="attached")
        wide = page.evaluate(
            "() => [document.documentElement, "
            "...document.querySelectorAll('.jp-WindowedPanel-outer, .jp-Cell')]"
            ".filter((e) => e.scrollWidth > e.clientWidth + 1).map((e) => e.textContent.slice(0, 60))"
        )
        assert (path.stem, wide) == (path.stem, [])
    context.close()


def test_a_dark_page_is_dark_and_its_pictures_stay_on_light_paper(lessons: Any, page_of: Any):
    page = page_of(lessons.address("05_cook_by_temperature.ipynb"))
    page.emulate_media(color_scheme="dark")
    page.wait_for_timeout(200)

    def behind(place: str) -> float:
        words = page.locator(place).first.evaluate("(e) => getComputedStyle(e).backgroundColor")
        return sum(float(each) for each in words.split("(")[1].rstrip(")").split(",")[:3]) / 3

    assert behind(".sk-card") < 60 and behind(".jp-WindowedPanel-outer") < 60
    assert behind(".sk-frame") > 200
    page.emulate_media(color_scheme="dark", media="print")
    assert behind(".sk-card") > 200


def test_in_forced_colours_a_state_is_more_than_a_colour(lessons: Any, page_of: Any):
    page = page_of(lessons.address("05_cook_by_temperature.ipynb"))
    page.emulate_media(forced_colors="active")
    option = page.locator("[data-exercise] .sk-option:has(input[type=radio])").first
    outline = "(e) => getComputedStyle(e).outlineStyle"
    assert option.evaluate(outline) == "none"
    option.locator("input").check()
    assert option.evaluate(outline) == "solid"
