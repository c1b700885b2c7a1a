"""What is special to lesson 4: an unlisted or unfit wood never scores, and the alarm means out first."""

from __future__ import annotations

import pytest

from kit import exercises
from kit.marking import mark
from kit.process.wood import look_up


@pytest.mark.parametrize("seed", range(20))
def test_picking_a_refused_or_unlisted_wood_scores_nothing(seed: int):
    question = exercises.question("choose-from-the-rack", seed)
    for option in question.kind.options:
        name = option.text.split(",")[0].lower()
        if option.key in question.answer:
            assert look_up(name).usable
        else:
            assert mark(question, [*question.answer, option.key]).score == 0


@pytest.mark.parametrize("seed", range(20))
def test_going_on_after_the_wrong_wood_scores_nothing(seed: int):
    question = exercises.question("wrong-wood-was-used", seed)
    assert mark(question, {**question.answer, "decision": "go on"}).score == 0
    assert mark(question, {**question.answer, "decision": "reject"}).score == question.of


def test_calling_before_leaving_scores_nothing():
    question = exercises.question("alarm-at-the-kiln", 3)
    turned = [question.answer[1], question.answer[0], *question.answer[2:]]
    assert mark(question, turned).score == 0


def test_each_knowledge_criterion_is_practised_twice_in_this_lesson():
    served = [c for name in exercises.ids(4) for c in exercises.info(name).criteria]
    for criterion in ("WDS-K01", "WDS-K03", "WDS-K04", "WDS-K05", "HAS-K02"):
        assert served.count(criterion) >= 2, criterion
