"""What an author writes as text becomes keys, slips, answers and safety conclusions."""

import pytest

from kit.basics.errors import BadData
from kit.marking import build
from kit.marking.authored import Joined, Turned, option
from kit.marking.draw import Draw
from kit.marking.model import Picture, Region

SEEDS = range(30)
WRONG = option("No", says="Because.")


def text_of(options, key):
    return next(each.text for each in options if each.key == key)


def test_keys_are_letters_given_after_shuffling(make):
    keys = {make.one(seed).answer for seed in SEEDS}
    assert keys == {"a", "b", "c"}
    for seed in SEEDS:
        question = make.one(seed)
        assert [each.key for each in question.kind.options] == ["a", "b", "c"]
        assert text_of(question.kind.options, question.answer) == "At half depth in the thickest part"
        assert {slip.name for slip in question.slips} == {"Under the skin", "In the tail"}


def test_several_works_out_its_safety_conclusions(make):
    for seed in SEEDS:
        question = make.several(seed)
        options = question.kind.options
        assert {text_of(options, key) for key in question.kind.must} == {"Hold the batch"}
        assert {text_of(options, key) for key in question.kind.never} == {"Serve it"}
        assert {slip.name for slip in question.slips} == {
            "left out: Hold the batch",
            "left out: Write it down",
            "Serve it",
            "Wash the rack",
            "Change the wood",
        }


def test_leaving_out_the_only_right_one_is_no_slip():
    parts = build.several(Draw(1), "Which?", [option("Yes", right=True, says="It is."), WRONG])
    assert [slip.name for slip in parts.slips] == ["No"]


def test_an_order_is_never_shown_in_the_right_order(make):
    for seed in range(300):
        question = make.order(seed)
        assert [option.key for option in question.kind.options] != question.answer


def test_two_left_items_may_share_a_right_one(make):
    question = make.match()
    assert [option.text for option in question.kind.right].count("slows germs") == 1
    assert len(question.kind.right) == 4
    joins = {
        text_of(question.kind.left, left): text_of(question.kind.right, right)
        for left, right in question.answer.items()
    }
    assert joins["cold"] == joins["ice"] == "slows germs"


def test_a_trap_stands_in_for_the_first_target():
    picture = Picture("fillet", {}, "A fillet.")
    targets = [Region("a", 0.1, 0.1, 0.05, 0.05), Region("b", 0.5, 0.5, 0.05, 0.05)]
    trap = Region("tail", 0.9, 0.9, 0.05, 0.05)
    parts = build.places("Mark 2.", picture, targets, [(trap, "Too thin.")], count=2)
    assert parts.answer == [[0.1, 0.1], [0.5, 0.5]]
    assert parts.slips[0].value == [[0.9, 0.9], [0.5, 0.5]]
    assert parts.picture is picture


def test_an_explanation_carries_no_marks(make):
    question = make.explain()
    assert (question.of, question.answer, question.kind_name) == (0.0, "", "explain")


@pytest.mark.parametrize(
    ("write", "problem"),
    [
        (lambda draw: option("No"), "does not say why"),
        (lambda draw: option("No", says="  "), "does not say why"),
        (lambda draw: build.one(draw, "Which?", [WRONG]), "0 right options"),
        (lambda draw: build.one(draw, "Which?", [option("A", right=True)] * 2), "2 right options"),
        (lambda draw: build.several(draw, "Which?", [WRONG]), "no right option"),
        (lambda draw: build.order(draw, "Order?", ["A", "B"], [Turned("A", "B", "x")]), "does come before"),
        (
            lambda draw: build.order(draw, "Order?", ["A", "B"], [Turned("C", "B", "x")]),
            "not one of its items",
        ),
        (
            lambda draw: build.match(draw, "Join?", {"A": "x"}, [Joined("A", "z", "?")]),
            "not one of its items",
        ),
        (lambda draw: build.match(draw, "Join?", {"A": "x"}, must=["B"]), "not one of its items"),
        (
            lambda draw: build.recommend(draw, "?", "hold", [option("Y", right=True)], {"go on": "No."}),
            "not every wrong decision",
        ),
        (
            lambda draw: build.recommend(
                draw, "?", "go on", [option("Y", right=True)], {"reject": "No."}, also=["hold"]
            ),
            "as good as another",
        ),
        (
            lambda draw: build.recommend(draw, "?", "hold", [WRONG], {"go on": "No.", "reject": "No."}),
            "0 right reasons",
        ),
    ],
)
def test_a_question_that_cannot_work_is_refused_when_written(write, problem):
    with pytest.raises(BadData, match=problem):
        write(Draw(1))


def test_more_options_than_letters_are_refused():
    many = [option(f"Wrong {at}", says="No.") for at in range(30)]
    with pytest.raises(BadData, match="31 options"):
        build.one(Draw(1), "Which?", [option("Right", right=True), *many])
