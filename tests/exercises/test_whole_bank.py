"""The bank as a whole: enough exercises, of every kind, for every knowledge criterion."""

from __future__ import annotations

from collections import Counter

import pytest

from kit import criteria, exercises
from kit.exercises.engine.fingerprints import texts_of
from kit.practice.lesson_files import lesson_files

IDS = exercises.ids()
KINDS = {"number", "one", "several", "order", "match", "places", "chart", "controls", "recommend"}


def test_there_are_at_least_80_exercises_and_8_a_lesson():
    assert len(IDS) >= 80
    by_lesson = Counter(exercises.info(name).lesson for name in IDS)
    assert set(by_lesson) == {lesson.number for lesson in lesson_files()}
    assert min(by_lesson.values()) >= 8, by_lesson


def test_every_knowledge_criterion_is_practised_by_two_or_more():
    served = Counter(each for name in IDS for each in exercises.info(name).criteria)
    short = {each.id: served[each.id] for each in criteria.of_kind("knowledge") if served[each.id] < 2}
    assert not short


@pytest.mark.slow
def test_every_kind_is_used():
    assert {exercises.question(name, 1).kind_name for name in IDS} == KINDS


@pytest.mark.slow
def test_at_least_45_draw_their_numbers_or_situations():
    def variants(name: str) -> int:
        return len({exercises.fingerprint(exercises.question(name, seed)) for seed in range(12)})

    drawn = [name for name in IDS if variants(name) >= 4]
    assert len(drawn) >= 45


@pytest.mark.slow
def test_the_trades_fish_is_in_a_third_of_the_tasks():
    def is_about_salmon(name: str) -> bool:
        drawn = (exercises.question(name, seed) for seed in range(12))
        return any("salmon" in " ".join((asked.text, *texts_of(asked).values())).lower() for asked in drawn)

    about = [name for name in exercises.ids() if is_about_salmon(name)]
    assert len(about) >= len(exercises.ids()) / 3
