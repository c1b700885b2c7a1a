"""What runs while somebody works: few cases of a long sweep, yet something of every room."""

from __future__ import annotations

import os
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest

from tests.conftest import KEPT_CASES, MOST_CASES, chosen

ROOT = Path(__file__).resolve().parents[1]
ELSEWHERE = {"benchmarks", "browser", "data", "javascript", "mutation"}  # measured, or slow by what they are


def test_a_sweep_keeps_few_cases_spread_over_it_and_others_in_another_test():
    for cases in (MOST_CASES + 1, 50, 1153):
        kept = chosen("tests/a.py::test_a", cases)
        assert len(kept) == KEPT_CASES and kept <= set(range(cases))
        gaps = [later - earlier for earlier, later in zip(sorted(kept), sorted(kept)[1:], strict=False)]
        assert min(gaps) >= cases // KEPT_CASES - 1
    assert len({frozenset(chosen(f"test_{letter}", 1153)) for letter in "abcdef"}) == 6


@pytest.mark.slow
def test_every_room_has_checks_in_the_inner_loop():
    command = [sys.executable, "-m", "pytest", "-n", "0", "--collect-only", "-q"]
    run = subprocess.run(
        [*command, "-m", "not slow and not browser", "tests"],
        cwd=ROOT, capture_output=True, text=True, check=True, timeout=600,
        env={**os.environ, "PYTEST_ADDOPTS": ""},  # how lines look is this test's own business
    )  # fmt: skip
    found = Counter[str]()
    for line in run.stdout.splitlines():
        path, _, number = line.rpartition(": ")
        if path.endswith(".py"):
            found[path.rpartition("/")[0]] += int(number)
    rooms = {
        path.parent.relative_to(ROOT).as_posix()
        for path in (ROOT / "tests").rglob("test_*.py")
        if not ELSEWHERE & set(path.relative_to(ROOT).parts)
    }
    assert len(rooms) > 20
    assert not {room: found[room] for room in rooms if found[room] < 3}
