"""What an author writes as text becomes keys, slips, answers and safety conclusions."""

import pytest

from kit.basics.errors import BadData
from kit.marking import build, mark
from kit.marking.authored import Joined, Turned, option
from kit.marking.draw import Draw
from kit.marking.model import Number, Picture, Places, Region, Slip

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


# --- what is handed on ----------------------------------------------------------------------------------


def test_whatever_an_author_gives_reaches_the_question():
    extras = {"worked": "So.", "hints": ["Think."], "of": 3.0, "facts": {"x": 1}, "number_in_text": True}
    picture = Picture("fillet", {}, "A fillet.")
    numbers = {
        "rel_tol": 0.02,
        "abs_tol": 1.0,
        "one_sided": "at most",
        "far": 2.0,
        "difference": True,
        "decimals": 1,
        "edges": [5.0],
        "plausible": (0.0, 9.0),
    }
    parts = build.number(
        "How much?", 4, "g", slips=[Slip("half", 2.0, "No.")], picture=picture, **numbers, **extras
    )
    assert parts.kind == Number("g", **{**numbers, "edges": (5.0,)})
    assert (parts.text, parts.answer, parts.slips) == ("How much?", 4.0, (Slip("half", 2.0, "No."),))
    assert (parts.worked, parts.hints, parts.of, parts.facts) == ("So.", ("Think.",), 3.0, {"x": 1})
    assert parts.number_in_text and parts.picture is picture and not parts.reads_chart
    bare = build.number("How much?", 4, "g")
    assert bare.kind == Number("g") and (bare.worked, bare.hints, bare.of, bare.facts) == ("", (), 1.0, {})
    assert bare.picture is None and bare.number_in_text is False
    chart = build.chart("When?", 4, "min", picture, slips=[Slip("air", 2.0, "No.")], abs_tol=1.0)
    assert chart.picture is picture and chart.reads_chart and chart.slips and chart.kind.abs_tol == 1.0
    targets = [Region("a", 0.1, 0.2, 0.05, 0.06)]
    places = build.places("Mark it.", picture, targets, slack=0.03, of=2.0)
    assert places.kind == Places(tuple(targets), (), 1, 0.03) and places.of == 2.0
    assert places.answer == [[0.1, 0.2]]


def both_said(parts, answer, make, *names):
    outcome = mark(make.asked(parts), answer)
    says = {slip.name: slip.says for slip in parts.slips}
    assert all(says[name] in outcome.message for name in names), outcome.message
    return outcome


def test_a_slip_is_seen_by_its_part_whatever_else_is_wrong(make):
    options = [
        option("A", right=True, says="A belongs."),
        option("B", right=True, says="B belongs."),
        option("C", right=True),
        option("D", says="D does not.", name="the D"),
    ]
    parts = build.several(Draw(1), "Which?", options)
    key = {text: key for key, text in ((each.key, each.text) for each in parts.kind.options)}
    both_said(parts, [key["C"]], make, "left out: A", "left out: B")
    both_said(parts, [key["A"], key["D"]], make, "the D", "left out: B")
    joins = [Joined("A", "y", "Not y."), Joined("B", "z", "Not z.")]
    parts = build.match(Draw(1), "Join.", {"A": "x", "B": "y", "C": "z"}, joins)
    left, right = ({each.text: each.key for each in side} for side in (parts.kind.left, parts.kind.right))
    wrong = {left["A"]: right["y"], left["B"]: right["z"], left["C"]: right["x"]}
    both_said(parts, wrong, make, "A: y", "B: z")
    reasons = [option("Cold", right=True), option("Pale", says="Never mind the colour.")]
    wrongs = {"go on": "No.", "reject": "Ask first."}
    parts = build.recommend(Draw(1), "What now?", "hold", reasons, wrongs)
    pale = next(each.key for each in parts.kind.reasons if each.text == "Pale")
    both_said(parts, {"decision": "go on", "reason": pale}, make, "decision: go on", "Pale")
    traps = [(Region("tail", 0.9, 0.9, 0.1, 0.1), "Thin."), (Region("fin", 0.1, 0.9, 0.1, 0.1), "Bony.")]
    targets = [Region("thick", 0.3, 0.3, 0.1, 0.1), Region("thicker", 0.5, 0.5, 0.1, 0.1)]
    parts = build.places("Mark 2.", make.picture, targets, traps, count=2)
    both_said(parts, [[0.1, 0.9], [0.9, 0.9]], make, "tail", "fin")
    parts = build.order(
        Draw(1),
        "In order.",
        list("ABCD"),
        [Turned("B", "A", "A first."), Turned("D", "C", "C first.", name="late")],
    )
    key = {each.text: each.key for each in parts.kind.options}
    assert both_said(parts, [key[step] for step in "BADC"], make, "B before A", "late").slip == "B before A"


def test_two_right_ones_are_enough_to_leave_one_out():
    options = [option("A", right=True, says="A belongs."), option("B", right=True), WRONG]
    parts = build.several(Draw(1), "Which?", options)
    assert {slip.name for slip in parts.slips} == {"left out: A", "No"}
    assert [slip.name for slip in build.several(Draw(1), "Which?", options[1:]).slips] == ["No"]


def test_two_steps_are_never_shown_in_order_and_one_step_is_shown():
    for seed in SEEDS:
        assert [each.text for each in build.order(Draw(seed), "Order?", ["A", "B"]).kind.options] == [
            "B",
            "A",
        ]
    assert build.order(Draw(1), "Order?", ["A"]).answer == ["a"]


def test_left_items_have_numbers_and_right_ones_letters(make):
    question = make.match()
    assert [each.key for each in question.kind.left] == ["1", "2", "3", "4"]
    assert [each.key for each in question.kind.right] == ["a", "b", "c", "d"]


def test_to_go_on_may_be_the_right_decision_alone():
    reasons = [option("Y", right=True)]
    parts = build.recommend(Draw(1), "?", "go on", reasons, {"hold": "No.", "reject": "No."})
    assert parts.answer == {"decision": "go on", "reason": "a"} and parts.kind.also == ()


@pytest.mark.parametrize(
    "write",
    [
        lambda draw, text: build.one(draw, text, [WRONG]),
        lambda draw, text: build.several(draw, text, [WRONG]),
        lambda draw, text: build.order(draw, text, ["A", "B"], [Turned("A", "B", "x")]),
        lambda draw, text: build.order(draw, text, ["A", "B"], [Turned("A", "A", "x")]),
        lambda draw, text: build.order(draw, text, ["A", "B"], [Turned("A", "C", "x")]),
        lambda draw, text: build.match(draw, text, {"A": "x"}, [Joined("C", "x", "?")]),
        lambda draw, text: build.match(draw, text, {"A": "x"}, must=["B"]),
        lambda draw, text: build.recommend(draw, text, "hold", [WRONG], {}),
    ],
)
def test_what_is_refused_is_named_by_its_question(write):
    long = "Where, in this " + "very " * 20 + "long question, is it?"
    with pytest.raises(BadData) as caught:
        write(Draw(1), long)
    assert caught.value.where == f"question {long[:60]!r}"
