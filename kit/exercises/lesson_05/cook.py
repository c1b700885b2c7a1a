"""Lesson 5, smoke by time and cook by temperature: the words, the order, the stall, and a cook to run."""

from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np

from kit.exercises.engine import exercise
from kit.exercises.engine.cache import simulated
from kit.marking.authored import Joined, Turned, right, some, wrong
from kit.marking.batch_runs import batch_run
from kit.marking.build import chart, controls, match, order, several
from kit.marking.draw import Draw
from kit.marking.model import BatchRun, Control, Picture, Question, Slip
from kit.process.physics.air import moist_air
from kit.process.steps import cook, fillet

_HOT, _COLD = "Hot-smoked fish", "Cold-smoked fish"
_FLAVOURED, _DRIED = "Smoke-flavoured fish", "Smoke-dried fish"
_MEANS = {  # Codex CXS 311-2013, in our own words
    _HOT: "Smoked and heated until it has set all through",
    _COLD: "Smoked so cool that the protein does not set",
    _FLAVOURED: "Given a smoke flavour, with no smoking at all",
    _DRIED: "Smoked and dried until it keeps without a fridge",
}


@exercise("Hot-smoked, cold-smoked, smoke-flavoured", criteria=["WDS-K02"])
def smoking_words(draw: Draw) -> Question:
    """Join the words of the standard with what they mean."""
    left_out = draw.pick(["", _DRIED])
    pairs = {word: meaning for word, meaning in _MEANS.items() if word != left_out}
    joined = [
        Joined(
            _HOT,
            _MEANS[_COLD],
            "If the protein does not set, the fish is cold-smoked. Hot-smoked fish is cooked.",
        ),
        Joined(_COLD, _MEANS[_HOT], "Set all through means cooked. That is hot-smoked fish."),
        Joined(_COLD, _MEANS[_FLAVOURED], "Cold-smoked fish has been in real smoke. It only stays cool."),
        Joined(
            _FLAVOURED, _MEANS[_COLD], "Smoke-flavoured fish has not been in smoke. The flavour is added."
        ),
    ]
    if not left_out:
        joined.append(
            Joined(_DRIED, _MEANS[_HOT], "Cooked is not dried. Smoke-dried fish keeps without a fridge.")
        )
    return match(
        draw,
        "Join each word with what it means in the Codex standard for smoked fish.",
        pairs,
        joined,
        extra=["Stored for some months in a smoke house"],
        hints=[
            "Ask first: was it in smoke? Then: did the heat set the flesh?",
            "Set protein is what hot smoking adds.",
        ],
        worked=" ".join(f"{word}: {meaning[0].lower()}{meaning[1:]}." for word, meaning in pairs.items()),
    )


_BATCHES = (  # what was done, whether that is hot smoking, what to say
    wrong(
        "Char: {h} h in smoke at {cool} °C; the flesh is firm, and still glassy at the core",
        "Glassy flesh has not set. This is cold-smoked.",
    ),
    right(
        "Trout: {m} min in smoke, then cooked until the core was set right through",
        "It was in smoke and the protein set right through. That is hot-smoked.",
    ),
    right(
        "Char: smoked in the hot cabinet at {hot} °C until the flesh flaked at the core",
        "The flesh flakes at the core, so the protein has set. That is hot-smoked.",
    ),
    wrong(
        "Trout: poached until set right through, then brushed with a liquid smoke",
        "It was never in smoke. It is smoke-flavoured.",
    ),
    wrong(
        "Trout: {m} min in hot smoke at {hot} °C; the outside flakes, the core is raw",
        "A raw core has not set. Hot air alone does not make it hot-smoked.",
    ),
    right(
        "Whole char: dried, then smoked and cooked in one run, set to the bone",
        "Set to the bone, in smoke: that is hot-smoked.",
    ),
)


@exercise("Which batches are hot-smoked?", criteria=["WDS-K02"], version=2)
def which_is_hot_smoked(draw: Draw) -> Question:
    """Pick the batches that the standard would call hot-smoked."""
    numbers = {
        "h": draw.step(8, 14, 1),
        "m": draw.step(15, 30, 5),
        "cool": draw.step(20, 26, 1),
        "hot": draw.step(74, 84, 2),
    }
    return several(
        draw,
        "Pick every batch that is hot-smoked fish in the sense of the Codex standard.",
        [replace(each, text=each.text.format(**numbers)) for each in some(draw, _BATCHES, 2, 2)],
        hints=[
            "Hot air is not the test. What happened to the flesh is.",
            "Look for smoke, and for flesh set all through.",
        ],
        worked="Hot-smoked means two things together: it was in smoke, and heat set the protein all through.",
    )


@exercise("Put the cook in order", criteria=["COK-K01"], prepares_for=["COK-P02", "COK-P03"], version=3)
def order_of_the_cook(draw: Draw) -> Question:
    """Six steps of a cook, from the ice check to the clean probe."""
    smoke_min, (limit, need) = (
        draw.step(15, 30, 5),
        draw.pick([("62.8 °C", "30 min"), ("65 °C", "10 min"), ("70 °C", "2 min")]),
    )
    check = "Check the probe in ice water"
    load = "Load the racks, pieces of one thickness together, with air between them"
    probe = "Put the tip of the probe in the core of the thickest piece"
    smoke = f"Smoke for {smoke_min} min by the clock"
    reach = f"Cook until the core reaches {limit}"
    hold = f"Start the hold clock, and log the core for {need}"
    clean = "Clean and disinfect the probe"
    steps = [load, check, probe, smoke, reach, hold, clean]
    steps.remove(draw.pick([check, clean]))
    early = f"The hold clock starts when the core is at {limit}, not before."
    turned = [
        Turned(hold, reach, early, safety=True, name="clock too early"),
        Turned(
            reach,
            smoke,
            "The smoke comes first, by the clock. A moist raw surface takes smoke best.",
            name="cook before smoke",
        ),
        Turned(
            probe, check, "A probe that you have not checked may be wrong all day.", name="check after use"
        )
        if check in steps
        else Turned(
            probe, load, "Put the piece in its place first. Then probe it there.", name="probe first"
        ),
    ]
    return order(
        draw,
        f"Put these steps in order. The card at Harbour Lane today says {limit} for {need}.",
        steps,
        turned,
        free=[(load, check)] if check in steps else [],  # a probe checked first is as good
        hints=[
            "Which step goes by the clock, and which by the core?",
            "The hold clock can only start after one of the others.",
        ],
        worked=(
            "Smoke ends by the clock. The cook ends by the core. The hold clock starts when the core is "
            "there."
        ),
    )


@cache  # a few hundred settings in all, and taking a cohort in draws them again and again
def _wet_bulb_c(air_c: float, rh_pct: float) -> float:
    return float(moist_air(air_c, rh_pct).wet_bulb_c)


@exercise("Where will a wet fillet stall?", criteria=["WDS-K04"], prepares_for=["COK-P05"])
def read_the_stall(draw: Draw) -> Question:
    """Read the wet-bulb temperature for a cabinet and a humidity off a chart."""
    cabinet_c = draw.pick([68, 72, 76, 80])
    rh_pct = draw.pick([25, 30, 35, 40])
    other_c = cabinet_c + draw.pick([12, 14, 16])
    wet, other = (_wet_bulb_c(air, rh_pct) for air in (cabinet_c, other_c))
    axis = list(range(15, 71, 5))
    curves: list[dict[str, Any]] = [
        {"air_c": air, "wet_bulb_c": [round(_wet_bulb_c(air, rh), 2) for rh in axis]}
        for air in (other_c, cabinet_c)
    ]
    words = "How hot a wet surface can get, by humidity. " + " ".join(
        f"Cabinet at {curve['air_c']} °C: "
        + "; ".join(f"{value:.0f} °C at {rh} %" for rh, value in zip(axis, curve["wet_bulb_c"], strict=True))
        + "."
        for curve in curves
    )
    return chart(
        f"The cabinet runs at {cabinet_c} °C with {rh_pct} % relative humidity. The fillets are still wet. "
        "Read the chart: about which temperature can a wet surface reach? That is where the core will stall.",
        round(wet, 1),
        "°C",
        Picture("wet-bulb-chart", {"rh_pct": axis, "curves": curves, "words": words}, words),
        abs_tol=1.5,
        slips=[
            Slip(
                "took the air",
                float(cabinet_c),
                "That is the air. A wet surface stays cooler, because drying takes heat.",
            ),
            Slip(
                "read the other curve",
                round(other, 1),
                f"You read the line for {other_c} °C. Your cabinet runs at {cabinet_c} °C.",
            ),
            Slip(
                "read the humidity",
                float(rh_pct),
                "That is the humidity in %. Go up from it to the line, then left.",
            ),
            Slip(
                "gave Fahrenheit",
                round(wet * 1.8 + 32, 1),
                "That is the number in °F. The chart and the card are in °C.",
            ),
        ],
        hints=[
            f"Find {rh_pct} % at the bottom. Go straight up.",
            f"Stop at the line named {cabinet_c} °C. Then go left.",
        ],
        worked=f"At {rh_pct} % and {cabinet_c} °C the wet surface reaches about {wet:.0f} °C. "
        "Until it dries, or the air gets wetter, the core cannot pass that.",
    )


_OF_A_STALL = [
    right("Water that leaves the face takes the heat away", "Drying takes heat."),
    right("The core goes on when the face has dried", "A dry face comes nearer to the air."),
    right("Wetter air would let the core go on", "Then less water leaves, and less heat with it."),
    right("You stay, go on logging, and wait for the core", "The cook ends by the core, not by the clock."),
    right("A wet face stays near the wet-bulb temperature", "So the core stands there too."),
    wrong(
        "The fish is done: it gets no hotter than this", "It is the wet face that holds it back.", safety=True
    ),
    wrong("The cabinet is broken and must be switched off", "Only a dry face comes near the air."),
    wrong("The smoke is too thin to carry the heat", "Smoke hardly carries heat. The hot air does."),
    wrong("The heat is in the middle, so the core soon jumps", "A core does not jump. It follows the face."),
    wrong("The time of the cook may be counted from now", "No limit is reached yet.", safety=True),
]


@exercise(
    "Why does the core stand still?", criteria=["WDS-K04", "COK-K05"], prepares_for=["COK-P05"], version=2
)
def why_it_stalled(draw: Draw) -> Question:
    """The core stands still well below the cabinet: say what is true of it."""
    cabinet_c, rh_pct = draw.pick([70, 74, 78]), draw.pick([25, 30, 35])
    stuck_c = round(_wet_bulb_c(cabinet_c, rh_pct)) + 1
    minutes, fish = draw.step(25, 45, 5), draw.pick(["char", "trout"])
    return several(
        draw,
        f"The cabinet is at {cabinet_c} °C with {rh_pct} % relative humidity. The {fish} went in wet. "
        f"Its core has stood at {stuck_c} °C for {minutes} min. The probe was checked and sits well. "
        "Pick all that is true.",
        some(draw, _OF_A_STALL, draw.pick([2, 3]), 3),
        hints=[
            "How do you feel when you step out of a shower into dry air?",
            "Where does the heat go that does not warm the fish?",
        ],
        worked=f"Drying takes heat. At {cabinet_c} °C and {rh_pct} % a wet surface stays near {stuck_c - 1} "
        "°C. It moves on when the surface has dried, when the air is wetter, or when the air is hotter.",
    )


_CABINET_C = (60.0, 65.0, 70.0, 75.0, 80.0, 85.0, 90.0)
_RH_PCT = (20.0, 30.0, 40.0, 50.0, 60.0)
LIMIT_C, HOLD_MIN, LATEST_MIN = 62.8, 30.0, 130.0
"""The card of the exercise: the US smoked-fish rule (`michigan-285-569`), and when the van comes."""


@exercise(
    "Set the cabinet and run the cook", criteria=["WDS-K04", "COK-K05"], prepares_for=["COK-P02", "COK-P05"]
)
def run_the_cook(draw: Draw) -> Question:
    """Choose cabinet, humidity and hold so that the thickest piece is proven, and not dried out."""
    thickness_mm = draw.pick([24.0, 28.0, 32.0])
    facts = {"thickness_mm": thickness_mm}
    slow_c, slow_pct = {24.0: (70.0, 30.0), 28.0: (75.0, 20.0), 32.0: (75.0, 30.0)}[thickness_mm]
    slow = {"cabinet_c": slow_c, "rh_pct": slow_pct}
    return controls(
        f"The thickest char is {thickness_mm:g} mm and goes in wet at 4 °C. Today's card: {LIMIT_C} °C or "
        f"more for {HOLD_MIN:g} min without a break (US smoked-fish rule, Michigan). The fish must be out by "
        f"{LATEST_MIN:g} min, and no more than 15 min past its hold. Set the cabinet and run it.",
        [
            Control("cabinet_c", "Cabinet", "°C", _CABINET_C[0], _CABINET_C[-1], 5.0, 65.0),
            Control("rh_pct", "Relative humidity", "%", _RH_PCT[0], _RH_PCT[-1], 10.0, 30.0),
            Control(
                "hold_min", "Time in the cabinet after the core reaches the limit", "min", 0.0, 60.0, 5.0, 0.0
            ),
        ],
        "char-in-the-cabinet",
        {"cabinet_c": 80.0, "rh_pct": 50.0, "hold_min": 35.0},
        slips=[
            Slip(
                "touched, not held",
                {"cabinet_c": 80.0, "rh_pct": 50.0, "hold_min": 0.0},
                _SAYS["touched, not held"],
            ),
            Slip("stalled", {"cabinet_c": 65.0, "rh_pct": 20.0, "hold_min": 35.0}, _SAYS["stalled"]),
            Slip("too late", {**slow, "hold_min": 35.0}, _SAYS["too late"]),
            Slip("dried out", {"cabinet_c": 80.0, "rh_pct": 50.0, "hold_min": 60.0}, _SAYS["dried out"]),
        ],
        of=3.0,
        facts=facts,
        hints=[
            "A wet fillet cannot pass the wet-bulb temperature. Make the air hotter or wetter.",
            f"Reaching is not holding. The card wants {HOLD_MIN:g} min more after the core is there.",
        ],
        worked="At 80 °C and 50 % humidity the wet-bulb temperature lies above the limit, so the core gets "
        "there. Then 35 min in the cabinet give the 30 min hold with a little to spare.",
    )


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
    time, core = _cook_curve(float(facts["thickness_mm"]), cabinet_c, rh_pct)
    reached = np.flatnonzero((core >= LIMIT_C) & (time <= LATEST_MIN))
    out_min = float(time[reached[0]]) + hold_min if reached.size else LATEST_MIN
    shown = time <= out_min + 1e-9
    picture = _run_picture(time[shown], core[shown])
    if not reached.size:
        told = f"After {out_min:.0f} min the core stands at {core[shown][-1]:.1f} °C, below {LIMIT_C} °C."
        return BatchRun(0.0, 3.0, (told,), "stalled", picture)
    first = f"The core reached {LIMIT_C} °C at {time[reached[0]]:.0f} min and was held for {hold_min:g} min."
    if hold_min < HOLD_MIN:
        return BatchRun(0.0, 3.0, (first,), "touched, not held", picture)
    score, slip, says = 3.0, "", [first]
    for missed, name in ((hold_min > HOLD_MIN + 15, "dried out"), (out_min > LATEST_MIN, "too late")):
        if missed:
            score -= 1
            if slip:
                says.append(_SAYS[name])  # the first slip's words are the question's
            slip = slip or name
    if not slip:
        says.append(f"It came out at {out_min:.0f} min. The named limit was met, and the fish did not wait.")
    return BatchRun(score, 3.0, tuple(says), slip, picture)


def _run_picture(
    time: np.ndarray[Any, np.dtype[np.float64]], core: np.ndarray[Any, np.dtype[np.float64]]
) -> Picture:
    data = {
        "time_min": [round(float(minute), 1) for minute in time],
        "core_c": [round(float(value), 1) for value in core],
        "limit_c": LIMIT_C,
    }
    words = (
        f"Your cook: core from {core[0]:.0f} °C to {core[-1]:.1f} °C after {time[-1]:.0f} min. Limit "
        f"{LIMIT_C} °C."
    )
    return Picture("cook-record", data, words)


@simulated
def _cook_curve(thickness_mm: float, cabinet_c: float, rh_pct: float) -> tuple[Any, Any]:
    """Return minutes and core of a char in this cabinet, wet, for as long as the exercise may need."""
    piece = fillet.raw("char, farmed", thickness_mm, 200, 4.0, skin_on=False)
    run = cook.cook(
        piece,
        core_target_c=LIMIT_C,
        cabinet_c=cabinet_c,
        rh_pct=rh_pct,
        wetness=1,
        dries_after_g_m2=150.0,
        cook_min=200,
        carry_over_min=0,
    )
    time = np.arange(0.0, 201.0, 1.0)
    return time, np.interp(time, run.trace.time_min, run.trace.core_c)
