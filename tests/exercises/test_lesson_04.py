"""What is special to lesson 4: an unlisted or unfit wood never scores, and the alarm means out first."""

from __future__ import annotations

import re

import pytest

from kit import exercises
from kit.exercises.lesson_04 import smoke
from kit.exercises.lesson_04.wood import _UNLISTED
from kit.marking import mark
from kit.marking.batch_runs import run_named
from kit.process.physics.wood import look_up, woods
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


@pytest.mark.parametrize("seed", range(20))
def test_the_chips_read_off_are_those_that_burn_in_the_time(seed: int):
    question = exercises.question("read-the-chips-chart", seed)
    minutes = float(re.search(r"want (\d+) min", question.text)[1])
    tray = float(re.search(r"tray of (\d+) cm²", question.text)[1])
    # a front of 0.0014 to 0.0018 cm/s in beds of 0.2038 to 0.2343 g/cm³ (smoulder-pine-flour): the middle
    low, high = 0.0014 * 0.2038, 0.0018 * 0.2343
    grams = (low + high) / 2 * tray * minutes * 60 * 1.12
    assert question.answer == pytest.approx(grams, rel=0.03)
    told = [float(each) for each in re.findall(r"(\d+) g for", question.picture.text)]
    assert all(abs(each - question.answer) > question.kind.abs_tol for each in told)


@pytest.mark.parametrize("seed", range(20))
def test_a_tray_on_the_card_smokes_long_enough_at_both_ends(seed: int):
    question = exercises.question("set-the-smoke", seed)
    wanted = question.facts["wanted_min"]
    run = run_named(question.kind.run)(question.answer, question.facts)
    low, high = (float(each) for each in re.search(r"Smoke for (\d+) to (\d+) min", run.says[0]).groups())
    assert wanted <= low < high <= 2 * wanted
    assert run.score == run.of and not run.slip
    untouched = {each.key: each.start for each in question.kind.controls}
    assert mark(question, untouched).score == 0


def test_the_run_counts_each_miss_once():
    question = exercises.question("set-the-smoke", 1)
    for name in smoke._SAYS:
        value = next(slip.value for slip in question.slips if slip.name == name)
        found = mark(question, value)
        assert (found.slip, found.score) == (name, question.of - 1)
        assert found.message.count(smoke._SAYS[name]) == 1
    assert "from memory, confirm" in mark(question, question.answer).message
