"""From nothing to a first task without a terminal: say who you are, wait, work, be somebody else, close."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect


@pytest.fixture
def door(tmp_path: Path) -> Iterator[tuple[str, subprocess.Popen[str]]]:
    """The command as a launcher starts it."""
    command = [sys.executable, "-m", "kit.cli", "open", "--door", "--no-browser"]
    variables = {**os.environ, "SMOKEHOUSE_HOME": str(tmp_path / "home"), "PYTHONUNBUFFERED": "1"}
    process = subprocess.Popen(
        command, env=variables, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, text=True
    )
    assert process.stdout is not None
    address = re.search(r"http://\S+", process.stdout.readline())
    assert address is not None
    yield address.group(), process
    if process.poll() is None:
        process.terminate()
    process.wait(60)
    process.stdout.close()


def test_in_out_and_closed_again(door: tuple[str, subprocess.Popen[str]], page_of: Callable[..., Page]):
    address, process = door
    page: Any = page_of()
    page.goto(address)
    page.get_by_label("Your name").fill("Nuala Prem")
    page.get_by_label("A PIN of 4 signs or more", exact=False).fill("4711")
    page.get_by_role("button", name="Start").click()
    expect(page.get_by_role("status")).to_contain_text("Your workbook is starting")
    page.locator("[data-kit-ran]").wait_for(state="attached", timeout=120_000)
    banner = page.locator(".sk-banner")
    expect(banner).to_contain_text("Working: Nuala Prem")

    banner.get_by_role("link", name="Not you?").click()
    page.get_by_role("link", name="Nuala Prem").click()
    page.get_by_label("Your PIN").fill("0000")
    page.get_by_role("button", name="Open my lessons").click()
    expect(page.get_by_role("alert")).to_have_text("That PIN is wrong.")
    page.get_by_label("Your PIN").fill("4711")
    page.get_by_role("button", name="Open my lessons").click()
    page.locator("[data-kit-ran]").wait_for(state="attached", timeout=120_000)  # the one that runs already

    page.goto(address)
    page.get_by_role("button", name="Close the workbook").click()
    expect(page.locator("main")).to_contain_text("Your answers are kept")
    assert process.wait(60) == 0
