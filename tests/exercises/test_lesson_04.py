"""What is special to lesson 4: an unlisted or unfit wood never scores, and the alarm means out first."""

from __future__ import annotations

import pytest

from kit import exercises
from kit.exercises.lesson_04_wood import _UNLISTED
from kit.marking import mark
from kit.process.wood import look_up, woods
from kit.views.pictures.wood import wood_rack


@pytest.mark.parametrize("seed", range(20))
def test_picking_a_refused_or_unlisted_wood_scores_nothing(seed: int):
    question = exercises.question("choose-from-the-rack", seed)
    for option in question.kind.options:
        name = option.text.split(",")[0].lower()
        if option.key in question.answer:
            assert look_up(name).usable
        else:
            assert mark(question, [*question.answer, option.key]).score == 0


def test_a_batch_goes_on_only_where_label_and_record_prove_a_listed_wood():
    seen = set()
    for seed in range(30):
        question = exercises.question("wrong-wood-was-used", seed)
        decision = question.answer["decision"]
        seen.add(decision)
        proven = "The label of the open sack says" in question.text
        assert (decision == "go on") == proven
        if proven:
            assert look_up(question.text.split("record says ")[1].split(",")[0]).usable
            assert mark(question, {**question.answer, "decision": "reject"}).score < question.of
        else:
            assert mark(question, {**question.answer, "decision": "go on"}).score == 0
            assert mark(question, {**question.answer, "decision": "reject"}).score == question.of
    assert seen == {"go on", "hold"}


def test_the_rack_shows_every_label_that_an_exercise_asks_about():
    listed = wood_rack({}).text.lower()
    use, refuse = listed.split("refuse:")
    for seed in range(40):
        question = exercises.question("choose-from-the-rack", seed)
        for option in question.kind.options:
            name = option.text.split(",")[0].lower()
            if option.key in question.answer:
                assert name in use
            else:
                assert name not in use
                assert (name in refuse) or name in _UNLISTED
    assert all(one.lower() in (use if each.usable else refuse) for each in woods() for one in each.names)


def test_calling_before_leaving_scores_nothing():
    question = exercises.question("alarm-at-the-kiln", 3)
    turned = [question.answer[1], question.answer[0], *question.answer[2:]]
    assert mark(question, turned).score == 0


def test_each_knowledge_criterion_is_practised_twice_in_this_lesson():
    served = [c for name in exercises.ids(4) for c in exercises.info(name).criteria]
    for criterion in ("WDS-K01", "WDS-K03", "WDS-K04", "WDS-K05", "HAS-K02"):
        assert served.count(criterion) >= 2, criterion
