"""Slips of a number that no author wrote: each is found, named and told."""

import pytest

from kit.marking import mark
from kit.marking.model import Number, Picture, Question

NOTHING_FOUND = "Read the question again, and take the steps one by one."


def asked(text, truth, unit, **kind):
    return Question("x", 1, 0, text, Number(unit, **{"rel_tol": 0.01} | kind), truth)


SALT = "How much salt for 2400 g of fish at 2.5 %? Give 2 decimals."
FOUND = [
    ("From 13:35 to 15:05: how many minutes?", 90.0, "min", "130", "100 minutes in an hour"),
    ("How many hours are 150 min of cure?", 2.5, "h", "2.3", "100 minutes in an hour"),
    ("How many hours are 150 min of cure?", 2.5, "h", "9000 s", ""),  # 2.5 h: read, and right
    (SALT, 60.0, "g", "2400", "gave a number of the question"),
    (SALT, 60.0, "g", "0.025", "left out a step"),
    (SALT, 60.0, "g", "0.06", "decimal point"),
    ("A loss of 12 %: what is left, in %?", 88.0, "%", "12", "the other part of 100"),
    ("8 kg keep 52 %. How many kg are left?", 4.16, "kg", "2.16", "left out a percentage"),
    ("How many kg?", 3.0, "kg", "6", "twice"),
    ("How many kg?", 3.0, "kg", "1.5", "half"),
    ("How long, in min?", 3.0, "min", "180", "in s"),
    ("How long, in h?", 48.0, "h", "2", "in days"),
    ("How many kg?", 3.0, "kg", "4.7", ""),
]


@pytest.mark.parametrize(("text", "truth", "unit", "typed", "slip"), FOUND)
def test_a_derived_slip_is_found_and_told(text, truth, unit, typed, slip):
    outcome = mark(asked(text, truth, unit), typed)
    assert outcome.slip == slip
    if slip:
        assert outcome.verdict == "not yet" and NOTHING_FOUND not in outcome.message


def test_the_decimals_asked_for_are_no_number_of_the_question():
    assert mark(asked(SALT, 60.0, "g"), "2").slip == ""


def test_beside_a_limit_the_unsafe_side_is_told_first():
    limit = asked(
        "At least how many min, of 45 at 60 °C?", 10.0, "min", one_sided="at least", rel_tol=0, far=60
    )
    outcome = mark(limit, "0.25")
    assert outcome.message.startswith("Not yet. This is on the unsafe side of the limit")
    assert mark(limit, "9.6").slip == ""
    assert mark(limit, "45").verdict == "right"


TIMES = {"time_min": [0, 60, 120], "core_c": [60.0, 30.0, 0.0], "air_c": [20.0, 3.0, 3.0]}
TRAYS = {
    "time_min": [0, 100],
    "curves": [{"name": "120 cm²", "values": [0, 200]}, {"name": "240 cm²", "values": [0, 400]}],
}


def read(data, unit, truth):
    question = asked("Read it off.", truth, unit, abs_tol=1)
    return Question(
        **{**question.__dict__, "picture": Picture("cook-record", data, "A chart."), "reads_chart": True}
    )


@pytest.mark.parametrize(
    ("data", "unit", "truth", "typed", "told"),
    [
        (TIMES, "min", 110, "90", "At 90 min the chart shows: core 15 °C; air 3 °C."),
        (TIMES, "min", 110, "500", "The chart ends at 120 min."),
        (TIMES, "°C", 10, "45", "The core stands at 45 °C at 30 min."),
        (TRAYS, "g", 100, "300", "The line “240 cm²” stands at 300 g at 75 min."),
        (TRAYS, "g", 100, "777", "Nothing on this chart stands at 777 g."),
    ],
)
def test_a_chart_reading_says_what_stands_there(data, unit, truth, typed, told):
    outcome = mark(read(data, unit, truth), typed)
    assert told in outcome.message
    assert outcome.slip == "read elsewhere on the chart"
