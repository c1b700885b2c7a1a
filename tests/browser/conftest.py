"""JupyterLab on this machine, the distribution's Chromium, and a small lesson of our own to drive."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from kit.practice import people
from kit.views.workbook.server import Workbook

# How long a page may take for what must come. A busy machine is no fault; what comes sooner ends the wait.
WAIT_MS = 30_000
DATA = Path(__file__).parent / "data"
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    here = f"{Path(__file__).parent}{os.sep}"
    for item in items:
        if str(item.path).startswith(here):
            item.add_marker(pytest.mark.browser)


@pytest.fixture(scope="session")
def chromium() -> Iterator[Any]:
    if CHROMIUM is None:
        if os.environ.get("SMOKEHOUSE_REQUIRE_BROWSER") == "1":
            pytest.fail("Chromium is not installed, and SMOKEHOUSE_REQUIRE_BROWSER=1 asks for it.")
        pytest.skip("Chromium is not installed.")
    from playwright.sync_api import expect, sync_playwright

    expect.set_options(timeout=WAIT_MS)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, headless=True, args=ARGUMENTS)
        yield browser
        browser.close()


@pytest.fixture
def page_of(chromium: Any) -> Iterator[Callable[..., Any]]:
    """Open pages; afterwards each must have had no error and asked nothing of the outside."""
    contexts, pages = [], []

    def open_page(address: str = "", width: int = 1280, height: int = 900) -> Any:
        context = chromium.new_context(viewport={"width": width, "height": height})
        page = context.new_page()
        page.set_default_timeout(WAIT_MS)
        page.faults, page.outside = [], []
        page.on("pageerror", lambda error: page.faults.append(str(error)[:300]))
        page.on("request", lambda request: _note_outside(page, request.url))
        contexts.append(context)
        pages.append(page)
        if address:
            page.goto(address)
            page.locator("[data-kit-ran]").wait_for(state="attached")
        return page

    yield open_page
    for context in contexts:
        context.close()
    for page in pages:
        assert page.faults == []
        assert page.outside == []


def _note_outside(page: Any, url: str) -> None:
    if not url.startswith(("http://127.0.0.1", "ws://127.0.0.1", "data:", "blob:")):
        page.outside.append(url)


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Callable[..., Workbook]]:
    """Start workbooks as the command does, and stop them."""
    started = []

    def start(lessons: Path, person: people.Learner | None = None, home: Path | None = None) -> Workbook:
        environment = {"SMOKEHOUSE_PERSON": person.id if person else ""}
        if home:
            environment["SMOKEHOUSE_HOME"] = str(home)
        room = tmp_path_factory.mktemp("room")
        book = Workbook(lessons, room, environment=environment, options=["--expose-app-in-browser"])
        book.start()
        started.append(book)
        return book

    yield start
    for book in started:
        book.stop()


@pytest.fixture(scope="module")
def stage(server: Callable[..., Workbook], tmp_path_factory: pytest.TempPathFactory) -> Any:
    """A workbook of somebody at work, and a way to get a fresh copy of the stage's notebook in it."""
    home = tmp_path_factory.mktemp("home")
    person = people.create("Nuala Prem", home=home)
    shutil.copy(DATA / "stage.py", person.lessons / "stage.py")
    book = server(person.lessons, person, home)
    return Stage(book, person)


class Stage:
    def __init__(self, book: Workbook, person: people.Learner) -> None:
        self.book, self.person, self._made = book, person, 0

    def notebook(
        self, *calls: str, intro: str = "# A lesson of the stage\n\nSome words to read first."
    ) -> str:
        """Write a notebook with one call a cell and return its address."""
        import nbformat

        self._made += 1
        notebook = nbformat.v4.new_notebook(metadata={"kit": {"run_on_open": True}})
        hidden = {"jupyter": {"source_hidden": True}, "editable": False, "deletable": False}
        cells = [nbformat.v4.new_markdown_cell(intro, metadata={"editable": False})]
        for code in ("from stage import lesson as open_lesson; lesson = open_lesson()", *calls):
            cells.append(nbformat.v4.new_code_cell(code, metadata=hidden))
        notebook.cells = cells
        name = f"stage_{self._made}.ipynb"
        nbformat.write(notebook, self.person.lessons / name)
        return self.book.address(name)

    def entries(self, exercise: str) -> list[Any]:
        """Return what the person's answer book holds of an exercise."""
        from kit.files import Book

        return [entry for entry in Book(self.person.book_path).entries if entry.exercise == exercise]
