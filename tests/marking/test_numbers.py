"""What a number earns at the edges of its tolerance, and what is said of it."""

import math

import pytest

from kit.marking import build, mark
from kit.marking.model import Number, Outcome, Slip
from kit.marking.numbers import accepts, width
from kit.marking.typed_number import read_number, shown


def asked(make, answer, unit="g", slips=(), **kind):
    return make.asked(build.number("How much?", answer, unit, slips=slips, **kind))


@pytest.mark.parametrize(
    ("rel_tol", "abs_tol", "about", "wide"),
    [
        (0.02, 0.0, 50.0, 1.0),
        (0.02, 0.0, -50.0, 1.0),
        (0.02, 1.5, 50.0, 1.5),
        (0.02, 0.5, 50.0, 1.0),
        (0.0, 0.0, 50.0, 0.0),
    ],
)
def test_the_wider_tolerance_counts_and_they_never_add_up(rel_tol, abs_tol, about, wide):
    assert width(Number("g", rel_tol, abs_tol), about) == wide


@pytest.mark.parametrize(
    ("kind", "low", "high"),
    [
        ({"abs_tol": 1.0}, 49.0, 51.0),
        ({}, 50.0, 50.0),
        ({"one_sided": "at least", "abs_tol": 1.0}, 50.0, 51.0),
        ({"one_sided": "at least", "far": 60.0}, 50.0, 60.0),
        ({"one_sided": "at most", "abs_tol": 1.0}, 49.0, 50.0),
        ({"one_sided": "at most", "far": 40.0}, 40.0, 50.0),
    ],
)
def test_both_ends_are_accepted_and_nothing_beyond(kind, low, high):
    number = Number("g", **kind)
    noise = 50.0 * 1e-9
    for end, out in ((low, -1), (high, 1)):
        assert accepts(number, 50.0, end) and accepts(number, 50.0, end + out * noise * 0.9)
        assert not accepts(number, 50.0, end + out * noise * 3)
    negative = Number("g", **{**kind, "far": None, "one_sided": ""})
    assert accepts(negative, -50.0, -50.0 - (high - 50.0 if not kind.get("one_sided") else 0.0))


def test_the_last_bits_of_a_conversion_cost_nothing(make):
    assert mark(asked(make, 3.0, "min"), "0.05 h").verdict == "right"
    assert mark(asked(make, -3.0, "min"), "-0.05 h").verdict == "right"


HALF = Slip("half", 25.0, "You took half the fish.")
CASES = [
    # typed, score, slip, message
    ("50 g", 1.0, "", "Right."),
    ("50.04 g", 1.0, "", "Right. The question asks for 1 decimal: more digits look surer than they are."),
    ("50", 1.0, "", "Right. Write the unit too: 50 g."),
    (
        "50.04",
        1.0,
        "",
        "Right. Write the unit too: 50.04 g. "
        "The question asks for 1 decimal: more digits look surer than they are.",
    ),
    ("25 g", 0.0, "half", "Not yet. You took half the fish."),
    ("5 g", 0.0, "decimal point", "Not yet. The digits are right; check the decimal point and the units."),
    ("5000 g", 0.0, "decimal point", "Not yet. The digits are right; check the decimal point and the units."),
    ("-50 g", 0.0, "sign", "Not yet. The size is right; check the sign."),
    ("-500 g", 0.0, "", "Not yet. Read the question again, and take the steps one by one."),
    ("0 g", 0.0, "", "Not yet. Read the question again, and take the steps one by one."),
    ("70 g", 0.0, "", "Not yet. Read the question again, and take the steps one by one."),
]


@pytest.mark.parametrize(("typed", "score", "slip", "message"), CASES)
def test_what_is_said_of_a_number(make, typed, score, slip, message):
    outcome = mark(asked(make, 50.0, slips=[HALF], abs_tol=0.5, decimals=1), typed)
    read_as = shown(read_number(typed, "g").value) + " g"
    verdict = "right" if score else "not yet"
    assert outcome == Outcome(score, 1.0, verdict, message, slip, read_as)


@pytest.mark.parametrize(("decimals", "words"), [(0, "no decimals"), (1, "1 decimal"), (2, "2 decimals")])
def test_too_many_decimals_are_said_in_words(make, decimals, words):
    question = asked(make, 50.0, rel_tol=0.02, decimals=decimals)
    assert f"asks for {words}: more" in mark(question, "50.004 g").message
    assert mark(question, f"{50:.{decimals}f} g").message == "Right."
    assert mark(question, 50.004).message == "Right."  # not typed: nobody chose its digits
    assert "Write the unit" not in mark(asked(make, 50.0, "1"), "50").message
    assert "Write the unit too" in mark(question, b"50").message


@pytest.mark.parametrize(
    ("typed", "score"),
    [
        ("63", 0.5),
        ("62.7", 0.5),
        ("62.5", 0.0),
        ("62", 0.0),
        ("64", 0.0),
        ("60", 0.0),
        ("6e1", 0.5),
        ("1e2", 0.0),
    ],
)
def test_a_right_value_rounded_too_far_is_half_right(make, typed, score):
    """62.74: the written digits round to it within half of their last place, and within 5 % of it."""
    outcome = mark(asked(make, 62.74, abs_tol=0.01), typed)
    assert outcome.score == score
    if score:
        assert (outcome.message, outcome.slip) == (
            "Nearly. You rounded too far: give one more digit.",
            "rounded too far",
        )


def test_a_limit_is_never_rounded(make):
    limit = asked(make, 62.74, one_sided="at least", far=80.0)
    assert mark(limit, "63").verdict == "right" and mark(limit, "62.7").score == 0.0
    low, high = mark(limit, "62"), mark(limit, "81")
    assert low.message == "Not yet. This is on the unsafe side of the limit, and a limit has no tolerance."
    assert high.message == "Not yet. 81 is on the safe side, but far from what the job needs."
    most = asked(make, 3.0, one_sided="at most", far=1.0)
    assert "unsafe side" in mark(most, "3.5").message and "safe side, but far" in mark(most, "0.5").message
    assert {low.slip, high.slip} == {""}


def test_the_nearest_slip_is_found_within_its_tolerance_or_its_rounding(make):
    slips = [Slip("low", 20.0, "Low."), Slip("high", 21.0, "High."), Slip("far", 80.0, "Far.")]
    question = asked(make, 50.0, slips=slips, abs_tol=0.25)
    found = {
        typed: mark(question, typed).slip
        for typed in ("20.25", "20.26", "20.4", "20.75", "20.5", "8e1", "79.7")
    }
    assert found == {
        "20.25": "low",
        "20.26": "",
        "20.4": "",
        "20.75": "high",
        "20.5": "",
        "8e1": "far",
        "79.7": "",
    }
    assert mark(question, "83e0 g").slip == "" and mark(question, "84").slip == ""
    wide = asked(make, 50.0, slips=[Slip("a hundred", 104.0, "No."), Slip("more", 106.0, "No.")])
    assert mark(wide, "1e2").slip == "a hundred"  # rounded by 4 %
    assert mark(asked(make, 50.0, slips=[Slip("more", 106.0, "No.")]), "1e2").slip == "twice"  # over 5 %
    tie = asked(make, 50.0, slips=[Slip("first", 20.0, "1."), Slip("second", 20.0, "2.")], abs_tol=0.5)
    assert mark(tie, "20").slip == "first"
    negative = asked(make, 50.0, slips=[Slip("below", -20.0, "No.")], rel_tol=0.02)
    assert mark(negative, "-20.4").slip == "below" and mark(negative, "-20.41").slip == ""


def test_a_point_between_thousands_is_asked_about_only_where_it_helps(make):
    question = asked(make, 1250.0, rel_tol=0.01)
    asks = mark(question, "1.250 g")
    assert asks == Outcome(
        0.0, 1.0, "not read", "This was read as 1.25 g. Write the number without a mark between thousands."
    )
    assert mark(question, "1.25 g").slip == "decimal point"
    assert mark(question, "1.2500 g").slip == "decimal point"
    assert mark(question, 1.25).slip == "decimal point"
    assert mark(question, "1.300 g").verdict == "not yet"
    assert mark(asked(make, 1000.0), "1.000").verdict == "not read"
    assert mark(asked(make, 999.0), "0.999").slip == "decimal point"  # nobody writes 0 thousands


def test_the_sign_and_the_point_are_told_apart_from_nothing(make):
    assert mark(asked(make, 0.0, abs_tol=0.1), "5").slip == ""
    assert mark(asked(make, -50.0), "-500").slip == "decimal point"
    assert mark(asked(make, -50.0), "50").slip == "sign"
    assert mark(asked(make, 50.0), "49").slip == ""
    assert mark(asked(make, 50.0, abs_tol=1.0), "510").slip == "decimal point"  # 51 is right


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (0.0, "0"),
        (999999.4, "999999"),
        (1e6, "1000000"),
        (1234567.25, "1234567.25"),
        (-0.0004, "−0.0004"),
        (1e20, "1e+20"),
    ],
)
def test_a_number_is_shown_as_plainly_as_it_can_be(value, text):
    assert shown(value) == text
    assert shown(math.pi, 3) == "3.14" and shown(1234.5, 3) == "1234.5"
