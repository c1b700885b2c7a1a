"""Every exercise of the bank, on 8 seeds: the walk that CI does on 1,000."""

from __future__ import annotations

import importlib.util
from collections import Counter
from pathlib import Path

import pytest

from kit import criteria, exercises
from kit.basics.errors import UnknownName
from kit.marking.model import Number

WALK = Path(__file__).resolve().parents[1] / "benchmarks" / "walk_bank.py"
_spec = importlib.util.spec_from_file_location("walk_bank", WALK)
assert _spec is not None and _spec.loader is not None
walk_bank = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(walk_bank)

IDS = exercises.ids()
LESSONS = sorted({exercises.info(name).lesson for name in IDS})


@pytest.mark.parametrize("name", IDS)
def test_eight_variants_have_no_fault(name: str):
    faults, variants = walk_bank.walk((name,), 8)
    assert not faults
    assert variants[name] >= 1


@pytest.mark.parametrize("name", IDS)
def test_a_number_has_two_slips_and_everything_has_help(name: str):
    question = exercises.question(name, 1)
    if isinstance(question.kind, Number):
        assert len(question.slips) >= 2
    assert question.slips, "no slip: a wrong answer would teach nothing"
    assert len(question.hints) >= 1
    assert question.worked.strip()


@pytest.mark.parametrize("lesson", LESSONS)
def test_a_lesson_has_enough_exercises_of_enough_kinds(lesson: int):
    names = exercises.ids(lesson)
    kinds = Counter(exercises.question(name, 1).kind_name for name in names)
    assert len(names) >= 8
    assert len(kinds) >= 5, kinds


def test_lesson_5_covers_what_it_must():
    names = exercises.ids(5)
    assert len(names) >= 12
    assert len({exercises.question(name, 1).kind_name for name in names}) >= 6
    served = Counter(criterion for name in names for criterion in exercises.info(name).criteria)
    for criterion in ("COK-K01", "COK-K02", "COK-K03", "COK-K04", "COK-K05", "WDS-K02", "WDS-K04"):
        assert served[criterion] >= 2, criterion
    prepared = {criterion for name in names for criterion in exercises.info(name).prepares_for}
    assert {"COK-P02", "COK-P03", "COK-P05"} <= prepared


def test_explanations_stand_apart():
    assert exercises.explain_ids(5)
    assert not set(exercises.explain_ids()) & set(IDS)


@pytest.mark.parametrize("name", [*IDS, *exercises.explain_ids()])
def test_criteria_are_of_the_right_sort(name: str):
    info = exercises.info(name)
    assert info.criteria
    assert all(criteria.get(each).kind == "knowledge" for each in info.criteria)
    assert all(criteria.get(each).kind == "performance" for each in info.prepares_for)


def test_an_unknown_exercise_names_a_near_one():
    with pytest.raises(UnknownName, match=IDS[0]):
        exercises.question(IDS[0] + "x", 1)
