"""Marking a number, typed or read off a chart."""

import math
import re
from typing import Any

from kit.marking.derived_slips import derived_slip
from kit.marking.model import Number, Outcome, Question, Slip
from kit.marking.outcomes import right, scored, unread
from kit.marking.typed_number import ReadNumber, read_number, shown
from kit.marking.units import convert

NOISE = 1e-9
"""Relative room for the last bits of a conversion: 0.05 h is 3 min, exactly."""

MOST_COARSE = 0.05
"""A right value rounded too far earns half marks if rounding moved it by no more than this share."""


def mark_number(question: Question, kind: Number, raw: Any) -> Outcome:
    """Return the outcome of a number; the scheme is in :func:`kit.marking.marker.mark`."""
    reading = read_number(raw, kind.unit, difference=kind.difference)
    if not reading.ok:
        return unread(question, reading.problem)
    if _restates(question, reading):
        asked = f" in {kind.unit}" if kind.unit not in ("", "1") else ""
        return unread(question, f"That is the number you were given. Work it out{asked}.")
    given, truth = reading.value, float(question.answer)
    if accepts(kind, truth, given):
        return right(question, reading.echo, *_lighter(kind, raw, reading))
    slip = nearest_slip(question, kind, reading)
    if slip is not None:
        return scored(question, 0.0, f"Not yet. {slip.says}", slip.name, reading.echo)
    if _rounded_too_far(kind, truth, reading):
        message = "Nearly. You rounded too far: give one more digit."
        return scored(question, 0.5, message, "rounded too far", reading.echo)
    if _point_for_thousands(raw, reading) and accepts(kind, truth, given * 1000):
        message = f"This was read as {reading.echo}. Write the number without a mark between thousands."
        return unread(question, message)
    name, says = _usual(question, kind, truth, given)
    return scored(question, 0.0, says, name, reading.echo)


def _restates(question: Question, reading: ReadNumber) -> bool:
    """Tell whether a number in another unit than asked is one that the question itself gives."""
    as_typed, converted, _ = reading.echo.partition(", that is ")
    return (
        bool(converted) and re.search(rf"(?<![\d.,]){re.escape(as_typed)}(?!\w)", question.text) is not None
    )


def width(kind: Number, about: float) -> float:
    """Return how far from a value still counts as that value: the wider of the two tolerances."""
    return max(kind.rel_tol * abs(about), kind.abs_tol)


def bounds(kind: Number, truth: float) -> tuple[float, float]:
    """Return the lowest and the highest number that count as right.

    Examples
    --------
    >>> bounds(Number("g", rel_tol=0.02), 50.0)
    (49.0, 51.0)
    """
    tolerance = width(kind, truth)
    low, high = truth - tolerance, truth + tolerance
    if kind.one_sided == "at least":
        low, high = truth, high if kind.far is None else kind.far
    elif kind.one_sided == "at most":
        low, high = low if kind.far is None else kind.far, truth
    return low, high


def accepts(kind: Number, truth: float, given: float) -> bool:
    """Return whether a number counts as right.

    Examples
    --------
    >>> limit = Number("min", one_sided="at least", far=10)
    >>> accepts(limit, 3.0, 2.9), accepts(limit, 3.0, 3.1)
    (False, True)
    """
    noise = NOISE * max(abs(truth), abs(given))
    low, high = bounds(kind, truth)
    low, high = low - noise, high + noise
    return low <= given <= high


def nearest_slip(question: Question, kind: Number, reading: ReadNumber) -> Slip | None:
    """Return the slip whose value is nearest to the number given, if it is near enough.

    Near enough is within the tolerance, or within the rounding of what was written, up to 5 % of the slip.
    """
    best, best_gap = None, math.inf
    for slip in question.slips:
        value = float(slip.value)
        gap = abs(reading.value - value)
        rounding = min(reading.last_place, MOST_COARSE * abs(value))
        near = max(width(kind, value), rounding) + NOISE * abs(value)
        if gap <= near and gap < best_gap:
            best, best_gap = slip, gap
    return best


def _rounded_too_far(kind: Number, truth: float, reading: ReadNumber) -> bool:
    gap = abs(reading.value - truth)
    return not kind.one_sided and gap <= min(reading.last_place, MOST_COARSE * abs(truth))


def _lighter(kind: Number, raw: Any, reading: ReadNumber) -> list[str]:
    """Return the lighter faults of a right answer: they cost nothing but are said."""
    if not isinstance(raw, str | bytes):
        return []
    said = []
    if not reading.had_unit and kind.unit not in ("", "1"):
        said.append(f"Write the unit too: {reading.echo}.")
    if kind.decimals is not None and reading.had_unit is not None and reading.decimals > kind.decimals:
        places = {0: "no decimals", 1: "1 decimal"}.get(kind.decimals, f"{kind.decimals} decimals")
        said.append(f"The question asks for {places}: more digits look surer than they are.")
    return said


def _point_for_thousands(raw: Any, reading: ReadNumber) -> bool:
    return isinstance(raw, str) and reading.decimals == 3 and abs(reading.value) >= 1


def _usual(question: Question, kind: Number, truth: float, given: float) -> tuple[str, str]:
    """Return the name and message of a slip that any number can show, or of none."""
    ratio = given / truth if truth else 0.0
    if ratio:
        power = round(math.log10(abs(ratio)))
        if power and ratio > 0 and _near(kind, truth, given / 10.0**power):
            return "decimal point", "Not yet. The digits are right; check the decimal point and the units."
        if _near(kind, truth, -given):
            return "sign", "Not yet. The size is right; check the sign."
    for unit, other, says in _OTHER_UNITS:
        there = kind.unit == unit and not kind.difference
        if there and _near(kind, truth, convert(given, other, unit)):
            return f"in {other}", f"Not yet. {says}"
    name, found = derived_slip(question, kind, given, lambda one: _near(kind, truth, one)) or ("", "")
    if kind.one_sided:
        return _beside_a_limit(kind, truth, given, name, found)
    return name, f"Not yet. {found or 'Read the question again, and take the steps one by one.'}"


def _beside_a_limit(kind: Number, truth: float, given: float, name: str, found: str) -> tuple[str, str]:
    """Return name and message of a number that misses a limit: on which side it lies comes first."""
    unsafe = given < truth if kind.one_sided == "at least" else given > truth
    if unsafe and abs(given - truth) < 0.5 + NOISE and given == round(truth):
        return "rounded the unsafe way", (
            "Not yet. You rounded to the unsafe side. A limit is rounded to the safe side only."
        )
    says = "This is on the unsafe side of the limit, and a limit has no tolerance."
    if not unsafe:
        says = f"{shown(given)} is on the safe side, but far from what the job needs."
    return name, f"Not yet. {says} {found}".strip()


def _near(kind: Number, truth: float, value: float) -> bool:
    """Return whether a number is the truth itself; far over a safety limit is none, though it is accepted."""
    return abs(value - truth) <= width(kind, truth) + 1e-6 * abs(truth)


_OTHER_UNITS = (
    ("°C", "°F", "That is the number in °F. Give it in °C."),
    ("min", "h", "That is the number in hours. Give it in minutes: an hour has 60."),
    ("h", "min", "That is the number in minutes. Give it in hours: 60 min make one."),
    ("g", "kg", "That is the number in kg. Give it in g: a kilo has 1000."),
    ("min", "s", "That is the number in seconds. Give it in minutes: 60 s make one."),
    ("h", "days", "That is the number in days. Give it in hours: a day has 24."),
    ("mL", "L", "That is the number in litres. Give it in mL: a litre has 1000."),
    ("mm", "cm", "That is the number in cm. Give it in mm: a cm has 10."),
    ("kg", "g", "That is the number in g. Give it in kg: 1000 g make one."),
)
"""The unit asked for, another in which the number would be right, and what to say."""
