"""The cut of a paper at the desk: files chosen in the page, worked out, and the plan taken along."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from playwright.sync_api import Page, expect

from kit.exercises.catalogue import Catalogue
from kit.files.paper_plan import plan_of, plan_text
from kit.statistics.paper_cut import empty_sheet
from tests.browser.test_desk import OVER, SMALL, Desk, part, served

__all__ = ["served"]


def _files(folder: Path) -> list[Path]:
    plan = plan_of(Catalogue(), ["rinse"])
    head = empty_sheet(plan, Catalogue(), ["A"]).decode("utf-8-sig").splitlines()[0]
    made = []
    for name, chances in (("first", (0.6, 0.9)), ("second", (0.7, 0.8))):
        rows = [f"{who}{f',{chance}' * head.count(',')}" for who, chance in zip("AB", chances, strict=True)]
        made.append(folder / f"{name}.csv")
        made[-1].write_text("\n".join([head, *rows]))
    made.append(folder / "plan.toml")
    made[-1].write_text(plan_text(plan))
    return made


def test_a_cut_is_worked_out_and_the_plan_taken_along(
    served: Desk, page_of: Callable[..., Page], tmp_path: Path
):
    page = page_of(served.address)
    part(page, "numbers").get_by_role("button", name="Cut of a paper, by judges").click()
    expect(page.get_by_role("heading", name="The cut of a paper, by judges")).to_be_focused()
    for place, file in enumerate(_files(tmp_path)):
        page.locator("input[type=file]").nth(place).set_input_files(file)
        expect(page.get_by_text(file.name)).to_be_visible()
    page.get_by_role("button", name="Work it out").click()
    expect(page.get_by_role("heading", name="This is what comes out")).to_be_focused()
    expect(part(page, "preview")).to_contain_text("33 % of the first spread is left")
    for width in (1280, 820, 390):
        page.set_viewport_size({"width": width, "height": 900})
        assert page.evaluate(OVER) == [] and page.evaluate(SMALL) == []
    before = served.last_act().number
    page.get_by_role("button", name="Do it").click()
    link = page.get_by_role("link", name="plan.toml")
    with page.expect_download() as saved:
        link.click()
    assert "cut_pct = 75" in Path(saved.value.path()).read_text()
    assert served.last_act().number == before
