"""The Pythons that the suite is tried on are found, and those that README.md names."""

from __future__ import annotations

import importlib.util
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
_spec = importlib.util.spec_from_file_location("environments", ROOT / "tests" / "environments.py")
assert _spec is not None and _spec.loader is not None
environments = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(environments)


def test_the_readme_names_the_pythons_that_are_tried():
    tested = next(
        line
        for line in (ROOT / "README.md").read_text(encoding="utf-8").splitlines()
        if line.startswith("Tested on")
    )
    assert re.findall(r"3\.\d+", tested) == list(environments.versions())


def test_the_running_python_is_found_and_one_that_does_not_start_is_not(monkeypatch: pytest.MonkeyPatch):
    assert environments.find(environments.RUNNING)
    monkeypatch.setattr(environments, "candidates", lambda version: ["no-such-python"])
    assert environments.find(environments.RUNNING) is None


def test_it_fails_when_a_run_fails_or_no_other_python_was_tried():
    here = environments.RUNNING
    assert environments.exit_code([here, "3.0"], [here, "3.0"], []) == 0
    assert environments.exit_code([here], [here], []) == 0
    assert environments.exit_code([here, "3.0"], [here], []) == 1
    assert environments.exit_code([here, "3.0"], [here], ["3.0"]) == 1
    assert environments.exit_code([here], [], []) == 1
