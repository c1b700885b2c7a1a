"""What a verdict says, word for word and number for number, and that no true course of the core belies it."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit import rules
from kit.process.physics.trace import Phase, Trace
from kit.rules.judging.holding import judge_hold
from kit.rules.judging.readings import Readings
from kit.rules.model import HoldRow

IE, UK, RETAIL, PROCESSOR = (rules.load(name) for name in ("ie", "uk", "us-retail", "us-processor"))
DOOR = IE["ie-chill-150"]  # 3 °C or less within 150 min of leaving the heat
CHILLER = UK["uk-chill-90"]  # within 90 min of entering the chiller
STAGE = RETAIL["us-retail-cool-57-21"]  # from 57 to 21 °C within 120 min
TRANSFER = UK["uk-chill-start-30"]
HOLD = PROCESSOR["us-processor-cook-hold"]  # 62.8 °C or more for 30 min
KILL = PROCESSOR["us-processor-listeria-6d"]
NUMBERED = [rule for name in rules.PROFILES for rule in rules.load(name) if rule.has_number]


def record(points, *phases):
    minutes, core_c = zip(*points, strict=True) if points else ((), ())
    return Trace(
        np.array(minutes, float), np.array(core_c, float), phases=tuple(Phase(*each) for each in phases)
    )


COOK, CHILL = ("cook", -40.0, 0.0), ("chill", 10.0, 400.0)
SOME_RECORDS = [
    record([]),
    record([(0, math.nan), (1, math.nan)]),
    record([(0, 64.0)]),
    record([(0, 64.0), (200, 2.0)]),
    record([(0, 64.0), (200, 2.0)], COOK),
    record([(0, 64.0), (200, 2.0)], CHILL),
    record([(0, 64.0), (200, 2.0)], COOK, CHILL),
    record([(t, 70.0 * 0.98**t) for t in range(300)], COOK, CHILL),
    record([(t, 70.0 * 0.98**t) for t in range(0, 300, 10)], COOK, CHILL),
    record([(t, 45.0) for t in range(100)], COOK),
    record([(t, 64.0) for t in range(-40, 20)], COOK, ("store", 0.0, 20.0)),
    record([(t, 3.0) for t in range(100)], ("store", 0.0, 99.0)),
    record([(t, -21.0) for t in range(2000)], ("store", 0.0, 1999.0)),
    record([(-50, 64.0), (-45, 64.0)], COOK, ("chill", 0.0, 60.0), ("store", 200.0, 300.0)),
]


@pytest.mark.parametrize("rule", NUMBERED, ids=lambda rule: rule.id)
def test_whatever_the_record_shows_a_verdict_names_its_rule_and_the_limit_in_its_unit(rule):
    kill = rule.kill or rule.equal
    limits = {
        "window": {(rule.minutes, "min")},
        "lethality": {(kill.logs if kill else None, "log10")},
        "value": {(rule.minimum, rule.unit), (rule.maximum, rule.unit)},
        "hold": {(row.minutes, "min") if row.minutes else (row.temp_c, "°C") for row in rule.holds},
    }[rule.form]
    for each in SOME_RECORDS:
        found = rules.judge_rule(each, rule)
        named = (found.rule, found.source, found.seen, found.locator, found.title, found.form)
        assert named == (rule.id, rule.source, rule.seen, rule.locator, rule.title, rule.form)
        assert found.limit_words == rule.limit and found.label == rule.label
        assert found.outcome in ("met", "not met", "cannot tell")
        assert found.why[0].isupper() and found.why.endswith(".") and "None" not in found.why
        if found.measured is None and rule.form != "window":
            assert (found.limit, found.unit, found.outcome) == (None, "", "cannot tell")
        else:
            assert (found.limit, found.unit) in limits
        if found.from_min is not None:
            assert found.from_min <= found.to_min


# --- windows -------------------------------------------------------------------------------------------

LIMIT_150 = "the limit is 150 min."
WINDOWS = {
    "from the door": (
        DOOR,
        record([(0, 66), (5, 60), (135, 4), (136, 2), (140, 1)], COOK),
        {"max_gap_min": 130},
        ("met", 135.5, 0.0, 135.5),
        f"The core was at 3 °C 136 min after the fish left the heat; {LIMIT_150}",
    ),
    "a silence": (
        DOOR,
        record([(0, 66), (5, 60), (135, 4), (136, 2), (140, 1)], COOK),
        {},
        ("cannot tell", 135.5, 0.0, 135.5),
        f"The core was at 3 °C 136 min after the fish left the heat; {LIMIT_150} "
        "But nothing was recorded from 5 to 135 min.",
    ),
    "a silence of just the length allowed": (
        DOOR,
        record([(0, 66), (5, 60), (10, 2), (11, 1)], COOK),
        {},
        ("met", 9.9138, 0.0, 9.9138),
        f"The core was at 3 °C 10 min after the fish left the heat; {LIMIT_150}",
    ),
    "too late": (
        DOOR,
        record([(0, 66), (151, 4), (152, 2)], COOK),
        {},
        ("not met", 151.5, 0.0, 151.5),
        f"The core was at 3 °C 152 min after the fish left the heat; {LIMIT_150}",
    ),
    "never": (
        DOOR,
        record([(0, 66), (160, 4)], COOK),
        {},
        ("not met", 160.0, 0.0, 160.0),
        f"The core was still above 3 °C 160 min after the fish left the heat; {LIMIT_150}",
    ),
    "the record stops": (
        DOOR,
        record([(0, 66), (100, 4)], COOK),
        {},
        ("cannot tell", 100.0, 0.0, 100.0),
        f"The core was still above 3 °C 100 min after the fish left the heat; {LIMIT_150} "
        "The record stops before the limit.",
    ),
    "read above it at the last minute, and below it in the next": (
        DOOR,
        record([(0, 66), (150, 4), (151, 2)], COOK),
        {},
        ("cannot tell", 150.5, 0.0, 150.5),
        f"The core was at 3 °C 150 min after the fish left the heat; {LIMIT_150} "
        "The limit falls between two readings, or within the probe's error.",
    ),
    "within the probe's error": (
        DOOR,
        record([(0, 66), (149, 4), (150, 2.8), (170, 2.7)], COOK),
        {},
        ("cannot tell", 149.8333, 0.0, 149.8333),
        f"The core was at 3 °C 150 min after the fish left the heat; {LIMIT_150} "
        "But the reading lies within the probe's error of 0.5 °C of 3 °C.",
    ),
    "nobody knows when it left the heat": (
        DOOR,
        record([(0, 66), (5, 68), (10, 2), (11, 1)]),
        {},
        ("cannot tell", 4.9242, 5.0, 9.9242),
        f"The core was at 3 °C 5 min after the core was hottest; {LIMIT_150} "
        "The record does not show when that clock started, so the true time may be longer.",
    ),
    "nobody knows, but it was chilling": (
        DOOR,
        record([(0, 66), (5, 68), (10, 2), (11, 1)], ("chill", 7.0, 11.0)),
        {},
        ("cannot tell", 2.9242, 7.0, 9.9242),
        f"The core was at 3 °C 3 min after chilling started; {LIMIT_150} "
        "The record does not show when that clock started, so the true time may be longer.",
    ),
    "cold already": (
        CHILLER,
        record([(0, 66), (5, 2), (10, 1), (12, 1)], ("chill", 10.0, 20.0)),
        {},
        ("met", 0.0, 10.0, 10.0),
        f"The core was at {CHILLER.maximum:g} °C 0 min after the fish went into the chiller; "
        "the limit is 90 min.",
    ),
    "it never went into a chiller": (
        CHILLER,
        record([(0, 66), (5, 2)], COOK),
        {},
        ("cannot tell", None, None, None),
        "The record does not show when the fish went into the chiller.",
    ),
    "it stops before the cooling": (
        CHILLER,
        record([(0, 66), (5, 60)], COOK, ("chill", 10.0, 20.0)),
        {},
        ("cannot tell", None, None, None),
        "The record stops before the cooling.",
    ),
    "no reading": (
        DOOR,
        record([]),
        {},
        ("cannot tell", None, None, None),
        "The record holds no core reading.",
    ),
    "through a temperature": (
        STAGE,
        record([(0, 70), (1, 59), (2, 55), (6, 24), (7, 20), (8, 19)]),
        {},
        ("met", 5.25, 1.5, 6.75),
        "The core was at 21 °C 5 min after it fell through 57 °C; the limit is 120 min.",
    ),
    "warm again after it was cool": (
        STAGE,
        record([(0, 70), (1, 59), (2, 55), (6, 20), (7, 20), (8, 60), (9, 50), (10, 19)]),
        {},
        ("met", 1.6355, 8.3, 9.9355),
        "The core was at 21 °C 2 min after it fell through 57 °C; the limit is 120 min.",
    ),
    "never that warm": (
        STAGE,
        record([(0, 50), (1, 54), (2, 53), (6, 24), (7, 20), (8, 19)]),
        {},
        ("met", 5.75, 1.0, 6.75),
        "The core was at 21 °C 6 min after its peak of 54.0 °C (it never was at 57 °C); "
        "the limit is 120 min.",
    ),
    "it stops just after": (
        STAGE,
        record([(0, 58), (1, 56)]),
        {},
        ("cannot tell", 0.5, 0.5, 1.0),
        "The core was still above 21 °C 0 min after it fell through 57 °C; the limit is 120 min. "
        "The record stops before the limit.",
    ),
    "it stops before it falls": (
        STAGE,
        record([(0, 56), (1, 58)]),
        {},
        ("cannot tell", 0.0, 1.0, 1.0),
        "The core was still above 21 °C 0 min after it fell through 57 °C; the limit is 120 min. "
        "The record stops before the limit.",
    ),
    "begun too late": (
        STAGE,
        record([(0, 54), (2, 53), (6, 24), (7, 20), (8, 19)]),
        {},
        ("cannot tell", 6.75, 0.0, 6.75),
        "The core was at 21 °C 7 min after the record began at 54.0 °C; the limit is 120 min. "
        "The record does not show when that clock started, so the true time may be longer.",
    ),
    "into the chiller": (
        TRANSFER,
        record([(0, 66)], COOK, ("chill", 12.5, 60.0)),
        {},
        ("met", 12.5, 0.0, 12.5),
        "The fish was in the chiller 12 min after it left the heat; the limit is 30 min.",
    ),
    "at once": (
        TRANSFER,
        record([(0, 66)], COOK, ("chill", 0.0, 60.0)),
        {},
        ("met", 0.0, 0.0, 0.0),
        "The fish was in the chiller 0 min after it left the heat; the limit is 30 min.",
    ),
    "into the chiller too late": (
        TRANSFER,
        record([(0, 66)], COOK, ("chill", 30.25, 60.0)),
        {},
        ("not met", 30.25, 0.0, 30.25),
        "The fish was in the chiller 30 min after it left the heat; the limit is 30 min.",
    ),
    "no heat": (
        TRANSFER,
        record([(0, 66)], ("chill", 0.0, 60.0)),
        {},
        ("cannot tell", None, None, None),
        "The record does not show when the fish left the heat.",
    ),
    "no chiller": (
        TRANSFER,
        record([(0, 66)], COOK),
        {},
        ("cannot tell", None, None, None),
        "The record does not show when the fish went into the chiller.",
    ),
}


def later(shown, by_min):
    """Return the same record, begun so much later."""
    phases = tuple(Phase(each.name, each.start_min + by_min, each.end_min + by_min) for each in shown.phases)
    return replace(shown, time_min=shown.time_min + by_min, phases=phases)


@pytest.mark.parametrize("by_min", [0.0, 64.0])
@pytest.mark.parametrize("case", WINDOWS)
def test_what_is_said_of_a_window(case, by_min):
    rule, shown, how, (outcome, measured, *span), why = WINDOWS[case]
    found = rules.judge_rule(later(shown, by_min), rule, **how)
    assert (found.outcome, found.measured) == (outcome, measured)
    assert [found.from_min, found.to_min] == [
        None if each is None else pytest.approx(each + by_min, abs=6e-5) for each in span
    ]
    assert found.why == why.replace("from 5 to 135", f"from {5 + by_min:g} to {135 + by_min:g}")
    assert (found.limit, found.unit) == (rule.minutes, "min")


@pytest.mark.parametrize(
    ("rule", "shown", "outcome"),
    [
        # a silence a little longer than allowed
        (DOOR, record([(0, 66), (5, 60), (10.5, 2), (11, 1)], COOK), "cannot tell"),
        # the first reading of all is cold: since when, nobody knows
        (replace(CHILLER, minutes=4.0), record([(10, 1), (11, 1)], ("chill", 4.0, 20.0)), "cannot tell"),
        # read cold in the very minute it went in
        (replace(CHILLER, minutes=1.0), record([(5, 9), (10, 1), (12, 1)], ("chill", 10.0, 20.0)), "met"),
        # at 57.2 °C the clock may have started already: surely warm was only the 58 °C before
        (replace(STAGE, minutes=3.0), record([(0, 58), (2, 57.2), (3, 30), (5, 20)]), "cannot tell"),
        (replace(STAGE, minutes=5.0), record([(0, 58), (2, 57.2), (3, 30), (5, 20)]), "met"),
        # at 56.8 °C it may not have started yet
        (replace(STAGE, minutes=3.0), record([(0, 58), (1, 56.8), (4, 30), (5, 22), (6, 20)]), "cannot tell"),
        (replace(STAGE, minutes=3.0), record([(0, 58), (1, 56.4), (4, 30), (5, 22), (6, 20)]), "not met"),
        # nowhere surely at 57 °C: if it was not, the clock runs from the peak
        (replace(STAGE, minutes=4.0), record([(0, 50), (1, 57.3), (4, 57.1), (5, 20)]), "met"),
        (replace(STAGE, minutes=3.0), record([(0, 50), (1, 57.3), (4, 57.1), (5, 20)]), "cannot tell"),
    ],
)
def test_a_window_at_the_edge_of_what_the_readings_tell(rule, shown, outcome):
    assert rules.judge_rule(shown, rule).outcome == outcome
    assert rules.judge_rule(later(shown, 64.0), rule).outcome == outcome


def test_a_window_may_ask_for_0_degrees_and_for_no_time():
    rule = replace(DOOR, maximum=0.0)
    shown = record([(0, 66), (2, 1.2), (4, 0.6), (6, 0.6)], COOK)
    assert rules.judge_rule(shown, rule).why.startswith("The core was still above 0 °C")
    at_once = replace(DOOR, minutes=0.0)
    assert rules.judge_rule(record([(0, 2), (1, 1)], COOK), at_once).outcome == "met"
    assert rules.judge_rule(record([(0, 66), (0.5, 2), (1, 1)], COOK), at_once).outcome == "cannot tell"
    assert rules.judge_rule(record([(0, 66), (0.4, 4), (0.5, 2)], COOK), at_once).outcome == "not met"
    assert rules.judge_rule({DOOR.id: 0.5}, at_once).outcome == "not met"
    freezing = replace(STAGE, from_c=0.0, maximum=-5.0)
    assert "it fell through 0 °C" in rules.judge_rule(record([(0, 0.5), (1, -6)]), freezing).why


COURSES = st.lists(
    st.tuples(
        st.sampled_from([1.0, 2.0, 4.0, 7.0]), st.sampled_from([1.0, 2.0, 3.0, 4.0, 20.0, 56.5, 57.0, 60.0])
    ),
    min_size=2,
    max_size=7,
)
WINDOW_RULES = [
    replace(DOOR, minutes=8.0),
    replace(CHILLER, minutes=8.0, maximum=3.0),
    replace(STAGE, minutes=8.0, maximum=3.0),
]


@given(COURSES, st.sampled_from(WINDOW_RULES), st.sampled_from([0.0, 1.0]), st.randoms(use_true_random=False))
def test_no_true_course_of_the_core_belies_a_window(steps, rule, error_c, chance):
    """A true course passes each reading within the probe's error, and runs steadily from one to the next."""
    minutes = np.cumsum([step for step, _ in steps]) - steps[0][0]
    read_c = np.array([temp_c for _, temp_c in steps])
    shown = record(list(zip(minutes, read_c, strict=True)), ("cook", -9.0, 0.0), ("chill", 1.5, 99.0))
    outcome = rules.judge_rule(shown, rule, probe_error_c=error_c, max_gap_min=99.0).outcome
    fine = np.linspace(0.0, minutes[-1], 4 * int(minutes[-1]) + 1)
    for _ in range(5):
        true_c = np.interp(fine, minutes, read_c + error_c * np.array([chance.uniform(-1, 1) for _ in steps]))
        began = {"door": 0.0, "chiller": 1.5}.get(rule.clock)
        if began is None:
            hot = np.flatnonzero(true_c >= rule.from_c)
            if not hot.size:
                return  # such a core starts its clock at its peak: a convention, and no matter of the course
            began = fine[hot[-1]]
        cold = np.flatnonzero((true_c <= rule.maximum) & (fine >= began))
        took = fine[cold[0]] - began if cold.size else math.inf
        if outcome == "met":
            assert took <= rule.minutes + 0.5  # the fine steps are 0.25 min
        if outcome == "not met":
            assert took > rule.minutes - 0.5


# --- holds ---------------------------------------------------------------------------------------------


def held(shown_c, minutes, limit_c, error_c, gap_min, wanted_min):
    """Say by its definition what a record proves of a hold: every stretch of readings is looked at."""

    def any_stretch(shows, outer, gap):
        for first in range(len(minutes)):
            for last in range(first, len(minutes)):
                silences = np.diff(minutes[first : last + 1])
                if not all(shows[first : last + 1]) or any(silences > gap):
                    continue
                start = minutes[max(first - 1, 0)] if outer else minutes[first]
                end = minutes[min(last + 1, len(minutes) - 1)] if outer else minutes[last]
                if end - start >= wanted_min:
                    return True
        return False

    if any_stretch([c >= limit_c + error_c for c in shown_c], False, gap_min):
        return "met"
    may_be = [c > limit_c - error_c if error_c else c >= limit_c for c in shown_c]
    return "cannot tell" if any_stretch(may_be, True, math.inf) else "not met"


@given(
    st.lists(
        st.tuples(
            st.sampled_from([1.0, 2.0, 5.0, 6.0]), st.sampled_from([61.5, 62.0, 62.5, 63.0, 63.5, 64.0])
        ),
        min_size=1,
        max_size=7,
    ),
    st.sampled_from([0.0, 0.5, 1.0]),
    st.sampled_from([0.0, 1.0, 3.0, 5.0, 8.0, 13.0]),
    st.booleans(),
)
def test_a_hold_is_judged_by_its_definition(steps, error_c, wanted_min, cold):
    minutes = np.cumsum([step for step, _ in steps])
    side = -1.0 if cold else 1.0
    core_c = side * (np.array([temp_c for _, temp_c in steps]) - 63.0)
    found = judge_hold(Readings(minutes, core_c, error_c, 5.0), (HoldRow(0.0, wanted_min, cold),))
    assert found.outcome == held(side * core_c, minutes, 0.0, error_c, 5.0, wanted_min)


ASKS = "The rule asks for 62.8 °C or more for 30 min"
SHORT = "Longest stretch at or above 62.8 °C without a break: 20 min (highest 64.0 °C)."
HOLDS = {
    "met": (
        HOLD,
        record([(t, 64) for t in range(0, 31, 5)]),
        ("met", 30.0, 0.0, 30.0, 64.0),
        f"Longest stretch at or above 62.8 °C without a break: 30 min (highest 64.0 °C). {ASKS}.",
    ),
    "the longest counts": (
        HOLD,
        record([(0, 64), (5, 64), (6, 60), (7, 65), (11, 64), (15, 64), (16, 60), (18, 63.5)]),
        ("not met", 8.0, 7.0, 15.0, 65.0),
        "Longest stretch at or above 62.8 °C without a break: 8 min (highest 65.0 °C). "
        f"{ASKS}. At 6 min the core read 60.0 °C, so the clock started again.",
    ),
    "short": (
        HOLD,
        record([(t, 64) for t in range(0, 21, 5)] + [(21, 61), (22, 61)]),
        ("not met", 20.0, 0.0, 20.0, 64.0),
        f"{SHORT} {ASKS}.",
    ),
    "never reached": (
        HOLD,
        record([(t, 60.25) for t in range(0, 41, 5)]),
        ("not met", 0.0, None, None, 60.25),
        f"Highest core reading 60.2 °C: 62.8 °C was not reached. {ASKS}.",
    ),
    "within the probe's error": (
        HOLD,
        record([(t, 63) for t in range(0, 31, 5)]),
        ("cannot tell", 30.0, 0.0, 30.0, 63.0),
        "Longest stretch at or above 62.8 °C without a break: 30 min (highest 63.0 °C). "
        f"{ASKS}, and the readings lie within the probe's error of 0.5 °C of that limit.",
    ),
    "between two readings": (
        HOLD,
        record([(0, 60), *((t, 64) for t in range(5, 31, 5)), (35, 60)]),
        ("cannot tell", 25.0, 5.0, 30.0, 64.0),
        "Longest stretch at or above 62.8 °C without a break: 25 min (highest 64.0 °C). "
        f"{ASKS}; with the probe's error and the time between readings it may have been met.",
    ),
    "a silence": (
        HOLD,
        record([(0, 64), (5, 64), (11, 64), (12, 64), (19, 64), (24, 64), (29, 64), (30, 64)]),
        ("cannot tell", 11.0, 19.0, 30.0, 64.0),
        "Longest stretch at or above 62.8 °C without a break: 11 min (highest 64.0 °C). "
        f"{ASKS}, and nothing was recorded from 12 to 19 min: more than 5 min, so the clock starts again.",
    ),
    "reached": (
        IE["ie-cook-75"],
        record([(0, 20), (1, 76.25), (2, 75.5)]),
        ("met", 76.25, 1.0, 2.0, 76.25),
        "Highest core reading 76.2 °C. The rule asks for 75 °C or more.",
    ),
    "cold": (
        next(rule for rule in IE if rule.holds and rule.holds[0].cold and rule.minutes == 24 * 60),
        record([(t, -21) for t in range(0, 1441, 5)], ("store", 0.0, 1440.0)),
        ("met", 1440.0, 0.0, 1440.0, -21.0),
        "Longest stretch at or below -20 °C without a break: 24 h (lowest -21.0 °C). "
        "The rule asks for -20 °C or less for 24 h.",
    ),
    "not cold": (
        next(rule for rule in IE if rule.holds and rule.holds[0].cold and rule.minutes == 24 * 60),
        record([(t, -15) for t in range(0, 1441, 5)], ("store", 0.0, 1440.0)),
        ("not met", 0.0, None, None, -15.0),
        "Lowest core reading -15.0 °C: -20 °C was not reached. The rule asks for -20 °C or less for 24 h.",
    ),
    "no stretch of the record": (
        HOLD,
        record([(0, 64)], ("cook", 10.0, 50.0)),
        ("cannot tell", None, None, None, None),
        "The record shows nothing for this rule.",
    ),
}


@pytest.mark.parametrize("case", HOLDS)
def test_what_is_said_of_a_hold(case):
    rule, shown, figures, why = HOLDS[case]
    found = rules.judge_rule(shown, rule)
    assert (found.outcome, found.measured, found.from_min, found.to_min, found.highest_c) == figures
    assert found.why == why


def test_of_several_rows_that_are_missed_the_one_that_came_nearest_is_told():
    rule = replace(HOLD, rows=(HoldRow(60.0, 40.0), HoldRow(70.0, 2.0)))
    nearer = rules.judge_rule(record([(t, 61) for t in range(0, 31, 5)]), rule)
    assert (nearer.measured, nearer.limit) == (30.0, 40.0)
    hotter = rules.judge_rule(record([(0, 50), (1, 75), (2.5, 75), (2.9, 50)], ("cook", 1.0, 2.5)), rule)
    assert (hotter.outcome, hotter.measured, hotter.limit) == ("not met", 1.5, 2.0)


# --- kill ----------------------------------------------------------------------------------------------

BELOW = " Of that, {all} log is extrapolated: it was earned below 63 °C, where the published table stops."
MAY_BE = " With the probe's error of 0.5 °C, or in a silence of the record, it may have been more."
NO_PROOF = " An extrapolated kill is no proof."
OFF = " A probe 0.5 °C off would change that."
ASKED = "the rule asks for a 6-log kill of Listeria, as 2 min at 70 °C (z = 7.5 °C)."


def kill_at(core_c, minutes):
    """Return the log reduction of some minutes at one temperature, by the definition of D and z."""
    return 6.0 * minutes / (2.0 * 10 ** ((70.0 - core_c) / 7.5))


@pytest.mark.parametrize("as_record", [False, True])
@pytest.mark.parametrize(
    ("core_c", "minutes", "outcome", "tail"),
    [
        (71.0, 2.0, "met", ""),
        (70.2, 2.0, "cannot tell", OFF),
        (69.8, 2.0, "cannot tell", MAY_BE),
        (69.0, 2.0, "not met", ""),
        (62.5, 60.0, "cannot tell", BELOW + NO_PROOF),
        (60.0, 1.0, "not met", BELOW),
        (63.2, 60.0, "cannot tell", OFF),  # the true core may be below the table
        (63.5, 60.0, "met", ""),  # and here it just is not
        (40.0, 1.0, "not met", ""),  # what is earned so far below is too little to speak of
    ],
)
def test_what_is_said_of_a_kill(as_record, core_c, minutes, outcome, tail):
    values = {"core_temp_c": core_c, "hold_min": minutes}
    shown = record([(t, core_c) for t in np.linspace(3.0, 3.0 + minutes, 31)]) if as_record else values
    found = rules.judge_rule(shown, KILL)
    logs = kill_at(core_c, minutes)
    assert (found.outcome, found.limit, found.unit) == (outcome, 6.0, "log10")
    assert found.measured == pytest.approx(logs, abs=6e-5) and found.measured == round(found.measured, 4)
    assert found.extrapolated == ("extrapolated" in tail and "{all}" in tail)
    assert found.why == f"The core added up to a {logs:.2f}-log kill; {ASKED}" + tail.format(
        all=f"{logs:.2f}"
    )
    span = (3.0, 3.0 + minutes, core_c) if as_record else (None, None, None)
    assert (found.from_min, found.to_min, found.highest_c) == span


def test_a_kill_partly_below_the_table_says_how_much_of_it():
    shown = record([(t, 62.0) for t in range(0, 6)] + [(t, 66.0) for t in range(6, 9)])
    found = rules.judge_rule(shown, KILL)
    above, below = kill_at(66.0, 2.0), kill_at(62.0, 5.0)
    part = float(found.why.split("Of that, ")[1].split(" log")[0])
    assert below <= part <= below + kill_at(64.0, 1.0)  # the minute in between rises from one to the other
    assert found.measured >= above + below and found.extrapolated
    enough = record([(t, 62.0) for t in range(0, 6)] + [(t, 70.0) for t in range(6, 12)])
    assert not rules.judge_rule(enough, KILL).extrapolated  # the published part is enough by itself


def test_one_reading_kills_nothing_and_a_silence_may_have():
    assert rules.judge_rule(record([(0, 75.0)]), KILL).measured == 0.0
    assert rules.judge_rule(record([(0, 75.0)]), KILL).outcome == "not met"
    quiet = record([(0, 50.0), (6, 75.0), (20, 50.0)])  # no two readings within 5 min
    found = rules.judge_rule(quiet, KILL)
    assert (found.outcome, found.measured) == ("cannot tell", 0.0)
    assert "in a silence of the record, it may have been more" in found.why
    cool = record([(0, 50.0), (6, 55.0), (20, 50.0)])  # 20 min at 55 °C are far from 6 log
    assert rules.judge_rule(cool, KILL).outcome == "not met"


# --- numbers -------------------------------------------------------------------------------------------

FRIDGE, LIFE, BATCHES = IE["ie-fridge"], IE["ie-life-5"], PROCESSOR["us-processor-brine-batches"]
NUMBERS = {
    "warm": (
        FRIDGE,
        {"store_temp_c": 6},
        "not met",
        6.0,
        5.0,
        "Measured 6 °C; the rule asks for from 0 to 5 °C.",
    ),
    "cold": (
        FRIDGE,
        {"store_temp_c": -1},
        "not met",
        -1.0,
        0.0,
        "Measured -1 °C; the rule asks for from 0 to 5 °C.",
    ),
    "well": (
        FRIDGE,
        {"store_temp_c": 3.5},
        "met",
        3.5,
        5.0,
        "Measured 3.5 °C; the rule asks for from 0 to 5 °C.",
    ),
    "near": (
        FRIDGE,
        {"store_temp_c": 0.25},
        "cannot tell",
        0.25,
        0.0,
        "Measured 0.25 °C; the rule asks for from 0 to 5 °C. "
        "That lies within the probe's error of 0.5 °C of the limit.",
    ),
    "near by just the error": (
        FRIDGE,
        {"store_temp_c": 4.5},
        "met",
        4.5,
        5.0,
        "Measured 4.5 °C; the rule asks for from 0 to 5 °C.",
    ),
    "in the middle": (
        FRIDGE,
        {"store_temp_c": 2.5},
        "met",
        2.5,
        0.0,
        "Measured 2.5 °C; the rule asks for from 0 to 5 °C.",
    ),
    "no number": (FRIDGE, {"core_temp_c": 2.5}, "cannot tell", None, None, "No store temperature was given."),
    "days": (
        LIFE,
        {"shelf_life_days": 4.9},
        "met",
        4.9,
        5.0,
        "Measured 4.9 days; the rule asks for 5 days or less.",
    ),
    "a check of the probe itself": (
        IE["probe-ice"],
        {"probe_ice_c": 0.9},
        "met",
        0.9,
        1.0,
        "Measured 0.9 °C; the rule asks for from -1 to 1 °C.",
    ),
    "a plain number": (
        BATCHES,
        {"brine_batches": 9},
        "not met",
        9.0,
        BATCHES.maximum,
        f"Measured 9; the rule asks for {BATCHES.maximum:g} or less.",
    ),
    "the rule's own name comes first": (
        LIFE,
        {"shelf_life_days": 9, "ie-life-5": 3},
        "met",
        3.0,
        5.0,
        "Measured 3 days; the rule asks for 5 days or less.",
    ),
    "a window": (DOOR, {DOOR.id: 151}, "not met", 151.0, 150.0, "It took 151 min; the limit is 150 min."),
    "no window": (
        DOOR,
        {"chill_start_min": 5, "time_min": 5},
        "cannot tell",
        None,
        150.0,
        "The time that the cooling took was not given.",
    ),
    "into the chiller": (
        TRANSFER,
        {"chill_start_min": 5},
        "met",
        5.0,
        30.0,
        "It took 5 min; the limit is 30 min.",
    ),
    "a kill": (
        KILL,
        {KILL.id: 5.25},
        "not met",
        5.25,
        6.0,
        "The kill given is 5.25 log; the limit is 6 log.",
    ),
    "no kill": (
        KILL,
        {"core_temp_c": 70},
        "cannot tell",
        None,
        None,
        "Neither a kill nor a core temperature with its time was given.",
    ),
    "no kill without a temperature": (
        KILL,
        {"hold_min": 70},
        "cannot tell",
        None,
        None,
        "Neither a kill nor a core temperature with its time was given.",
    ),
    "no core": (
        HOLD,
        {"hold_min": 30},
        "cannot tell",
        None,
        None,
        "Core temperature (core_temp_c) was not given.",
    ),
    "no time": (HOLD, {"core_temp_c": 64}, "cannot tell", None, None, "Hold time (hold_min) was not given."),
    "a hold by the rule's name": (
        HOLD,
        {"core_temp_c": 64, HOLD.id: 12},
        "not met",
        12.0,
        30.0,
        f"Longest stretch at or above 62.8 °C without a break: 12 min (highest 64.0 °C). {ASKS}.",
    ),
    "no time at all": (
        HOLD,
        {"core_temp_c": 64, "hold_min": 0},
        "not met",
        0.0,
        30.0,
        f"Longest stretch at or above 62.8 °C without a break: 0 s (highest 64.0 °C). {ASKS}.",
    ),
    "a long hold is steady, whatever silence is allowed": (
        HOLD,
        {"core_temp_c": 64, "hold_min": 45},
        "met",
        45.0,
        30.0,
        f"Longest stretch at or above 62.8 °C without a break: 45 min (highest 64.0 °C). {ASKS}.",
    ),
    "words": (
        next(rule for rule in IE if not rule.has_number),
        {},
        "cannot tell",
        None,
        None,
        "The rule gives no number: the competent person decides.",
    ),
}


@pytest.mark.parametrize("case", NUMBERS)
def test_what_is_said_of_numbers(case):
    rule, values, *said = NUMBERS[case]
    found = rules.judge_rule(values, rule)
    assert [found.outcome, found.measured, found.limit, found.why] == said
    assert found.unit == (
        ""
        if found.limit is None
        else {"window": "min", "hold": "min", "lethality": "log10"}.get(rule.form, rule.unit)
    )


EQUAL = IE["ie-cook-75"]  # 75 °C, or an equal treatment: the kit compares with 2 min at 70 °C
MISSED = "Highest core reading 71.0 °C: 75 °C was not reached. The rule asks for 75 °C or more."


@pytest.mark.parametrize("as_record", [False, True])
def test_what_is_said_of_an_equal_treatment(as_record):
    def judged(core_c, minutes):
        values = {"core_temp_c": core_c, "hold_min": minutes}
        shown = record([(t, core_c) for t in np.linspace(0.0, minutes, 31)]) if as_record else values
        return rules.judge_rule(shown, EQUAL)

    person = " The rule also allows an equal treatment; a competent person decides. "
    found = judged(71.0, 5.0)
    kill = f"The core added up to a {kill_at(71.0, 5.0):.2f}-log kill; {ASKED}"
    assert (found.outcome, found.why, found.extrapolated) == ("cannot tell", MISSED + person + kill, False)
    assert (found.measured, found.limit, found.unit) == (71.0, 75.0, "°C")
    found = judged(62.0, 60.0)
    assert found.outcome == "cannot tell" and found.extrapolated and person in found.why
    found = judged(62.0, 1.0)
    assert found.outcome == "not met" and found.extrapolated
    assert " No equal treatment either. The core added up to a " in found.why
    found = judged(76.0, 1.0)
    assert found.outcome == "met" and "equal" not in found.why


# --- which readings count -------------------------------------------------------------------------------

HOT = [(t, 64.0) for t in range(0, 41, 5)]
FREEZE = next(rule for rule in IE if rule.holds and rule.holds[0].cold and rule.minutes == 24 * 60)
DEEP = [(t, -21.0) for t in range(0, 1441, 5)]


@pytest.mark.parametrize(
    ("rule", "points", "phases", "outcome"),
    [
        (HOLD, HOT, [], "met"),  # nobody says when what was: all of it counts
        (HOLD, HOT, [("cook", 0, 40)], "met"),
        (HOLD, HOT, [("hold", 5, 40)], "met"),
        (HOLD, HOT, [("hold", 30, 40), ("smoke", 5, 30)], "met"),  # from the first of the fires
        (HOLD, HOT, [("cook", 15, 40)], "not met"),  # 25 min of it in the heat
        (HOLD, HOT, [("cook", 0, 10), ("carry-over", 10, 40)], "met"),  # read at the core, so it counts
        (HOLD, HOT, [("cook", 0, 10), ("chill", 20, 40)], "not met"),
        (HOLD, HOT, [("chill", 30, 40)], "met"),
        (HOLD, HOT, [("store", 0, 1)], "met"),
        (HOLD, HOT, [("cook", 41, 60)], "cannot tell"),
        (FREEZE, DEEP, [], "met"),
        (FREEZE, DEEP, [("store", 0, 1440)], "met"),
        (FREEZE, DEEP, [("store", 5, 1440)], "not met"),
        (FREEZE, DEEP, [("store", 0, 1435)], "not met"),
        (FREEZE, DEEP, [("cook", 0, 1440)], "cannot tell"),  # a cook is no freezer
        (FREEZE, DEEP, [("store", 1441, 1500)], "cannot tell"),
        (TRANSFER, HOT, [("cook", 0, 10), ("hold", 10, 20), ("chill", 45, 60)], "met"),  # from the last heat
        (TRANSFER, HOT, [("hold", 0, 20), ("cook", 0, 10), ("chill", 51, 60)], "not met"),
        (TRANSFER, HOT, [("carry-over", 20, 30), ("chill", 45, 60)], "met"),  # it begins at the door
        (TRANSFER, HOT, [("carry-over", 20, 40), ("chill", 51, 60)], "not met"),
        (TRANSFER, HOT, [("smoke", 0, 20), ("chill", 30, 60)], "cannot tell"),
    ],
)
def test_which_part_of_a_record_counts(rule, points, phases, outcome):
    found = rules.judge_rule(record(points, *phases), rule, probe_error_c=0.0)
    assert found.outcome == outcome


def test_a_store_is_judged_where_it_is_a_store():
    def stored(*core_c, phase=("store", 1.0, 3.0), rule=FRIDGE):
        return rules.judge_rule(record(list(enumerate(core_c)), phase), rule)

    found = stored(60.0, 2.0, 3.0, 2.0, 60.0)
    assert (found.outcome, found.measured, found.highest_c) == ("met", 3.0, 3.0)
    assert (found.from_min, found.to_min, found.limit, found.unit) == (1.0, 3.0, 5.0, "°C")
    assert stored(60.0, 2.0, 5.2, -9.0, 60.0).measured == -9.0  # too cold is worse than perhaps too warm
    assert stored(60.0, 2.0, 9.0, 0.1, 60.0).measured == 9.0
    assert stored(60.0, 2.0, 4.9, -0.1, 60.0).outcome == "cannot tell"
    nothing = stored(1.0, math.nan, math.nan, math.nan, 1.0)
    assert (nothing.outcome, nothing.why) == ("cannot tell", "The record holds no reading of the store.")
    for unseen in (stored(2.0, 2.0, phase=("cook", 0, 1)), stored(2.0, 2.0, rule=LIFE)):
        assert unseen.outcome == "cannot tell" and unseen.measured is None
    assert stored(2.0, 2.0, phase=("cook", 0, 1)).why == "The record does not show the store temperature."
    assert stored(2.0, 2.0, 2.0, rule=LIFE).why == "The record does not show the shelf life."
    freezer = next(rule for rule in IE if rule.quantity == "frozen_store_temp_c")
    assert stored(-30.0, -20.0, -20.0, -20.0, rule=freezer).outcome == "met"


def test_judge_hands_on_what_it_was_told():
    shown = record([(t, 63.0) for t in range(0, 31, 10)])
    outcomes = [
        [found.outcome for found in rules.judge(shown, PROCESSOR, step="cook", **how)]
        for how in (
            {},
            {"probe_error_c": 0.0},
            {"max_gap_min": 10.0},
            {"probe_error_c": 0.0, "max_gap_min": 10.0},
        )
    ]
    assert [each[0] for each in outcomes] == ["cannot tell", "cannot tell", "cannot tell", "met"]
    assert [found.rule for found in rules.judge(shown, PROCESSOR)] == [rule.id for rule in PROCESSOR]
    assert [found.rule for found in rules.judge({}, IE, step="chill")] == [rule.id for rule in IE.at("chill")]
    for how in ({"probe_error_c": 5.0}, {"probe_error_c": 0.0}, {"max_gap_min": 0.001}):
        assert rules.judge(shown, PROCESSOR, **how)
