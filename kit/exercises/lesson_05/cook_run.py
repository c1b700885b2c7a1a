"""Lesson 5, a cook to run: set the cabinet so that the thickest piece has its hold, and is out in time."""

from collections.abc import Mapping
from itertools import product
from math import ceil, inf
from typing import Any

import numpy as np

from kit.basics.errors import BadData
from kit.exercises.engine import exercise
from kit.exercises.engine.cache import simulated
from kit.exercises.engine.whose_rule import cook_card
from kit.marking.batch_runs import batch_run
from kit.marking.build import controls
from kit.marking.draw import Draw
from kit.marking.model import BatchRun, Control, Picture, Question, Slip
from kit.process.steps import cook, fillet
from kit.rules import Profile

_CABINET_C = (60.0, 65.0, 70.0, 75.0, 80.0, 85.0, 90.0)
_RH_PCT = (20.0, 30.0, 40.0, 50.0, 60.0)
_AIRS = (  # up to which core [°C]; and a cabinet that brings a wet fillet there
    (61.0, (75.0, 60.0)),
    (63.5, (80.0, 50.0)),
    (66.0, (80.0, 60.0)),
    (71.0, (85.0, 60.0)),
    (77.0, (90.0, 60.0)),
)
_TOO_LONG_MIN = 15.0
"""How long past its hold a piece may stay in; ours, no source. [min]"""


@exercise(
    "Set the cabinet and run the cook",
    criteria=["WDS-K04", "COK-K05"],
    prepares_for=["COK-P02", "COK-P05"],
    version=4,
    model=True,
)
def run_the_cook(draw: Draw, profile: Profile) -> Question:
    """Choose cabinet, humidity and hold so that the thickest piece is proven, and not dried out."""
    thickness_mm, card = draw.step(22.0, 32.0, 2.0), cook_card(draw, profile, hottest_c=_AIRS[-1][0])
    limit_c, need_min = card.core_c, card.minutes
    air = next(air for most_c, air in _AIRS if limit_c <= most_c)
    best = {"cabinet_c": air[0], "rh_pct": air[1], "hold_min": 5.0 * (need_min // 5 + 1)}
    reached = _reached_min(thickness_mm, air[0], air[1], limit_c)
    latest_min = 5.0 * ceil((reached + best["hold_min"] + 20) / 5)
    facts = {
        "thickness_mm": thickness_mm,
        "limit_c": limit_c,
        "need_min": need_min,
        "latest_min": latest_min,
    }
    return controls(
        f"The thickest char is {thickness_mm:g} mm and goes in wet at 4 °C. Today's card: {card.words}. "
        f"{card.whose} The fish must be out {latest_min:g} min after it went in, "
        f"and at most {_TOO_LONG_MIN:g} min after its hold is done. Set the cabinet and run it.",
        [
            Control("cabinet_c", "Cabinet", "°C", _CABINET_C[0], _CABINET_C[-1], 5.0, 65.0),
            Control("rh_pct", "Relative humidity", "%", _RH_PCT[0], _RH_PCT[-1], 10.0, 30.0),
            Control(
                "hold_min", "Time in the cabinet after the core reaches the limit", "min", 0.0, 75.0, 5.0, 0.0
            ),
        ],
        "char-in-the-cabinet",
        best,
        slips=[
            Slip("touched, not held", {**best, "hold_min": 0.0}, _SAYS["touched, not held"]),
            Slip("stalled", {**best, "cabinet_c": 60.0, "rh_pct": 20.0}, _SAYS["stalled"]),
            Slip("too late", _too_slow(facts), _SAYS["too late"]),
            Slip("dried out", {**best, "hold_min": 75.0}, _SAYS["dried out"]),
        ],
        of=3.0,
        facts=facts,
        hints=[
            "A wet fillet cannot pass the wet-bulb temperature. Make the air hotter or wetter.",
            f"Reaching is not holding. The card wants {need_min:g} min more after the core is there.",
        ],
        worked=f"At {air[0]:g} °C and {air[1]:g} % humidity the core is at {limit_c:g} °C after "
        f"{reached:.0f} min. Then {best['hold_min']:g} min in the cabinet give the {need_min:g} min hold "
        "with a little to spare.",
    )


def _reached_min(thickness_mm: float, cabinet_c: float, rh_pct: float, limit_c: float) -> float:
    """Return the minute at which the core comes to the limit, or infinity."""
    time, core = _cook_curve(thickness_mm, cabinet_c, rh_pct)
    found = np.flatnonzero(core >= limit_c)
    return float(time[found[0]]) if found.size else inf


def _too_slow(facts: Mapping[str, float]) -> dict[str, float]:
    """Return settings that hold the piece for long enough, but bring it out too late.

    Raises
    ------
    BadData
        If there are none.
    """
    hold_min = 5.0 * ((facts["need_min"] + _TOO_LONG_MIN) // 5)
    for cabinet_c, rh_pct in product((70.0, 75.0, 80.0, 85.0, 90.0), _RH_PCT):
        at_min = _reached_min(facts["thickness_mm"], cabinet_c, rh_pct, facts["limit_c"])
        if at_min <= facts["latest_min"] < at_min + hold_min:
            return {"cabinet_c": cabinet_c, "rh_pct": rh_pct, "hold_min": hold_min}
    raise BadData("run-the-cook", f"no cabinet is too slow for {facts}", "one that is")


_SAYS = {
    "stalled": "The core did not reach the limit in time: the wet surface held it back. "
    "Raise the humidity or the cabinet temperature.",
    "touched, not held": "The core reached the limit but did not stay there long enough. "
    "Reaching is not holding.",
    "dried out": "The limit is met. But the fish stayed in too long after its hold, and dried.",
    "too late": "The limit is met, but too late. Hotter or wetter air would have been quicker.",
}


@batch_run("char-in-the-cabinet")
def char_in_the_cabinet(settings: Mapping[str, float], facts: Mapping[str, Any]) -> BatchRun:
    """Run the cook at these settings and score it: 0 unless the limit is proven."""
    cabinet_c, rh_pct, hold_min = (float(settings[key]) for key in ("cabinet_c", "rh_pct", "hold_min"))
    limit_c, need_min, latest_min = (float(facts[key]) for key in ("limit_c", "need_min", "latest_min"))
    time, core = _cook_curve(float(facts["thickness_mm"]), cabinet_c, rh_pct)
    at_min = _reached_min(float(facts["thickness_mm"]), cabinet_c, rh_pct, limit_c)
    out_min = at_min + hold_min if at_min <= latest_min else latest_min
    shown = time <= out_min + 1e-9
    picture = _run_picture(time[shown], core[shown], limit_c)
    if at_min > latest_min:
        told = f"After {out_min:.0f} min the core stands at {core[shown][-1]:.1f} °C, below {limit_c:g} °C."
        return BatchRun(0.0, 3.0, (told,), "stalled", picture)
    first = f"The core reached {limit_c:g} °C at {at_min:.0f} min and was held for {hold_min:g} min."
    if hold_min < need_min:
        return BatchRun(0.0, 3.0, (first,), "touched, not held", picture)
    score, slip, says = 3.0, "", [first]
    for missed, name in (
        (hold_min > need_min + _TOO_LONG_MIN, "dried out"),
        (out_min > latest_min, "too late"),
    ):
        if missed:
            score -= 1
            if slip:
                says.append(_SAYS[name])  # the first slip's words are the question's
            slip = slip or name
    if not slip:
        says.append(f"It came out at {out_min:.0f} min. The named limit was met, and the fish did not wait.")
    return BatchRun(score, 3.0, tuple(says), slip, picture)


def _run_picture(
    time: np.ndarray[Any, np.dtype[np.float64]], core: np.ndarray[Any, np.dtype[np.float64]], limit_c: float
) -> Picture:
    data = {
        "time_min": [round(float(minute), 1) for minute in time],
        "core_c": [round(float(value), 1) for value in core],
        "limit_c": limit_c,
    }
    words = (
        f"Your cook: core from {core[0]:.0f} °C to {core[-1]:.1f} °C after {time[-1]:.0f} min. Limit "
        f"{limit_c:g} °C."
    )
    return Picture("cook-record", data, words)


@simulated
def _cook_curve(thickness_mm: float, cabinet_c: float, rh_pct: float) -> tuple[Any, Any]:
    """Return minutes and core of a char in this cabinet, wet, for as long as the exercise may need."""
    piece = fillet.raw("char, farmed", thickness_mm, 200, 4.0, skin_on=False)
    run = cook.cook(
        piece,
        core_target_c=60.0,
        cabinet_c=cabinet_c,
        rh_pct=rh_pct,
        wetness=1,
        dries_after_g_m2=150.0,
        cook_min=200,
        carry_over_min=0,
    )
    time = np.arange(0.0, 201.0, 1.0)
    return time, np.interp(time, run.trace.time_min, run.trace.core_c)
