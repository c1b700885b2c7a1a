"""Slips of a number that the kit finds by itself, from the numbers of the question and from its chart.

No author has to write them: an hour of 100 minutes, a step left out, the wrong side of a percentage, a number
of the question given back, and what stands on a chart where somebody read.
"""

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Any

from kit.marking.model import Number, Question
from kit.marking.typed_number import shown

Fits = Callable[[float], bool]
"""Whether a number counts as the right one."""

_IN_TEXT = re.compile(r"(?<![\d.,:])[−-]?\d+(?:\.\d+)?(?![\d:]|[.,]\d)")
_DIGITS_ASKED = re.compile(r"\b\d decimals?\b")
_PERCENTAGES = re.compile(r"(\d+(?:\.\d+)?) %")
_X_AXES = {"time_min": ("", " min"), "rh_pct": ("", " % humidity"), "depth_mm": ("a depth of ", " mm")}
_LINES = {"core_c": ("core", "°C"), "air_c": ("air", "°C"), "ppm": ("line", "ppm"), "wps_pct": ("line", "%")}


def derived_slip(question: Question, kind: Number, given: float, fits: Fits) -> tuple[str, str] | None:
    """Return the name of a slip that a wrong number shows, and what to say to it; or nothing.

    Parameters
    ----------
    fits : callable
        Whether a number would have been right.

    Examples
    --------
    >>> asked = Question("x", 1, 0, "From 13:35 to 15:05: how many minutes?", Number("min"), 90.0)
    >>> derived_slip(asked, asked.kind, 130.0, lambda value: value == 90)[0]
    '100 minutes in an hour'
    """
    truth = float(question.answer)
    if kind.unit in ("min", "h") and (said := _hours_of_100(kind.unit, given, fits)):
        return said
    if question.reads_chart:
        says = what_stands_there(question, kind.unit, given)
        return ("read elsewhere on the chart", says) if says else None
    if kind.unit == "%" and 0 < given < 100 and fits(100 - given):
        return "the other part of 100", "That is the other part of the 100 %: what is gone, or what is left."
    if found := _of_the_text(question, given, fits):
        return found
    if kind.one_sided:
        return None
    if truth and fits(given / 2) and not fits(given):
        return (
            "twice",
            "That is twice too much. Look for a half taken as a whole, or one doubling too many.",
        )
    if truth and fits(given * 2) and not fits(given):
        return "half", "That is half of it. Look for a whole taken as a half, or for one doubling left out."
    return None


def _hours_of_100(unit: str, given: float, fits: Fits) -> tuple[str, str] | None:
    """Find hours and minutes that were put side by side: 1 h 30 as 130 min, or as 1.3 h."""
    hours, minutes = divmod(given, 100.0) if unit == "min" else divmod(round(100 * given, 6), 100.0)
    if hours < 1 or minutes >= 60:
        return None
    meant = 60 * hours + minutes
    if not fits(meant if unit == "min" else meant / 60):
        return None
    return "100 minutes in an hour", (
        f"You counted 100 minutes in an hour. {hours:g} h {minutes:g} min are {shown(meant)} min"
        + (f", or {shown(meant / 60, 4)} h." if unit == "h" else ".")
    )


def _of_the_text(question: Question, given: float, fits: Fits) -> tuple[str, str] | None:
    """Find a number of the question that was given back, or with which one step was left out."""
    text = _DIGITS_ASKED.sub("", question.text)
    said = {float(each.replace("−", "-")) for each in _IN_TEXT.findall(text)}
    if given in said:
        return "gave a number of the question", (
            f"{shown(given)} stands in the question. Something is still to be done with it."
        )
    for number in sorted(said - {0.0, 1.0, 2.0, 10.0, 100.0, 1000.0}):
        if fits(given * number) or fits(given / number):
            return "left out a step", f"One step with the {shown(number)} is missing, or was made twice."
    for number in sorted(float(each) for each in _PERCENTAGES.findall(text)):
        if number and (fits(given * number / 100) or fits(given * 100 / number)):
            says = f"One step with the {shown(number)} % is missing, or was made twice."
            return "left out a percentage", says
    return None


def what_stands_there(question: Question, unit: str, given: float) -> str:
    """Say what a chart shows where somebody read: at that time, or which line stands that high and where.

    Nothing where the chart has no lines to read, or the number lies off it.
    """
    data = question.picture.data if question.picture else {}
    axis = next((key for key in _X_AXES if key in data), "")
    if not axis:
        return ""
    before, after = _X_AXES[axis]
    across = [float(each) for each in data[axis]]
    lines = list(_lines_of(data))
    if unit == after.strip():
        if not across[0] <= given <= across[-1]:
            return f"The chart ends at {shown(across[-1])}{after}." if given > across[-1] else ""
        told = "; ".join(f"{name} {shown(_at(across, line, given), 3)} {mark}" for name, line, mark in lines)
        return f"At {before}{shown(given, 4)}{after} the chart shows: {told.strip()}. Read at another place."
    for name, line, _ in lines:
        for (x0, y0), (x1, y1) in pairwise(zip(across, line, strict=True)):
            if y0 != y1 and min(y0, y1) <= given <= max(y0, y1):
                at = x0 + (x1 - x0) * (given - y0) / (y1 - y0)
                where = f"{before}{shown(at, 3)}{after}"
                return f"The {name} stands at {shown(given, 4)} {unit} at {where}. Read at another place."
    return f"Nothing on this chart stands at {shown(given, 4)} {unit}." if lines else ""


def _lines_of(data: Mapping[str, Any]) -> Iterator[tuple[str, Sequence[float], str]]:
    """Yield the lines of a chart: what it is called, its values, and their unit where it is known."""
    for key, (name, unit) in _LINES.items():
        if key in data:
            yield name, [float(each) for each in data[key]], unit
    for curve in data.get("curves", ()):
        name = f"line “{curve['name']}”" if "name" in curve else f"line for {curve.get('air_c'):g} °C"
        yield name, curve["values"] if "values" in curve else curve["wet_bulb_c"], ""


def _at(across: Sequence[float], line: Sequence[float], place: float) -> float:
    for (x0, y0), (x1, y1) in pairwise(zip(across, line, strict=True)):
        if x0 <= place <= x1:
            return y0 if x1 == x0 else y0 + (y1 - y0) * (place - x0) / (x1 - x0)
    return line[-1]
