"""Reading a number with a unit. Conversion factors are checked against their definitions.

SI Brochure (BIPM, 9th ed.): min = 60 s, h = 60 min, t_C = T_K − 273.15. International yard and pound
agreement (1959): 1 in = 25.4 mm, 1 lb = 0.45359237 kg, 16 oz to the pound. Fahrenheit:
t_C = (t_F − 32) × 5/9. These are definitions, written here from memory.
"""

import math
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.basics.errors import UnknownName
from kit.marking.typed_number import read_number, shown
from kit.marking.units import _BY_NAME, UNITS, _key, convert, find_unit

JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4),
    max_leaves=8,
)
NUMBERISH = st.text(alphabet="0123456789.,-−+eE '°CFKgminhL/%\u202f\u00a0*^", max_size=30)


@pytest.mark.parametrize(
    ("typed", "unit", "value"),
    [
        ("63", "°C", 63.0),
        ("62.5", "°C", 62.5),
        ("62,5", "°C", 62.5),
        (" 62,5  °C ", "°C", 62.5),
        ("0,250", "g", 0.25),
        ("1,25", "g", 1.25),
        ("1,2500", "g", 1.25),
        ("1.250", "kg", 1.25),
        ("1250,500", "g", 1250.5),
        ("1 250", "g", 1250.0),
        ("1\u00a0250", "g", 1250.0),
        ("1\u202f250,5 g", "g", 1250.5),
        ("1\u2009250\u2009000", "g", 1250000.0),
        ("1'250", "g", 1250.0),
        ("\u22125", "°C", -5.0),
        ("–5 °C", "°C", -5.0),
        ("- 5", "°C", -5.0),
        ("+5", "°C", 5.0),
        (".5", "g", 0.5),
        (",5", "g", 0.5),
        ("5.", "g", 5.0),
        ("1e3", "g", 1000.0),
        ("2.5E-3", "g", 0.0025),
        ("٦٣", "°C", 63.0),
        ("६३", "°C", 63.0),
        ("٦٢٫٥", "°C", 62.5),
        ("６３", "°C", 63.0),
        ("\ufeff63\u200b", "°C", 63.0),
        (b"63", "°C", 63.0),
        (63, "°C", 63.0),
        (np.float64(62.5), "°C", 62.5),
        (np.int64(63), "°C", 63.0),
        (Fraction(1, 2), "g", 0.5),
        ("-0", "g", 0.0),
        ("0e999", "g", 0.0),
    ],
)
def test_a_number_is_read(typed, unit, value):
    reading = read_number(typed, unit)
    assert reading.ok, reading.problem
    assert reading.value == value
    assert reading.unit == unit


@pytest.mark.parametrize(
    ("typed", "unit", "value"),
    [
        ("145 °F", "°C", Fraction(145 - 32) * 5 / 9),
        ("145F", "°C", Fraction(145 - 32) * 5 / 9),
        ("-40 °F", "°C", -40),
        ("336.15 K", "°C", 63),
        ("63 °C", "°F", Fraction(63 * 9, 5) + 32),
        ("63 degrees Celsius", "°C", 63),
        ("63 ºC", "°C", 63),
        ("63 ℃", "°C", 63),
        ("63 C.", "°C", 63),
        ("1.5 h", "min", 90),
        ("90 seconds", "min", Fraction(3, 2)),
        ("1 h 30 min", "min", 90),
        ("1h30min", "min", 90),
        ("1 hour and 30 minutes", "min", 90),
        ("2 days", "h", 48),
        ("0,05 kg", "g", 50),
        ("2 kg 300 g", "g", 2300),
        ("1 lb", "g", Fraction(45359237, 100000)),
        ("8 oz", "g", Fraction(45359237, 200000)),
        ("1 in", "mm", Fraction(254, 10)),
        ("2 cm", "mm", 20),
        ("25 g/kg", "%", Fraction(5, 2)),
        ("2.5 g per 100 g", "%", Fraction(5, 2)),
        ("97 %", "1", Fraction(97, 100)),
        ("0.3 g/100 mL", "g/L", 3),
        ("1 bar", "kPa", 100),
        ("3.6 km/h", "m/s", 1),
        ("3 fillet", "fillets", 3),
    ],
)
def test_a_unit_is_read_and_converted(typed, unit, value):
    reading = read_number(typed, unit)
    assert reading.ok, reading.problem
    assert reading.value == pytest.approx(float(value), rel=1e-12)
    assert reading.had_unit


@pytest.mark.parametrize(
    ("typed", "value"), [("18 °F", 10), ("10 K", 10), ("10 °C", 10), ("10", 10), ("-9 F", -5)]
)
def test_a_difference_of_temperatures_has_no_offset(typed, value):
    assert read_number(typed, "°C", difference=True).value == pytest.approx(value, rel=1e-12)
    assert read_number("50 °F", "°C").value == pytest.approx(10, rel=1e-12)


@pytest.mark.parametrize("typed", ["1,250", "1,250 g", "12,500", "999,999", "-1,250"])
def test_a_comma_before_three_digits_is_ambiguous(typed):
    reading = read_number(typed, "g")
    assert not reading.ok
    assert math.isnan(reading.value)
    assert "two ways" in reading.problem


@pytest.mark.parametrize("typed", ["1.250,5", "1,250.5", "1,250,000", "1.250.000", "1,,5", "1..5"])
def test_two_marks_are_ambiguous(typed):
    assert "more than one way" in read_number(typed, "g").problem


@pytest.mark.parametrize("typed", ["12 50", "1 2500", "60 63", "60-63", "60 to 63", "1/2", "5 g 3", "1:30"])
def test_more_than_one_number_is_refused(typed):
    assert "more than one number" in read_number(typed, "g").problem


@pytest.mark.parametrize(
    ("typed", "unit", "problem"),
    [
        ("40 min", "°C", "You gave a time in min. The question wants a temperature in °C."),
        ("1 h 30 min", "g", "You gave a time in min. The question wants a mass in g."),
        ("25 g/L", "%", "You gave a concentration in g/L. The question wants a share in %."),
        ("63 °C", "min", "You gave a temperature in °C. The question wants a time in min."),
        ("5 kg", "fillets", "You gave a mass in kg. The question wants a number of fillets."),
        ("5 g", "1", "You gave a mass in g. The question wants a share as a plain number."),
        ("5 furlongs", "m", "The workbook does not know “furlongs” as a unit. Write the answer in m."),
    ],
)
def test_a_wrong_unit_is_named(typed, unit, problem):
    assert read_number(typed, unit).problem == problem


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        ("", "no answer yet"),
        ("   \u2003 ", "no answer yet"),
        (None, "no answer yet"),
        ("7" * 1_000_000, "too long: 1000000"),
        (b"\xff\xfe63", "not readable text"),
        ("63\ud800", "not text"),
        ("63\x00", "not text"),
        ("nan", "no number"),
        ("inf", "no number"),
        ("-Infinity", "no number"),
        (float("nan"), "not a finite number"),
        (float("inf"), "not a finite number"),
        (10**400, "not a finite number"),
        ("1e999", "far too large"),
        ("1e308 kg", "far too large"),
        (True, "not yes or no"),
        ([63], "not a list"),
        ({"value": 63}, "not a set of pairs"),
        (1j, "not something else"),
        ("about sixty", "no number"),
        ("≥63", "nothing before it"),
        ("9**9**9", "a sum"),
        ("__import__('os').getcwd()", "no number"),
        ("2 * 3", "a sum"),
        ("10²", "does not know"),
    ],
)
def test_what_cannot_be_read_says_why(raw, words):
    reading = read_number(raw, "g")
    assert not reading.ok
    assert words in reading.problem
    assert len(reading.problem) < 200


def test_a_bare_degree_sign_does_not_say_which_degrees():
    reading = read_number("63°", "°C")
    assert (reading.value, reading.had_unit) == (63.0, False)


@pytest.mark.parametrize(
    ("typed", "unit", "half"),
    [("63", "°C", 0.5), ("62.50", "°C", 0.005), ("1.5 h", "min", 3.0), (63.0, "g", 0)],
)
def test_half_a_unit_of_the_last_digit(typed, unit, half):
    assert read_number(typed, unit).last_place == pytest.approx(half)


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_what_python_prints_reads_back(value):
    assert read_number(repr(value), "g").value == value


@given(st.decimals(min_value=-(10**6), max_value=10**6, places=2), st.sampled_from([".", ","]))
def test_either_decimal_mark_reads_the_same(value, mark):
    assert read_number(str(value).replace(".", mark), "g").value == float(value)


@given(st.integers(1000, 10**9), st.sampled_from([" ", "\u00a0", "\u202f", "\u2009", "'"]))
def test_grouped_by_spaces_reads_back(value, space):
    assert read_number(f"{value:,}".replace(",", space), "g").value == value


@given(JSON | NUMBERISH | st.binary(max_size=40), st.sampled_from([*UNITS, "fillets", ""]))
def test_reading_never_raises(raw, unit):
    reading = read_number(raw, unit)
    assert reading.ok == math.isfinite(reading.value)
    assert reading.ok == bool(reading.echo)
    reading.problem.encode("utf-8")
    reading.echo.encode("utf-8")


@pytest.mark.parametrize("symbol", UNITS)
def test_every_unit_reads_and_converts_to_its_relatives(symbol):
    unit = UNITS[symbol]
    for name in (symbol, *unit.also):
        assert find_unit(name, "no such unit") == symbol, name
    for other in UNITS.values():
        if other.quantity == unit.quantity and unit.pint and other.pint:
            there = convert(3.0, symbol, other.symbol)
            assert convert(there, other.symbol, symbol) == pytest.approx(3.0, rel=1e-9)


def test_no_two_units_share_a_name():
    names = [_key(name) for unit in UNITS.values() for name in {unit.symbol, *unit.also}]
    assert len(set(names)) == len(_BY_NAME)
    assert all(_BY_NAME[_key(name)] == unit.symbol for unit in UNITS.values() for name in unit.also)


def test_units_of_different_quantities_do_not_convert():
    with pytest.raises(UnknownName, match="unit of temperature"):
        convert(1, "min", "°C")
    with pytest.raises(UnknownName, match="furlong"):
        convert(1, "furlong", "m")


@pytest.mark.parametrize(
    ("value", "text"), [(0, "0"), (1250, "1250"), (1e6, "1000000"), (-0.5, "−0.5"), (1e-7, "1e-07")]
)
def test_numbers_are_shown_plainly(value, text):
    assert shown(value) == text
