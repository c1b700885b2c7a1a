"""Marking every kind by the stated scheme."""

import math

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kit.basics.errors import OutOfRange
from kit.marking import mark
from kit.marking.batch_runs import batch_run, run_named
from kit.marking.model import BatchRun, Outcome, Slip

JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inner: st.lists(inner, max_size=6) | st.dictionaries(st.text(max_size=5), inner, max_size=6),
    max_leaves=12,
)
KEYS = st.sampled_from("abcdef123")
NEARLY = (
    KEYS
    | st.lists(KEYS, max_size=8)
    | st.dictionaries(KEYS, KEYS | st.none(), max_size=5)
    | st.lists(st.lists(st.floats(0, 1), min_size=2, max_size=2), max_size=3)
    | st.fixed_dictionaries({"air_c": st.floats(50, 100), "time_min": st.integers(0, 120)})
    | st.fixed_dictionaries({"decision": st.sampled_from(["go on", "hold", "reject"]), "reason": KEYS})
    | st.floats(-100, 200)
    | st.integers(-100, 200).map(str)
)
HOSTILE = [
    None,
    True,
    False,
    "",
    " ",
    "x" * 1_000_000,
    b"\xff",
    "\ud800",
    float("nan"),
    math.inf,
    10**400,
    [],
    {},
    [[]],
    [True],
    [None] * 50,
    {"decision": "hold"},
    {"decision": ["hold"], "reason": {}},
    {1: 2},
    [["a"], ["b"]],
    [[0.5, True]],
    [[0.5, 10**400]],
    {"a": ["a"]},
    {"air_c": "hot", "time_min": 10},
    {"air_c": True, "time_min": 10},
    {"air_c": 10**400, "time_min": 10},
]


def test_the_answer_itself_earns_full_marks(question):
    outcome = mark(question, question.answer)
    assert (outcome.score, outcome.of, outcome.verdict) == (question.of, question.of, "right")
    assert outcome.message.startswith("Right.")
    assert outcome.slip == ""
    assert outcome.read_as


def test_every_slip_is_recognised_and_answered(question):
    assert question.slips
    for slip in question.slips:
        outcome = mark(question, slip.value)
        assert outcome.score < outcome.of
        assert outcome.verdict in ("partly", "not yet")
        assert slip.says in outcome.message
        assert outcome.slip == slip.name


@pytest.mark.parametrize("raw", HOSTILE, ids=lambda raw: repr(raw)[:25])
def test_nonsense_is_not_read(question, raw):
    outcome = mark(question, raw)
    assert (outcome.score, outcome.verdict) == (0, "not read")
    assert outcome.message
    assert outcome.of == question.of


@pytest.mark.slow
@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(raw=JSON | NEARLY)
def test_marking_never_raises_and_stays_within_the_marks(question, raw):
    outcome = mark(question, raw)
    assert 0 <= outcome.score <= outcome.of == question.of
    assert (outcome.score == outcome.of) == (outcome.verdict == "right")
    assert (outcome.verdict == "partly") == (0 < outcome.score < outcome.of)
    assert mark(question, raw) == outcome
    outcome.message.encode("utf-8")


# --- number


@pytest.mark.parametrize("typed", ["50", "50 g", "50,0 g", "0.05 kg", "49", "51", 50, 49.0, "5e1"])
def test_a_number_within_its_tolerance_is_right(make, typed):
    assert mark(make.salt(), typed).verdict == "right"


@pytest.mark.parametrize("typed", ["48.9", "51.1", "-50", "0", "500"])
def test_a_number_outside_its_tolerance_is_not(make, typed):
    assert mark(make.salt(), typed).score == 0


def test_how_it_was_read_is_echoed(make):
    assert mark(make.salt(), "0,05 kg").read_as == "0.05 kg, that is 50 g"
    assert mark(make.salt(), "25").read_as == "25 g"


def test_a_missing_unit_costs_nothing_and_is_said(make):
    outcome = mark(make.salt(), "50")
    assert (outcome.score, outcome.message) == (1.0, "Right. Write the unit too: 50 g.")
    assert mark(make.salt(), "50 g").message == "Right."
    assert mark(make.salt(), 50).message == "Right."


def test_too_many_decimals_cost_nothing_and_are_said(make):
    assert "asks for 1 decimal" in mark(make.core(), "62.80 °C").message
    assert mark(make.core(), "62.8 °C").message == "Right."


def test_rounded_too_far_is_half_right(make):
    outcome = mark(make.core(), "63 °C")
    assert (outcome.score, outcome.verdict, outcome.slip) == (0.5, "partly", "rounded too far")
    assert mark(make.core(), "62 °C").score == 0
    assert mark(make.core(), 63.0).score == 0, "a number, not text: its digits are not known"


@pytest.mark.parametrize(
    ("typed", "score"),
    [("3", 1), ("3.1", 1), ("10", 1), ("2.9", 0), ("2.9999", 0), ("10.1", 0), ("0.05 h", 1)],
)
def test_a_safety_limit_is_one_sided_and_exact(make, typed, score):
    assert mark(make.limit(), typed).score == score


def test_an_upper_limit_is_one_sided_too(make):
    from kit.marking import build

    question = make.asked(build.number("How warm may it be?", 8.0, "°C", one_sided="at most", far=0))
    assert [mark(question, each).score for each in ("8", "5", "0", "8.1", "-0.5")] == [1, 1, 1, 0, 0]
    assert "unsafe side" in mark(question, "8.1").message
    near = make.asked(build.number("How warm may it be?", 8.0, "°C", one_sided="at most", abs_tol=1))
    assert [mark(near, each).score for each in ("8", "7", "6.9", "8.01")] == [1, 1, 0, 0]


def test_a_slip_is_found_through_its_rounding_and_its_unit(make):
    assert mark(make.salt(), "54 g").slip == "of the total"
    assert mark(make.salt(), "0.0535 kg").slip == "of the total"
    assert mark(make.salt(), "24.6 g").slip == "half"
    assert mark(make.salt(), "30 g").slip == ""


def test_the_nearest_slip_answers(make):
    slips = (Slip("low", 20.0, "Low."), Slip("high", 20.9, "High."))
    question = make.salt(slips=slips)
    assert mark(question, "20.4").slip == "low"
    assert mark(question, "20.6").slip == "high"


def test_common_slips_of_any_number(make):
    assert mark(make.salt(), "500").slip == "decimal point"
    assert mark(make.salt(), "0.5").slip == "decimal point"
    assert mark(make.salt(), "-50").slip == "sign"


def test_a_point_between_thousands_is_asked_about(make):
    question = make.salt(answer=1250.0, slips=())
    outcome = mark(question, "1.250")
    assert outcome.verdict == "not read"
    assert "read as 1.25 g" in outcome.message
    assert mark(question, "1.249 g").verdict == "not read"
    assert mark(question, "1.25").slip == "decimal point"


def test_a_chart_is_marked_as_a_number(make):
    question = make.chart()
    assert question.kind_name == "chart"
    assert mark(question, "42,5 min").verdict == "right"


# --- choices


def test_one_wrong_option_says_why(make):
    question = make.one()
    for slip in question.slips:
        assert mark(question, slip.value).message == f"Not yet. {slip.says}"


def keys_of(options, *texts):
    return [option.key for text in texts for option in options if option.text == text]


@pytest.mark.parametrize(
    ("texts", "share"),
    [
        (["Hold the batch", "Write it down", "Call the chef"], 1.0),
        (["Hold the batch", "Write it down"], 2 / 3),
        (["Hold the batch"], 1 / 3),
        (["Hold the batch", "Write it down", "Call the chef", "Wash the rack"], 2 / 3),
        (["Hold the batch", "Write it down", "Wash the rack"], 1 / 3),
        (["Hold the batch", "Wash the rack"], 0.0),
        (["Write it down", "Call the chef"], 0.0),
        (["Hold the batch", "Write it down", "Call the chef", "Serve it"], 0.0),
    ],
)
def test_several_earn_right_picks_less_wrong_ones(make, texts, share):
    question = make.several()
    outcome = mark(question, keys_of(question.kind.options, *texts))
    assert outcome.score == pytest.approx(share)


def test_picking_everything_earns_nothing(make):
    question = make.several()
    assert mark(question, [option.key for option in question.kind.options]).score == 0


def test_a_missed_safety_conclusion_leads_the_message(make):
    question = make.several()
    outcome = mark(question, keys_of(question.kind.options, "Write it down", "Wash the rack"))
    assert outcome.message.startswith(
        "Not yet. This is about safety, so it scores 0. “Hold the batch”: A batch in doubt stays."
    )


def test_picking_one_twice_is_picking_it_once(make):
    question = make.several()
    assert mark(question, [*question.answer, question.answer[0]]).verdict == "right"


@pytest.mark.parametrize(
    ("steps", "share"),
    [
        (["Cure", "Dry", "Smoke", "Cook", "Chill", "Pack"], 1.0),
        (["Dry", "Cure", "Smoke", "Cook", "Chill", "Pack"], 13 / 15),
        (["Dry", "Smoke", "Cook", "Chill", "Pack", "Cure"], 5 / 15),
        (["Chill", "Cook", "Smoke", "Dry", "Cure", "Pack"], 0.0),
        (["Cure", "Dry", "Smoke", "Cook", "Pack", "Chill"], 0.0),
    ],
)
def test_order_earns_the_pairs_kept(make, steps, share):
    question = make.order()
    assert mark(question, keys_of(question.kind.options, *steps)).score == pytest.approx(share)


def test_a_turned_pair_is_found_wherever_it_stands(make):
    question = make.order()
    raw = keys_of(question.kind.options, "Smoke", "Cure", "Cook", "Dry", "Chill", "Pack")
    assert mark(question, raw).slip == "Smoke before Dry"


def test_match_earns_the_joins_made_rightly(make):
    question = make.match()
    lefts = {option.text: option.key for option in question.kind.left}
    rights = {option.text: option.key for option in question.kind.right}
    partly = {**question.answer, lefts["salt"]: rights["adds smoke"]}
    outcome = mark(question, partly)
    assert (outcome.score, outcome.slip) == (0.75, "salt: adds smoke")
    unfinished = {**question.answer, lefts["ice"]: None}
    assert mark(question, unfinished).score == 0.75
    assert mark(question, {**question.answer, lefts["cold"]: rights["kills germs"]}).score == 0


def test_a_right_decision_with_a_wrong_reason_is_half(make):
    question = make.recommend()
    right, wrong = question.answer["reason"], question.slips[-1].value["reason"]
    outcome = mark(question, {"decision": "hold", "reason": wrong})
    assert (outcome.score, outcome.verdict) == (0.5, "partly")
    assert "Colour says nothing" in outcome.message
    assert mark(question, {"decision": "reject", "reason": right}).score == 1
    unsafe = mark(question, {"decision": "go on", "reason": right})
    assert (unsafe.score, unsafe.slip) == (0, "decision: go on")
    assert mark(question, {"decision": "go on", "reason": wrong}).score == 0
    strict = make.recommend(also=())
    careful = mark(strict, {"decision": "reject", "reason": strict.answer["reason"]})
    assert (careful.score, careful.verdict) == (0.25, "partly") and "throws fish away" in careful.message
    assert "safety" not in careful.message


# --- places, controls, explain


@pytest.mark.parametrize(
    ("points", "score"),
    [
        ([[0.3, 0.5], [0.35, 0.5]], 1.0),
        ([[0.325, 0.5], [0.325, 0.5]], 1.0),
        ([[0.24, 0.5], [0.3, 0.5]], 1.0),
        ([[0.22, 0.5], [0.21, 0.5]], 0.5),
        ([[0.3, 0.5]], 0.5),
        ([[0.3, 0.5], [0.9, 0.5]], 0.5),
        ([[0.9, 0.5], [0.9, 0.4]], 0.0),
        ([[0.409, 0.5], [0.3, 0.5]], 1.0),
        ([[0.3, 0.611], [0.3, 0.5]], 0.5),
    ],
)
def test_each_mark_needs_a_target_of_its_own(make, points, score):
    assert mark(make.places(), points).score == pytest.approx(score)


def test_a_trap_says_why(make):
    outcome = mark(make.places(), [[0.3, 0.5], [0.95, 0.55]])
    assert (outcome.slip, outcome.message) == ("tail", "Partly. 1 of 2 found. The tail is thin.")


@pytest.mark.parametrize("points", [[[0.3, 0.5]] * 3, [[1.2, 0.5]], [[0.3]], [[0.3, "x"]], [{"x": 0.3}]])
def test_points_off_the_picture_are_not_read(make, points):
    assert mark(make.places(), points).verdict == "not read"


def test_a_batch_earns_what_its_run_earns(make):
    question = make.controls()
    right = mark(question, {"air_c": 80, "time_min": 60})
    assert (right.score, right.verdict, right.message) == (2, "right", "Right. The core got there.")
    dry = mark(question, {"air_c": 80, "time_min": 90})
    assert (dry.score, dry.verdict, dry.read_as) == (1, "partly", "cabinet air 80 °C; cook time 90 min")
    assert mark(question, {"air_c": 60, "time_min": 40}).slip == "too cool"


def test_settings_snap_to_their_step(make):
    assert mark(make.controls(), {"air_c": 76.9, "time_min": 41}).read_as == (
        "cabinet air 75 °C; cook time 40 min"
    )


@pytest.mark.parametrize(
    ("settings", "words"),
    [
        ({"air_c": 80}, "Set cook time to a number."),
        ({"air_c": 200, "time_min": 40}, "from 50 to 100 °C"),
        ({"air_c": 80, "time_min": 40, "door": 1}, "does not have"),
        ([80, 40], "Set cabinet air"),
    ],
)
def test_settings_that_cannot_be_run_are_not_read(make, settings, words):
    outcome = mark(make.controls(), settings)
    assert outcome.verdict == "not read"
    assert words in outcome.message


def test_a_run_that_refuses_its_settings_is_not_read(make):
    from dataclasses import replace

    @batch_run("refuses")
    def refuses(settings, facts):
        raise OutOfRange("rh_pct", 0, "above 0")

    question = make.controls()
    refusing = replace(question, kind=replace(question.kind, run="refuses"))
    assert "rh_pct is 0" in mark(refusing, question.answer).message


def test_a_run_cannot_earn_more_than_full_marks(make):
    from dataclasses import replace

    batch_run("generous")(lambda settings, facts: BatchRun(9, 2, ("Much.",)))
    question = make.controls()
    generous = replace(question, kind=replace(question.kind, run="generous"))
    assert mark(generous, question.answer).score == 2


def test_an_unknown_run_is_the_authors_fault():
    with pytest.raises(LookupError, match="no batch run called 'no such run'"):
        run_named("no such run")


def test_an_explanation_is_kept_and_not_scored(make):
    outcome = mark(make.explain(), "Heat has further to go.")
    assert outcome == Outcome(0, 0, "kept", "Kept for your tutor to read.", "", "5 words")
    assert mark(make.explain(), "  ").verdict == "not read"
    assert mark(make.explain(), 63).verdict == "not read"
    assert mark(make.explain(), "x" * 20_001).verdict == "not read"
    assert mark(make.explain(), "\ud800 hot").verdict == "not read"
