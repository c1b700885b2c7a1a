"""A sitting in the browser: every kind of task, what the page is sent, handing in, and the result."""

from __future__ import annotations

import asyncio
import json
import threading
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from kit import rules
from kit.cli.tutor.paper_sitting import sitting_task
from kit.exercises.catalogue import Catalogue
from kit.files.paper_plan import ON_PAPER
from kit.views.pictures.on_paper import png_of
from kit.views.tutor.sitting_page import SittingPage

CATALOGUE = Catalogue()


def one_of_each_kind() -> list[Any]:
    found: dict[str, Any] = {}
    for exercise in CATALOGUE.ids():
        kind = CATALOGUE.facts_of[exercise].kind
        if kind in ON_PAPER and kind not in found:
            found[kind] = CATALOGUE.question(exercise, 7_310_992_114, rules.load("ie"))
    return list(found.values())


QUESTIONS = one_of_each_kind()


class Sitting:
    def __init__(self) -> None:
        self.kept: dict[int, Any] = {}
        self.end: datetime | None = None
        tasks = [sitting_task(each, png_of) for each in QUESTIONS]
        self.page = SittingPage(
            "Tam <Ferris>", "tp-1", tasks, self.kept, lambda: self.end, self.begin, self.keep
        )
        self.ready = threading.Event()
        self.thread = threading.Thread(target=lambda: asyncio.run(self._serve()))

    def begin(self) -> None:
        self.end = datetime.now(UTC) + timedelta(minutes=30)

    def keep(self, place: int, answer: Any) -> None:
        self.kept[place] = answer

    async def _serve(self) -> None:
        self.page.open()
        self.loop = asyncio.get_running_loop()
        self.ready.set()
        await self.page.handed_in.wait()
        await asyncio.sleep(0.3)
        await self.page.shut()


@pytest.fixture
def sitting() -> Iterator[Sitting]:
    made = Sitting()
    made.thread.start()
    made.ready.wait(30)
    yield made
    if made.thread.is_alive():
        made.loop.call_soon_threadsafe(made.page.handed_in.set)
    made.thread.join(30)


def answer(page: Page, question: Any) -> None:
    kind, right = question.kind_name, question.answer
    if kind in ("number", "chart"):
        page.get_by_label("Your answer", exact=False).fill(f"{right:.10g}")
    elif kind == "one":
        page.locator(f"input[name=answer][value='{right}']").check()
    elif kind == "several":
        for key in right:
            page.locator(f"input[name=answer][value='{key}']").check()
    elif kind == "order":
        for place, key in enumerate(right):
            page.locator("select[name=answer]").nth(place).select_option(key)
    elif kind == "match":
        for left, key in right.items():
            page.locator(f"select[name='for-{left}']").select_option(key)
    else:
        page.locator(f"input[name=decision][value='{right['decision']}']").check()
        page.locator(f"input[name=reason][value='{right['reason']}']").check()


def test_every_kind_is_answered_and_marks_in_full(sitting: Sitting, page_of: Callable[..., Page]):
    page: Any = page_of(width=390, height=844)
    sent: list[str] = []

    def note(got: Any) -> None:
        if got.status == 200 and "html" in got.headers.get("content-type", ""):
            sent.append(got.text())

    page.on("response", note)
    page.goto(sitting.page.address)
    expect(page.locator("h1")).to_have_text("Tam <Ferris>")
    page.get_by_role("button", name="Begin").click()
    for question in QUESTIONS:
        answer(page, question)
        wide = page.evaluate("() => document.documentElement.scrollWidth > window.innerWidth + 1")
        assert not wide, question.exercise
        page.get_by_role("button", name="Keep and go on").click()
    expect(page.locator("main")).to_contain_text("Every task is answered.")
    page.goto(f"{sitting.page.address}task/1")  # a page that was closed shows what was kept
    page.get_by_role("button", name="Keep and go on").click()
    page.goto(sitting.page.address)
    page.get_by_role("button", name="Hand in").click()
    expect(page.locator("main")).to_contain_text("Handed in")
    for place, question in enumerate(QUESTIONS, start=1):
        outcome = CATALOGUE.mark(question, json.loads(json.dumps(sitting.kept[place])))
        assert (question.exercise, outcome.score) == (question.exercise, question.of)
    assert len(sent) > len(QUESTIONS)
    for text in sent:
        words = " ".join(text.split())
        for question in QUESTIONS:
            for secret in (question.worked, *question.hints, *(slip.says for slip in question.slips)):
                told = " ".join(secret.split())
                assert len(told) < 25 or told not in words
            assert str(question.seed) not in text and f'"{question.exercise}"' not in text


def test_what_the_page_holds_in_memory_knows_no_answer(sitting: Sitting):
    for question, task in zip(QUESTIONS, sitting.page.tasks, strict=True):
        held = json.dumps(dict(task.form), default=str)
        assert not {"answer", "slips", "worked", "seed", "hints", "exercise"} & set(task.form)
        assert not any(len(slip.says) > 25 and slip.says in held for slip in question.slips)


def test_the_time_is_over_and_strangers_are_refused(sitting: Sitting, page_of: Callable[..., Page]):
    page: Any = page_of()
    page.goto(sitting.page.address)
    assert page.goto(f"{sitting.page.address}task/1").status == 404  # not begun: nothing is shown
    page.goto(sitting.page.address)
    page.get_by_role("button", name="Begin").click()
    sitting.end = datetime.now(UTC) - timedelta(seconds=1)
    page.reload()
    expect(page.get_by_role("alert")).to_contain_text("The time is over")
    assert page.goto(sitting.page.address.replace(sitting.page.key, "x" * 32)).status == 404
