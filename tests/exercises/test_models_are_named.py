"""A task whose numbers come from a model says so: every exercise is watched while it is drawn."""

from __future__ import annotations

import sys
from types import FrameType
from typing import Any

import pytest

from kit import exercises

_BY_HAND = {"set-the-smoke", "read-the-chips-chart"}  # their model of smoke is quick, so it is not kept
# a rule's equal treatment is weighed by a model, and never met by it
_BY_A_RULE = {"own-rule-counts", "own-cook-log", "own-cook-batch", "own-readings-today"}


def rests_on_a_model(name: str) -> bool:
    """Whether drawing the exercise runs a simulation or a model of death and growth."""
    found: set[str] = set()

    def watch(frame: FrameType, event: str, arg: Any) -> None:
        file = frame.f_code.co_filename.replace("\\", "/")
        if event == "call" and ("/process/microbes/" in file or file.endswith("engine/cache.py")):
            found.add(file)

    for seed in (1, 2, 3):
        exercises.question(name, seed)  # what a module does once, when it is first used, does not count
        sys.setprofile(watch)
        try:
            exercises.question(name, seed + 10)
        finally:
            sys.setprofile(None)
    return bool(found)


@pytest.mark.parametrize("name", [*exercises.ids(), *exercises.explain_ids()])
def test_an_exercise_that_rests_on_a_model_is_declared_so(name: str):
    expected = name in _BY_HAND or (rests_on_a_model(name) and name not in _BY_A_RULE)
    assert exercises.info(name).model == expected
