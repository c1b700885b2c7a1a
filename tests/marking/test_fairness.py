"""Fair marks: mending a fault never costs, care is not called unsafe, and no wrong answer meets silence."""

from dataclasses import replace
from functools import cache
from itertools import combinations, product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit import exercises, rules
from kit.basics.errors import BadData
from kit.marking import build, mark
from kit.marking.authored import Turned
from kit.marking.draw import Draw
from kit.marking.model import DECISIONS, Match, Number, One, Order, Places, Recommend, Several
from kit.marking.typed_number import read_number

IE = rules.load("ie")
LESSONS = sorted({exercises.info(name).lesson for name in exercises.ids()})
seeds = st.integers(0, 60)


@cache
def of_kind(kind, lesson=None):
    """The exercises of one kind; drawn when a test asks, as collecting would wait for it."""
    return [name for name in exercises.ids(lesson) if isinstance(exercises.question(name, 1, IE).kind, kind)]


def names_of(kind):
    return st.deferred(lambda: st.sampled_from(of_kind(kind)))


# --- mending a fault never lowers the score ---------------------------------------------------------------


@pytest.mark.slow
@given(name=names_of(Order), seed=seeds, data=st.data())
def test_turning_a_pair_the_right_way_never_costs(name, seed, data):
    question = exercises.question(name, seed, IE)
    given_order = data.draw(st.permutations(question.answer))
    before = mark(question, given_order).score
    place = {key: at for at, key in enumerate(given_order)}
    wrong = [
        (early, late)
        for early, late in combinations(question.answer, 2)
        if place[early] > place[late] and (early, late) not in question.kind.free
    ]
    if not wrong:
        assert before == question.of
        return
    early, late = data.draw(st.sampled_from(wrong))
    mended = list(given_order)
    mended[place[early]], mended[place[late]] = late, early
    now = {key: at for at, key in enumerate(mended)}
    if any(place[one] < place[two] and now[one] > now[two] for one, two in question.kind.must):
        return  # a step between was put on the unsafe side: that is no mending
    assert mark(question, mended).score >= before


@pytest.mark.slow
@given(name=names_of(Match), seed=seeds, data=st.data())
def test_joining_a_line_rightly_never_costs(name, seed, data):
    question = exercises.question(name, seed, IE)
    rights = [option.key for option in question.kind.right]
    joined = {left: data.draw(st.sampled_from([None, *rights])) for left in question.answer}
    wrong = [left for left in joined if joined[left] != question.answer[left]]
    if wrong and any(joined.values()):
        mended = joined | {(left := data.draw(st.sampled_from(wrong))): question.answer[left]}
        assert mark(question, mended).score >= mark(question, joined).score


@pytest.mark.slow
@given(name=names_of(Several), seed=seeds, data=st.data())
def test_picking_a_right_one_or_dropping_a_wrong_one_never_costs(name, seed, data):
    question = exercises.question(name, seed, IE)
    keys = [option.key for option in question.kind.options]
    picked = set(data.draw(st.lists(st.sampled_from(keys), min_size=1, unique=True)))
    wrong = sorted(picked ^ set(question.answer))
    if wrong:
        mended = picked ^ {data.draw(st.sampled_from(wrong))}
        if mended:
            assert mark(question, sorted(mended)).score >= mark(question, sorted(picked)).score


@pytest.mark.slow
@given(name=names_of(Places), seed=seeds, data=st.data())
def test_moving_a_mark_into_its_place_never_costs(name, seed, data):
    question = exercises.question(name, seed, IE)
    spot = st.tuples(st.floats(0, 1), st.floats(0, 1)).map(list)
    marks = data.draw(st.lists(spot, min_size=question.kind.count, max_size=question.kind.count))
    before = mark(question, marks).score
    mended = [list(question.answer[0]), *marks[1:]]
    free = [mark(question, [each]).score for each in marks]
    if not free[0]:  # the first mark hit nothing
        assert mark(question, mended).score >= before


@pytest.mark.slow
@given(name=names_of(Recommend), seed=seeds, data=st.data())
def test_a_better_reason_never_costs_and_care_is_not_called_unsafe(name, seed, data):
    question = exercises.question(name, seed, IE)
    decision = data.draw(st.sampled_from(sorted(DECISIONS)))
    reason = data.draw(st.sampled_from([option.key for option in question.kind.reasons]))
    outcome = mark(question, {"decision": decision, "reason": reason})
    right = question.answer["decision"]
    assert mark(question, {"decision": decision, "reason": question.answer["reason"]}).score >= outcome.score
    assert mark(question, {"decision": right, "reason": reason}).score >= outcome.score
    order = ["go on", "hold", "reject"]
    if order.index(decision) > order.index(right):
        assert "safety" not in outcome.message
        assert outcome.score > 0
    elif decision == "go on" != right:
        assert outcome.score == 0


# --- steps that may stand either way -----------------------------------------------------------------------


def test_a_careful_step_earlier_costs_nothing():
    steps = ["Load", "Check the probe", "Probe", "Smoke"]
    parts = build.order(Draw(1), "Order.", steps, free=[("Load", "Check the probe")])
    keys = {option.text: option.key for option in parts.kind.options}
    early = [keys[step] for step in ("Check the probe", "Load", "Probe", "Smoke")]
    question = exercises.question("order-of-the-cook", 3, IE)
    asked = replace(question, kind=parts.kind, answer=parts.answer, slips=())
    assert mark(asked, early).verdict == "right"
    late = [keys[step] for step in ("Load", "Probe", "Check the probe", "Smoke")]
    assert mark(asked, late).verdict == "partly"


def test_a_pair_that_others_force_is_not_free():
    with pytest.raises(BadData, match="is not free"):
        build.order(Draw(1), "Order.", ["a", "b", "c"], free=[("a", "c")])
    with pytest.raises(BadData, match="is not free"):
        build.order(Draw(1), "Order.", ["a", "b", "c"], free=[("b", "a")])
    with pytest.raises(BadData, match="does come before"):
        build.order(Draw(1), "Order.", ["a", "b"], [Turned("a", "b", "No.")])


# --- no wrong answer is met with silence -------------------------------------------------------------------

BARE = {
    "Not yet.", "Partly.", "Not yet. This is about safety, so it scores 0.",
    "Not yet. Read the question again, and take the steps one by one.",
}  # fmt: skip


def tail_of(message):
    """What a message says beyond how many were right."""
    return message.partition(". ")[2]


@pytest.mark.parametrize("lesson", LESSONS)
def test_every_wrong_join_is_answered_by_its_own_line(lesson):
    for name, seed in product(of_kind(Match, lesson), range(6)):
        question = exercises.question(name, seed, IE)
        lefts = {option.key: option.text for option in question.kind.left}
        told = {str(slip.shows): slip.says for slip in question.slips}
        for left in question.answer:
            for right in (option.key for option in question.kind.right):
                if right == question.answer[left]:
                    continue
                message = mark(question, {**question.answer, left: right}).message
                own = told.get(str({left: right}), lefts[left])
                assert own in message, (name, left, right, message)


@pytest.mark.parametrize("lesson", LESSONS)
def test_every_swap_of_neighbours_is_answered(lesson):
    for name, seed in product(of_kind(Order, lesson), range(6)):
        question = exercises.question(name, seed, IE)
        texts = {option.key: option.text for option in question.kind.options}
        says = [slip.says for slip in question.slips]
        for at, (early, late) in enumerate(zip(question.answer, question.answer[1:], strict=False)):
            swapped = list(question.answer)
            swapped[at], swapped[at + 1] = late, early
            outcome = mark(question, swapped)
            if swapped == list(texts):  # as shown, so no try
                assert outcome.verdict == "not read"
            elif (early, late) in question.kind.free:
                assert outcome.verdict == "right"
            else:
                told = texts[early] in outcome.message or any(each in outcome.message for each in says)
                assert told, (name, texts[early], outcome.message)


@pytest.mark.slow
@pytest.mark.parametrize("kind", [One, Several, Recommend, Places], ids=lambda kind: kind.__name__)
def test_every_wrong_option_reason_and_mark_is_answered(kind):
    for name in of_kind(kind):
        for seed in range(6):
            question = exercises.question(name, seed, IE)
            for raw in wrong_answers(question):
                outcome = mark(question, raw)
                if outcome.verdict != "right":
                    assert outcome.message not in BARE and tail_of(outcome.message), (name, raw, outcome)


def wrong_answers(question):
    kind = question.kind
    if isinstance(kind, One):
        yield from (option.key for option in kind.options if option.key != question.answer)
    elif isinstance(kind, Several):
        yield from ([option.key] for option in kind.options)
        yield from (sorted({*question.answer, option.key}) for option in kind.options)
        yield from (sorted({*question.answer} - {key}) for key in question.answer if len(question.answer) > 1)
    elif isinstance(kind, Recommend):
        for decision in DECISIONS:
            yield from ({"decision": decision, "reason": option.key} for option in kind.reasons)
    else:
        yield from ([[x / 10, y / 10]] for x in range(0, 11, 2) for y in range(0, 11, 2))


# --- numbers ------------------------------------------------------------------------------------------------


def test_the_given_number_is_no_answer():
    """31 °F was 'right' where 31 °F was to be turned into °C: the reader turns units, the learner had not."""
    for seed in range(20):
        question = exercises.question("card-in-fahrenheit", seed, IE)
        given_f = question.text.partition(" at ")[2].partition(" °F")[0]
        for typed in (f"{given_f} F", f"{given_f} °F", f"{given_f}.0 degrees F"):
            outcome = mark(question, typed)
            assert outcome.verdict == "not read" and "given" in outcome.message, typed
        assert mark(question, f"{question.answer:.1f} °C").verdict == "right"


def test_a_letter_that_looks_like_a_plural_is_no_unit():
    assert not read_number("5 s", "").ok
    assert read_number("5 days", "days").value == 5


@pytest.mark.parametrize("typed", ["2 h 30", "2h30", "2:30", "2 h 30 min", "2 hours 30", "150", "150 min"])
def test_hours_and_minutes_are_read(typed):
    assert read_number(typed, "min").value == pytest.approx(150)
    if "150" not in typed:
        assert read_number(typed, "h").value == pytest.approx(2.5)


@pytest.mark.parametrize("typed", ["2:30", "2:75", "2:3:4"])
def test_a_clock_time_is_no_temperature_and_no_nonsense(typed):
    assert not read_number(typed, "°C").ok
    assert read_number("2:75", "min").ok is False


@pytest.mark.slow
@given(
    name=names_of(Number),
    seed=seeds,
    typed=st.one_of(
        st.sampled_from(["5e-324", "-5e-324", "1e-300", "1e308", "0", "-0", "0.0", "9e99"]),
        st.floats(allow_nan=False, allow_infinity=False).map(repr),
        st.text(max_size=20),
    ),
)
def test_nothing_typed_as_a_number_raises(name, seed, typed):
    assert mark(exercises.question(name, seed, IE), typed).verdict in (
        "right",
        "partly",
        "not yet",
        "not read",
    )


def test_fahrenheit_on_a_plain_number_gets_a_whole_sentence():
    assert read_number("145 °F", "").problem == (
        "You gave a temperature in °F. The question wants a number without a unit."
    )
