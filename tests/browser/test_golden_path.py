"""The whole way, as it is walked in a kitchen: lesson 5 opened, answered, handed in, taken in, shown."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from playwright.sync_api import Page, expect

from kit.cli.apprentice.hand_in import command as hand_in_command
from kit.cli.tutor.rail import command as board_command
from kit.cli.tutor.take_in import command as take_in_command
from kit.exercises import question
from kit.marking.draw import seed_for
from kit.practice import find


@pytest.fixture
def opened(throw_away_home: Path) -> Iterator[str]:
    """Run `smokehouse open` as a person would, and return the address it prints."""
    command = [sys.executable, "-m", "kit.cli", "open", "--lesson", "5", "--as", "Nuala Prem", "--no-browser"]
    process = subprocess.Popen(
        command, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
    )
    assert process.stdout is not None
    said = []
    for line in process.stdout:
        said.append(line)
        found = re.search(r"http://127\.0\.0\.1:\d+/\S+", line)
        if found:
            break
    else:
        pytest.fail("".join(said))
    yield found[0]
    process.send_signal(signal.SIGTERM if os.name != "nt" else signal.CTRL_BREAK_EVENT)
    process.wait(60)
    process.stdout.close()


def card(page: Page, exercise: str) -> Any:
    return page.locator(f"[data-exercise={exercise}]")


def verdict(page: Page, exercise: str) -> Any:
    return card(page, exercise).locator("[role=status].sk-verdict")


def answer(page: Page, exercise: str, text: str) -> None:
    card(page, exercise).locator("input").first.fill(text)
    card(page, exercise).locator("button[type=submit]").click()


def test_from_the_lesson_to_the_board(opened: str, page_of: Any, throw_away_home: Path):
    page = page_of(opened)
    expect(page.locator(".sk-banner")).to_contain_text("Nuala Prem")
    expect(page.locator(".sk-banner")).to_contain_text("Ireland")
    assert page.locator(".jp-CodeCell .jp-InputArea:visible, .cm-editor:visible").count() == 0, (
        "code is in sight"
    )
    assert page.locator(".jp-NotebookPanel-toolbar:visible, #jp-menu-panel:visible").count() == 0

    # explore: predict first, then move a slider and see another curve
    explorer = page.locator(".sk-explorer").first
    explorer.scroll_into_view_if_needed()
    explorer.locator(".sk-predict input").first.check()
    explorer.get_by_role("button", name="Show me").click()
    picture = explorer.locator("img, svg").first
    expect(picture).to_be_visible()
    expect(explorer.locator("details, .sk-words").first).to_be_attached()

    # a wrong answer meets its own words; the right one is right
    person = find("Nuala Prem")[0]
    exercise = "coldest-true-core"
    drawn = question(exercise, seed_for(person.id, exercise, 2, 1), "ie")
    slip = next(each for each in drawn.slips if each.name == "averaged the pieces")
    assert slip.says not in page.content()
    assert drawn.worked not in page.content()
    answer(page, exercise, f"{slip.value:.1f}".replace(".", ","))
    expect(verdict(page, exercise)).to_contain_text("An average hides the cold one")
    answer(page, exercise, f"{drawn.answer * 1.8 + 32:.2f} °F")
    expect(verdict(page, exercise)).to_contain_text("Right")
    expect(verdict(page, exercise)).to_contain_text("°F, that is")

    page.reload()
    page.locator("[data-kit-ran]").wait_for(state="attached")
    expect(verdict(page, exercise)).to_contain_text("from last time")
    expect(verdict(page, exercise)).to_contain_text("Right")
    expect(page.locator(".sk-progress summary")).to_contain_text("1 of")

    run = CliRunner()
    book = throw_away_home / "nuala.book"
    handed = run.invoke(hand_in_command, ["--as", "Nuala Prem", "--to", str(book)])
    assert handed.exit_code == 0, handed.output
    taken = run.invoke(take_in_command, [str(book)])
    assert taken.exit_code == 0, taken.output
    assert "2 answers, 1 right" in taken.output
    shown = run.invoke(board_command, ["--person", "Nuala Prem"])
    assert shown.exit_code == 0
    assert "COK-K04" in shown.output and "practising" in shown.output


def test_a_narrow_page_does_not_run_over(opened: str, page_of: Any):
    page = page_of(opened, width=390, height=844)
    wide = page.evaluate(
        "() => [...document.querySelectorAll('.jp-Cell')].filter(c => c.scrollWidth > c.clientWidth + 1)"
        ".map(c => c.textContent.slice(0, 60))"
    )
    assert wide == []
