"""What is special to lesson 9: lots followed by hand, whose law is told, and money that adds up."""

from __future__ import annotations

import re
from collections import Counter
from itertools import combinations

import pytest

from kit import exercises, rules
from kit.exercises.lesson_09.lots import CUSTOMERS, drawn_suspect
from kit.marking import mark
from kit.marking.draw import Draw
from kit.process.product_faults import PRODUCT_FAULTS
from kit.rules.papers import papers
from kit.views.pictures.register import draw_picture, explorer_named

SEEDS = range(40)
NEW = ("REC-K05", "PLS-K04", "REC-K06", "PLS-K05")


@pytest.mark.parametrize("criterion", NEW)
def test_its_criteria_are_practised_in_two_kinds_or_more(criterion):
    serving = [name for name in exercises.ids(9) if criterion in exercises.info(name).criteria]
    assert len(serving) >= 2
    assert len(Counter(exercises.question(name, 1).kind_name for name in serving)) >= 2


def by_hand(records, suspect):
    """Follow a delivery with nothing but the papers, as a person would."""
    bad = {batch for batch, taken in records.batches.items() if suspect in taken}
    return {name for name, taken in records.dispatches.items() if bad & set(taken)}


def test_whom_to_call_is_what_the_papers_say_by_hand():
    for seed in SEEDS:
        records, suspect = drawn_suspect(Draw(seed))
        assert set(records.reached(suspect)) == by_hand(records, suspect)


def test_no_batch_sends_out_more_than_it_can_have_made():
    # half of what went in is a usual yield; the papers of a lesson must not show fish out of nothing
    for seed in SEEDS:
        records, _ = drawn_suspect(Draw(seed))
        sent = Counter()
        for taken in records.dispatches.values():
            sent.update(taken)
        for batch, kg in sent.items():
            assert kg <= 0.5 * sum(records.batches[batch].values())


def test_leaving_out_one_customer_scores_nothing_and_calling_one_too_many_still_scores():
    for seed in SEEDS:
        question = exercises.question("whom-do-you-call", seed)
        others = [each.key for each in question.kind.options if each.key not in question.answer]
        assert mark(question, question.answer[1:] or others[:1]).score == 0
        assert mark(question, sorted([*question.answer, others[0]])).score > 0


def test_looking_for_the_cause_before_calling_scores_nothing():
    for seed in SEEDS:
        question = exercises.question("recall-in-order", seed)
        for slip in question.slips:
            if slip.name == "looked for the cause first":
                assert mark(question, slip.value).score == 0


@pytest.mark.parametrize("profile", rules.PROFILES)
def test_the_papers_of_another_land_are_never_the_kitchens_own(profile):
    question = exercises.question("what-the-papers-must-say", 3, rules.load(profile))
    shown = {each.text for each in question.kind.options}
    us, eu = ({each.text for each in papers("tracing", law)} for law in ("us", "eu"))
    assert shown <= (us if profile.startswith("us") else eu)
    assert ("were not read" in question.text) == (profile == "codex")


def test_pictures_and_explorers_say_the_same_in_words():
    records, _ = drawn_suspect(Draw(1))
    drawn = draw_picture(records.picture().name, records.picture().data)
    assert all(name in drawn.figure for name in records.dispatches)
    assert set(records.dispatches) <= set(CUSTOMERS)
    for name in ("how-far-a-lot-spreads", "cost-of-a-kilo"):
        spec = explorer_named(name)
        assert spec.draw(spec.start()).text


@pytest.mark.parametrize("mixed", [1, 2, 3, 4])
def test_mixing_lots_multiplies_a_recall(mixed):
    spec = explorer_named("how-far-a-lot-spreads")
    assert f"{12 * mixed} kg of finished fish" in spec.draw({"mixed": mixed, "day": 0}).facts[0]


@pytest.mark.slow
def test_a_day_with_one_setting_wrong_is_told_by_the_record_in_the_question():
    for seed in SEEDS:
        question = exercises.question("what-made-this-piece", seed)
        right = next(each.text for each in question.kind.options if each.key == question.answer)
        meant, went = re.findall(r"meant: (.*?)\. The day as it went: (.*?)\. What", question.text)[0]
        brought = PRODUCT_FAULTS["blood spots"].cause
        assert (meant == went) == (right == brought), question.text


def test_no_mark_of_the_drawing_hides_another():
    for seed in SEEDS:
        kind = exercises.question("mark-the-cause", seed).kind
        spots = [(each.x, each.y) for each in (*kind.targets, *kind.traps)]
        assert all(abs(a[0] - b[0]) > 0.12 for a, b in combinations(spots, 2))


@pytest.mark.parametrize("name", PRODUCT_FAULTS)
def test_every_fault_has_a_drawing_of_its_own(name):
    spec = explorer_named("one-setting-wrong")
    plain = spec.draw(spec.start()).figure
    assert spec.draw({"cause": name}).figure != plain


def test_tar_and_sour_fish_never_go_on():
    for seed in SEEDS:
        question = exercises.question("the-fault-and-the-batch", seed)
        reason = question.answer["reason"]
        told = next(each.text for each in question.kind.reasons if each.key == reason)
        if not told.startswith("It is a fault of looks"):
            assert mark(question, {"decision": "go on", "reason": reason}).score == 0


def test_the_oval_mark_and_the_gear_hang_on_the_house_and_the_fish():
    # 853/2004 Annex II section I: the mark is an approved house's; 1379/2013 art. 35: gear, for caught fish.
    asked = {each.id: each for each in papers("label", "eu")}
    for approved in (True, False):
        for caught in (True, False):
            ask = {name: one.asked_of(approved=approved, caught=caught) for name, one in asked.items()}
            assert ask["eu-label-mark"] is approved and ask["eu-label-gear"] is caught
            assert ask["eu-label-allergen"] and not ask["eu-label-thawed"]


def test_a_label_without_its_allergen_scores_nothing():
    for seed in SEEDS:
        question = exercises.question("what-this-label-needs", seed)
        for slip in question.slips:
            if slip.name == "left out: eu-label-allergen":
                assert mark(question, slip.value).score == 0
