"""The linter, the formatter and the type checker are part of the one test command."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]

CHECKS = {
    "ruff check": ["ruff", "check", "--no-cache", "."],
    "ruff format": ["ruff", "format", "--no-cache", "--check", "."],
    "mypy": ["mypy", "--no-incremental", "kit"],
}


@pytest.mark.parametrize(
    "name", [pytest.param(name, marks=[pytest.mark.slow] if name == "mypy" else []) for name in CHECKS]
)
def test_check_passes(name: str):
    run = subprocess.run([sys.executable, "-m", *CHECKS[name]], cwd=ROOT, capture_output=True, text=True)
    assert run.returncode == 0, run.stdout[-4000:] + run.stderr[-2000:]
