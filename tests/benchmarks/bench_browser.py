"""How quick and how honest the page is: click to verdict, stale verdicts under load, launch to first answer.

Run it by hand: ``python tests/benchmarks/bench_browser.py [--checks 500]``. It needs Chromium. Each figure is
printed beside what it should be; the exit code is 1 if one is missed.
"""

from __future__ import annotations

import argparse
import contextlib
import importlib.util
import shutil
import statistics
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType
from typing import Any

BROWSER_TESTS = Path(__file__).parents[1] / "browser" / "conftest.py"
CLICK_MS, LAUNCH_S = 150, 10
LESSON = "05_cook_by_temperature.ipynb"

# One round: a wrong and a right answer in quick succession, the second perhaps before the first is answered.
# Returns [milliseconds from the last click to its verdict, whether the verdict belongs to that answer].
ROUND = """async ([first, last, pause]) => {
  const card = document.querySelector('[data-exercise=stage-chart]'), box = card.closest('.sk');
  const input = card.querySelector('input'), press = () => card.querySelector('button[type=submit]').click();
  const type = (text) => { input.value = text; input.dispatchEvent(new Event('input', { bubbles: true })); };
  const verdict = card.querySelector('.sk-verdict');
  if (first !== null) { type(first); press(); await new Promise((go) => setTimeout(go, pause)); }
  type(last);
  const before = verdict.dataset.serial, start = performance.now();
  press();
  const seen = [];
  while (box.dataset.state !== 'shown' || verdict.dataset.serial === before) {
    if (performance.now() - start > 30000) throw new Error('no verdict in 30 s');
    await new Promise((go) => setTimeout(go, 2));
  }
  const took = performance.now() - start;
  const said = verdict.textContent;
  return [took, said.includes(last === '30' ? 'Right' : 'SLIP-CHART') && said.includes(`Read as ${last}`)];
}"""
KEEP_BUSY = """() => window.jupyterapp.shell.currentWidget.sessionContext.session.kernel.requestExecute(
  {code: 'import time\\nend = time.time() + 3\\nwhile time.time() < end: sum(range(20000))'})"""


def load_fixtures() -> ModuleType:
    spec = importlib.util.spec_from_file_location("browser_fixtures", BROWSER_TESTS)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@contextlib.contextmanager
def chromium(fixtures: ModuleType) -> Iterator[Any]:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=fixtures.CHROMIUM, headless=True, args=fixtures.ARGUMENTS
        )
        yield browser
        browser.close()


@contextlib.contextmanager
def workbook(fixtures: ModuleType, home: Path, name: str) -> Iterator[tuple[Any, Any]]:
    person = fixtures.people.create(name, home=home)
    environment = {"SMOKEHOUSE_PERSON": person.id, "SMOKEHOUSE_HOME": str(home)}
    book = fixtures.Workbook(
        person.lessons,
        person.folder / "jupyter",
        environment=environment,
        options=["--expose-app-in-browser"],
    )
    try:
        yield book, person
    finally:
        book.stop()


def measure_clicks(fixtures: ModuleType, browser: Any, home: Path, checks: int) -> bool:
    """Time quiet clicks; then check under load that every verdict belongs to its answer."""
    with workbook(fixtures, home, "Bench One") as (book, person):
        shutil.copy(fixtures.DATA / "stage.py", person.lessons / "stage.py")
        book.start()
        stage = fixtures.Stage(book, person)
        page = browser.new_page()
        page.goto(stage.notebook("lesson.task('stage-chart')"))
        page.locator("[data-kit-ran]").wait_for(state="attached")
        page.evaluate(ROUND, [None, "55", 0])  # the first one loads what marking needs
        quiet = [page.evaluate(ROUND, [None, ("30", "55")[i % 2], 0])[0] for i in range(100)]
        stale, busy = 0, []
        for turn in range(checks):
            if turn % 10 == 0:
                page.evaluate(KEEP_BUSY)
            first, last = (("55", "30"), ("30", "55"))[turn % 2]
            took, right = page.evaluate(ROUND, [first, last, turn % 40])
            busy.append(took)
            stale += not right
    median = statistics.median(quiet)
    print(f"click to verdict, quiet, n=100: median {median:.0f}, worst {max(quiet):.0f} ms (<= {CLICK_MS})")
    print(
        f"click to verdict, busy, n={checks}: median {statistics.median(busy):.0f}, worst {max(busy):.0f} ms"
    )
    print(f"stale verdicts with a busy engine: {stale} in {checks} (0)")
    return median <= CLICK_MS and stale == 0


def measure_launch(fixtures: ModuleType, browser: Any, home: Path, turns: int) -> bool:
    """Time from starting the server to the first checked answer of lesson 5, the browser already open."""
    from kit.practice import prepare

    took = []
    for turn in range(turns):
        with workbook(fixtures, home, f"Bench Launch {turn}") as (book, person):
            prepare(person)
            start = time.perf_counter()
            book.start()
            up = time.perf_counter() - start
            page = browser.new_page()
            book.warm(LESSON)
            page.goto(book.address(LESSON))
            card = page.locator(".sk-task").first
            card.wait_for()
            for line in card.locator(".sk-line").all():
                line.click()
                card.locator(".sk-partner").first.click()
            live = time.perf_counter() - start
            card.locator("button[type=submit]").click()
            card.locator(".sk-verdict-line").wait_for()
            took.append(time.perf_counter() - start)
            drawn = page.locator("[data-drawn]").count()
            print(
                f"launch {turn + 1}: server {up:.1f} s, first task {live:.1f} s, first mark {took[-1]:.1f} s"
            )
            print(f"  explorers drawn by then: {drawn}")
            page.close()
    median = statistics.median(took)
    print(f"launch to first mark, n={turns}: median {median:.1f}, worst {max(took):.1f} s (<= {LAUNCH_S})")
    return median <= LAUNCH_S


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--checks", type=int, default=500, help="rounds under load")
    parser.add_argument("--launches", type=int, default=5, help="launches to time")
    chosen = parser.parse_args()
    fixtures = load_fixtures()
    home = Path(tempfile.mkdtemp(prefix="bench-browser-"))
    try:
        with chromium(fixtures) as browser:
            launched = measure_launch(fixtures, browser, home, chosen.launches)
            clicked = measure_clicks(fixtures, browser, home, chosen.checks)
    finally:
        shutil.rmtree(home, ignore_errors=True)
    return 0 if launched and clicked else 1


if __name__ == "__main__":
    sys.exit(main())
