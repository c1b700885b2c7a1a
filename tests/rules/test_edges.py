"""Every limit at its edge, for every rule of every profile: what just meets it, and the least that does not.

"At least" and "at most" include the limit itself, and nothing on the unsafe side of it, however near. The
probe's error is set to 0 here, so that only the limit counts.
"""

import math

import numpy as np
import pytest

from kit import rules
from kit.basics.errors import BadData, OutOfRange
from kit.process.physics.trace import Phase, Trace

NUMBERED = [rule for name in rules.PROFILES for rule in rules.load(name) if rule.has_number]
A_LITTLE = 1e-4  # of a degree or a minute: far less than any logger shows


def of_form(form):
    return [rule for rule in NUMBERED if rule.form == form]


def outcome(shown, rule):
    return rules.judge_rule(shown, rule, probe_error_c=0.0, max_gap_min=1e5, purpose=rule.purpose).outcome


def ids(rule):
    return rule.id


@pytest.mark.parametrize("rule", of_form("value"), ids=ids)
@pytest.mark.parametrize("name", ["quantity", "id"])
def test_a_value_at_its_limit_meets_it_and_the_next_number_does_not(rule, name):
    for limit, unsafe in ((rule.minimum, -math.inf), (rule.maximum, math.inf)):
        if limit is not None:
            shown = {getattr(rule, name): limit}
            assert outcome(shown, rule) == "met"
            beyond = math.nextafter(limit, unsafe)
            if beyond >= 0 or rule.unit == "°C":
                assert outcome({getattr(rule, name): beyond}, rule) == "not met"


@pytest.mark.parametrize("rule", of_form("window"), ids=ids)
def test_a_window_that_took_all_its_time_is_met_and_a_moment_more_is_not(rule):
    assert outcome({rule.id: rule.minutes}, rule) == "met"
    assert outcome({rule.id: math.nextafter(rule.minutes, math.inf)}, rule) == "not met"


@pytest.mark.parametrize("rule", [r for r in of_form("window") if r.until != "chiller"], ids=ids)
@pytest.mark.parametrize(
    ("late_min", "silent_min", "then"),
    [(0.0, 0.001, "met"), (0.0, 5.0, "met"), (0.01, 0.001, "not met"), (0.01, 5.0, "cannot tell")],
)
def test_a_record_that_cools_in_just_that_time_meets_the_window(rule, late_min, silent_min, then):
    """The core is last read above the limit ``silent_min`` before it is read at the limit."""
    took, warm = rule.minutes + late_min, rule.from_c or 66.0
    minutes = np.array([0.0, 0.001, took - silent_min, took, took + 1])
    core_c = np.array([warm, warm - 0.1, rule.maximum + 0.1, rule.maximum, rule.maximum])
    phases = (Phase("cook", -40.0, 0.0), Phase("chill", 0.0, took + 1))
    assert outcome(Trace(minutes, core_c, phases=phases), rule) == then


@pytest.mark.parametrize(("late_min", "then"), [(0.0, "met"), (0.01, "not met")])
def test_in_the_chiller_in_just_that_time_meets_the_window(late_min, then):
    (rule,) = (rule for rule in NUMBERED if rule.until == "chiller")
    phases = (Phase("cook", -40.0, 0.0), Phase("chill", rule.minutes + late_min, 200.0))
    assert outcome(Trace(np.array([0.0, 200.0]), np.array([60.0, 2.0]), phases=phases), rule) == then


@pytest.mark.parametrize(
    ("rule", "row"),
    [(r, row) for r in of_form("hold") for row in r.holds],
    ids=lambda x: getattr(x, "id", getattr(x, "words", "")),
)
def test_a_hold_of_just_that_heat_and_time_is_met_and_any_less_is_not(rule, row):
    side = -A_LITTLE if not row.cold else A_LITTLE

    def record(temp_c, minutes):
        phases = (Phase("store", 0.0, minutes),) if row.cold else ()
        return Trace(np.array([0.0, minutes or 1.0]), np.full(2, temp_c), phases=phases)

    assert outcome(record(row.temp_c, row.minutes), rule) == "met"
    assert outcome(record(row.temp_c + side, row.minutes), rule) != "met"
    if row.minutes:
        assert outcome(record(row.temp_c, row.minutes - A_LITTLE), rule) != "met"
    for minutes, enough in ((row.minutes, True), (row.minutes - A_LITTLE, False)):
        if not row.cold and minutes >= 0:
            shown = {"core_temp_c": row.temp_c, "hold_min": minutes}
            assert (outcome(shown, rule) == "met") == enough


@pytest.mark.parametrize("rule", of_form("lethality"), ids=ids)
def test_a_kill_of_just_that_many_logs_meets_it_and_any_less_does_not(rule):
    kill = rule.kill
    for name in (rule.id, "log_reduction"):
        assert outcome({name: kill.logs}, rule) == "met"
        assert outcome({name: math.nextafter(kill.logs, 0)}, rule) == "not met"
    for minutes, then in ((kill.minutes, "met"), (kill.minutes - A_LITTLE, "not met")):
        assert outcome({"core_temp_c": kill.ref_c, "hold_min": minutes}, rule) == then
        assert outcome(Trace(np.array([0.0, minutes]), np.full(2, kill.ref_c)), rule) == then


@pytest.mark.parametrize(
    ("readings_c", "then"),
    [
        ((2.0, 2.0, 5.0), "met"),  # 0 to 5 °C, both included
        ((0.0, 2.0, 2.0), "met"),
        ((2.0, 5.01, 2.0), "not met"),
        ((2.0, -0.01, 2.0), "not met"),  # the fish froze once, and was never too warm
        ((-0.01, 2.0, 5.01), "not met"),
    ],
)
def test_a_store_is_judged_by_its_warmest_and_by_its_coldest_reading(readings_c, then):
    record = Trace(np.arange(3.0), np.array(readings_c), phases=(Phase("store", 0.0, 2.0),))
    assert outcome(record, rules.load("ie")["ie-fridge"]) == then


# --- what cannot be -----------------------------------------------------------------------------------

NEVER = [math.nan, math.inf, -math.inf]
AS_ONE_MAY_GET_IT_WRONG = [
    # a name that is judged, a rule that reads it, and numbers that nature does not know
    ("uk-chill-start-30", "uk-chill-start-30", [-5.0, -0.01]),
    ("chill_start_min", "uk-chill-start-30", [-5.0, -0.01]),
    ("ie-chill-150", "ie-chill-150", [-5.0, -0.01, 1e7]),  # 1e7 min are 19 years
    ("us-retail-cool-57-21", "us-retail-cool-57-21", [-5.0]),
    ("us-processor-cook-hold", "us-processor-cook-hold", [-30.0]),
    ("hold_min", "us-processor-cook-hold", [-30.0]),
    (
        "core_temp_c",
        "us-processor-cook-hold",
        [145.0, 106.0, -61.0, -300.0],
    ),  # °F, boiling, colder than any freezer
    ("us-processor-listeria-6d", "us-processor-listeria-6d", [-1.0, 500.0]),
    ("log_reduction", "us-processor-listeria-6d", [-1.0]),
    ("us-processor-salt-vacuum", "us-processor-salt-vacuum", [-0.1, 27.1]),  # a full brine holds 26.4 %
    ("water_phase_salt_pct", "us-processor-salt-vacuum", [-3.5, 35.0]),
    ("ie-life-5", "ie-life-5", [-1.0]),
    ("shelf_life_days", "ie-life-5", [-1.0]),
]


@pytest.mark.parametrize(("name", "rule_id", "numbers"), AS_ONE_MAY_GET_IT_WRONG)
def test_what_cannot_be_is_refused_and_never_judged(name, rule_id, numbers):
    rule = next(rule for rule in NUMBERED if rule.id == rule_id)
    shown = {"core_temp_c": 64.0, "hold_min": 40.0}
    for number in numbers + NEVER:
        with pytest.raises(OutOfRange, match=name) as refused:
            rules.judge_rule(shown | {name: number}, rule)
        assert refused.value.name == name and "must be" in str(refused.value)


@pytest.mark.parametrize("rule", [rule for rule in NUMBERED if rule.form != "hold"], ids=ids)
def test_no_rule_reads_a_time_a_mass_or_a_count_below_nothing(rule):
    if rule.unit != "°C" or rule.form == "window":
        with pytest.raises(OutOfRange):
            rules.judge_rule({rule.id: -1e-6}, rule)


@pytest.mark.parametrize("core_c", [math.inf, -math.inf, 150.0, 105.1, -60.1])
def test_a_record_of_a_core_that_cannot_be_is_refused(core_c):
    record = Trace(np.arange(40.0), np.append(np.full(39, 64.0), core_c))
    with pytest.raises(OutOfRange, match=r"core_c is .*; it must be from -60 to 105"):
        rules.judge(record, rules.load("us-processor"), step="cook")


def test_a_record_that_chills_before_it_has_cooked_is_refused():
    phases = (Phase("cook", 0.0, 60.0), Phase("chill", 55.0, 200.0))
    record = Trace(np.array([0.0, 60.0, 200.0]), np.array([5.0, 66.0, 2.0]), phases=phases)
    with pytest.raises(
        OutOfRange, match=r"chill_start_min is -5; .* Does the chilling begin inside the cook"
    ):
        rules.judge(record, rules.load("uk"), step="chill")


def test_a_phase_without_an_end_is_refused():
    record = Trace(
        np.arange(3.0), np.full(3, 64.0), phases=(Phase("cook", 0.0, math.nan), Phase("chill", 1, 2))
    )
    with pytest.raises((OutOfRange, BadData)):
        rules.judge(record, rules.load("uk"), step="chill")
