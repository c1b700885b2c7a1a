"""Lesson 4, the glow: read off a chart what to weigh, and set a tray so that its smoke lasts."""

from collections.abc import Mapping
from typing import Any

from kit.exercises.engine import exercise
from kit.marking.batch_runs import batch_run
from kit.marking.build import chart, controls
from kit.marking.draw import Draw
from kit.marking.model import BatchRun, Control, Picture, Question, Slip
from kit.process.physics.smoke import burn_rate, chips_for, smoke_minutes, smoke_quality

_AT_MIN = (0, 30, 60, 90, 120, 150)
WATER_PCT = 12
"""Water in the chips of both tasks, made up. [g per 100 g dry wood]"""


def _over_minutes(trays: tuple[int, int]) -> Picture:
    """Return chips against minutes of smoke for two trays; its words give the readings at each hour."""
    curves = [
        {"name": f"{tray} cm²", "values": [round(chips_for(at, tray, WATER_PCT).middle, 1) for at in _AT_MIN]}
        for tray in trays
    ]
    told = " ".join(
        f"{curve['name']}: {curve['values'][2]:.0f} g for 60 min, {curve['values'][4]:.0f} g for 120 min."
        for curve in curves
    )
    words = f"Chips to weigh against minutes of smoke, a straight line for each tray. {told}"
    return Picture("chips-for-time", {"time_min": list(_AT_MIN), "curves": curves, "words": words}, words)


@exercise("Read the chips off the chart", criteria=["WDS-K04"], prepares_for=["WDS-P03"], model=True)
def read_the_chips_chart(draw: Draw) -> Question:
    """Read the chips for a time of smoke off a chart, for one of two trays."""
    small, minutes = draw.pick([80, 100, 120]), draw.pick([50, 70, 80, 100, 110])
    trays = (small, 2 * small)
    asked = draw.pick(trays)
    other = 3 * small - asked
    truth = chips_for(minutes, asked, WATER_PCT).middle
    return chart(
        f"The chart is a model. Each line is a tray, named by the area that glows. You want {minutes} min of "
        f"smoke from the tray of {asked} cm². How many g of chips does the chart say?",
        round(truth, 1),
        "g",
        _over_minutes(trays),
        abs_tol=14,
        slips=[
            Slip(
                "read the other tray",
                round(chips_for(minutes, other, WATER_PCT).middle, 1),
                "You read the line of the other tray. Read its name first.",
            ),
            Slip(
                "read at another time",
                round(chips_for(minutes + 30, asked, WATER_PCT).middle, 1),
                "You read 30 min beside the question. Count the lines of the grid.",
            ),
        ],
        hints=[f"First find the line of {asked} cm².", f"Go up from {minutes} min, then across to the left."],
        worked=f"On the line of {asked} cm², above {minutes} min, the chart says about {truth:.0f} g. "
        "Your own chips may need a third less or more: weigh the tray before and after.",
    )


LEAST_G_H, MOST_G_H, MOST_GLOW_C = 120.0, 180.0, 420.0
"""Harbour Lane's own card, made up: dry wood an hour, and the hottest glow."""
_OF = 3.0
_SAYS = {
    "smoke too short": "If the chips burn fast, the smoke ends before its time. Weigh more chips.",
    "smoke too long": "If the chips burn slowly, they smoke on for too long. Weigh fewer chips.",
    "too little glows": "Too little wood glows. A bigger tray burns more of it in an hour.",
    "too much glows": "Too much wood glows at once: thick, sharp smoke. Take a smaller tray.",
    "glow too hot": "The glow is too hot. Less air brings it down, and less PAH forms.",
}


@exercise(
    "Set the tray and smoke",
    criteria=["WDS-K04", "WDS-K05"],
    prepares_for=["WDS-P03", "WDS-P04"],
    version=2,
    model=True,
)
def set_the_smoke(draw: Draw) -> Question:
    """Set chips, tray and glow so that the smoke lasts its time, as a band, and stays clean."""
    wanted = int(draw.step(40, 95, 5))
    tray = 120
    chips = 20 * round(1.09 * chips_for(wanted, tray, WATER_PCT).high / 20)
    best: dict[str, float] = {"chips_g": chips, "tray_cm2": tray, "glow_c": 410}
    return controls(
        f"The card of Harbour Lane is made up. It asks for {wanted} min of smoke, even if the chips burn "
        f"fast. After {2 * wanted} min the smoke must be out, even if they burn slowly. It asks for "
        f"{LEAST_G_H:g} to {MOST_G_H:g} g of dry wood an hour, and a glow of at most {MOST_GLOW_C:g} °C. "
        f"The chips hold {WATER_PCT} g of water for each 100 g of dry wood. Set the tray and run it.",
        [
            Control("chips_g", "Chips on the tray", "g", 100, 900, 20, 100),
            Control("tray_cm2", "Area that glows", "cm²", 50, 300, 10, 250),
            Control("glow_c", "Heat of the glow, set by its air", "°C", 400, 500, 10, 480),
        ],
        "smoke-on-a-tray",
        best,
        [
            Slip("smoke too short", {**best, "chips_g": 100}, _SAYS["smoke too short"]),
            Slip("smoke too long", {**best, "chips_g": 900}, _SAYS["smoke too long"]),
            Slip("glow too hot", {**best, "glow_c": 480}, _SAYS["glow too hot"]),
            Slip(
                "too much glows",
                {**best, "tray_cm2": 2 * tray, "chips_g": min(900, 2 * chips)},
                _SAYS["too much glows"],
            ),
            Slip(
                "too little glows",
                {**best, "tray_cm2": 60, "chips_g": 20 * round(chips / 40)},
                _SAYS["too little glows"],
            ),
        ],
        of=_OF,
        facts={"wanted_min": wanted},
        hints=[
            "First the tray: how much wood glows in an hour?",
            "Then the chips: look at both ends of the time.",
        ],
        worked=f"{tray} cm² burns about {burn_rate(tray).middle:.0f} g of dry wood an hour. {chips:g} g of "
        f"chips then last from {smoke_minutes(chips, tray, WATER_PCT).low:.0f} to "
        f"{smoke_minutes(chips, tray, WATER_PCT).high:.0f} min. A glow of 400 to 420 °C keeps PAH low. Only "
        "a laboratory can measure them.",
    )


@batch_run("smoke-on-a-tray")
def smoke_on_a_tray(settings: Mapping[str, float], facts: Mapping[str, Any]) -> BatchRun:
    """Run a tray: one point for smoke at its time, one for the wood an hour, one for the glow."""
    wanted, tray = float(facts["wanted_min"]), float(settings["tray_cm2"])
    lasts = smoke_minutes(float(settings["chips_g"]), tray, WATER_PCT)
    per_hour, glow = burn_rate(tray).middle, float(settings["glow_c"])
    missed = [
        slip
        for slip, wrong in (
            ("smoke too short", lasts.low < wanted),
            ("smoke too long", lasts.low >= wanted and lasts.high > 2 * wanted),
            ("too little glows", per_hour < LEAST_G_H),
            ("too much glows", per_hour > MOST_G_H),
            ("glow too hot", glow > MOST_GLOW_C),
        )
        if wrong
    ]
    told = (
        f"Smoke for {lasts.low:.0f} to {lasts.high:.0f} min: a band, as chips differ.",
        f"About {per_hour:.0f} g of dry wood an hour.",
        f"A glow of {glow:g} °C gives {smoke_quality(glow).pah_relative:.1f} times the tarry PAH of 400 °C "
        "(from memory, confirm).",
    )
    closing = [_SAYS[slip] for slip in missed[1:]]  # marking says the first one itself
    if not missed:
        closing = ["On the card. Now watch it, and weigh your own tray."]
    words = " ".join(told)
    data = {"low_min": lasts.low, "high_min": lasts.high, "wanted_min": wanted, "words": words}
    shown = Picture("smoke-window", data, words)
    return BatchRun(_OF - len(missed), _OF, (*told, *closing), missed[0] if missed else "", shown)
