"""What a prediction says will happen is what the explorer's own sum shows."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest

from kit.basics.errors import BadData
from kit.process.physics.brine import salometer_to_pct
from kit.process.sampling.tasting import chance_of
from kit.views.pictures.register import Predict, explorer_named, explorer_names


def facts(name: str, **settings: Any) -> str:
    spec = explorer_named(name)
    return " | ".join(spec.draw(spec.settle({**spec.start(), **settings})).facts)


def number(pattern: str, text: str) -> float:
    found = re.search(pattern, text)
    assert found, (pattern, text)
    return float(found[1].replace(",", ""))


def hold_at_63_min() -> float:
    """As good as 2 min at 70 °C with z = 7.5 °C: UK and Irish guidance; the sum is the definition of z."""
    return 2 * 10 ** ((70 - 63) / 7.5)


def loss(**settings: Any) -> float:
    return number(r"Weight loss: ([\d.]+) %", facts("drying-air", **settings))


def growth(store_c: float) -> float:
    return number(r"After 10 days: ([\d.]+) log", facts("listeria-in-the-pack", store_c=store_c, days=10))


def bones_after(looks: int) -> float:
    return number(rf"{looks} looks?: ([\d.]+)", facts("bones-left"))


def called_back_kg(mixed: int) -> float:
    return number(r": ([\d.]+) kg of finished fish", facts("how-far-a-lot-spreads", mixed=mixed))


SHIFT_BEGINS_MIN = 7 * 60  # the axis of the plan begins at 07:00


def nearest(choices: tuple[str, ...], value: float) -> str:
    return min(choices, key=lambda text: abs(number(r"(\d+)", text) - value))


def growth_at_home(home_c: float) -> float:
    told = facts("pack-on-its-way", home_c=home_c)
    return number(r"grow by ([\d.]+) log", told) * number(r"([\d.]+) % of that is at home", told) / 100


def shift_min(chiller_pct: float) -> float:
    """How long the shortest plan takes from the start of the shift."""
    told = facts("plan-of-the-shift", chiller_pct=chiller_pct)
    hours, minutes = number(r"shortest plan: (\d+):", told), number(r"shortest plan: \d+:(\d+)", told)
    return hours * 60 + minutes - SHIFT_BEGINS_MIN


def in_doubt(good_day: int) -> int:
    return facts("probe-drift", good_day=good_day).split(" | ")[0].count("day ")


HAPPENS: dict[str, Callable[[], str]] = {
    "boiling-and-height": lambda: (
        "No, it is nearly right"
        if number(r"shows 97.1 °C: ([\d.]+) °C", facts("boiling-and-height")) <= 0.5
        else "Yes, water boils at 100 °C"
    ),
    "bones-left": lambda: "Fewer" if bones_after(1) - bones_after(2) < 48 - bones_after(1) else "Yes",
    "breathing-the-smoke": lambda: (
        "Only the one over 15 min"
        if (": broken" in facts("breathing-the-smoke")) and ("not broken" in facts("breathing-the-smoke"))
        else "Both"
    ),
    "chill-it-fast": lambda: (
        "It misses the limits by hours"
        if "not in 15 h" in facts("chill-it-fast", chiller="still tray")
        else "It takes a little longer"
    ),
    "chips-and-time": lambda: (
        "Half as long"
        if abs(
            number(r"Smoke: (\d+)", facts("chips-and-time", tray_cm2=300))
            / number(r"Smoke: (\d+)", facts("chips-and-time", tray_cm2=150))
            - 0.5
        )
        < 0.05
        else "As long as before"
    ),
    "core-and-surface": lambda: min(
        ("About 72 °C", "About 63 °C", "About 50 °C"),
        key=lambda text: abs(
            number(r"(\d+)", text) - number(r"Core after 2 h: (\d+)", facts("core-and-surface"))
        ),
    ),
    "cost-of-a-kilo": lambda: min(
        ("About 10 €", "About 15 €", "About 22 €"),
        key=lambda text: abs(
            number(r"(\d+)", text) - number(r"fish ([\d.]+)", facts("cost-of-a-kilo", thrown_pct=0))
        ),
    ),
    "fillet-from-above": lambda: (
        "It is hotter"
        if number(r"tail ([\d.]+)", facts("fillet-from-above"))
        > number(r"place ([\d.]+)", facts("fillet-from-above")) + 1
        else "It is as hot"
    ),
    "how-far-a-lot-spreads": lambda: min(
        ("Twice as much", "As much as before", "Half as much"),
        key=lambda text: abs(
            {"T": 2.0, "A": 1.0, "H": 0.5}[text[0]] - called_back_kg(mixed=2) / called_back_kg(mixed=1)
        ),
    ),
    "one-setting-wrong": lambda: (
        "Runs and drips"
        if "drip" in facts("one-setting-wrong", cause="streaks").lower()
        and number(r"This day:.*drying ([\d.]+) %", facts("one-setting-wrong", cause="streaks"))
        < number(r"The card:.*?drying ([\d.]+) %", facts("one-setting-wrong", cause="streaks"))
        else "White beads"
    ),
    "drying-air": lambda: (
        "Air of 70 %" if loss(rh_pct=70) > loss(rh_pct=80, speed_m_s=1.5) else "Fans half as fast again"
    ),
    "hold-and-kill": lambda: min(
        ("About 3 min", "About 17 min", "About 60 min"),
        key=lambda text: abs(number(r"(\d+)", text) - hold_at_63_min()),
    ),
    "listeria-in-the-pack": lambda: (
        "More than twice as far" if growth(6) > 2 * growth(3) else "A little more"
    ),
    "lot-and-sample": lambda: (
        "Mostly not" if number(r"passes (\d+) times", facts("lot-and-sample")) > 50 else "Mostly"
    ),
    "salt-in-the-water": lambda: (
        "In the one with less moisture"
        if number(r"salt: ([\d.]+) %", facts("salt-in-the-water", moisture_pct=60))
        > number(r"salt: ([\d.]+) %", facts("salt-in-the-water", moisture_pct=70))
        else "It is the same"
    ),
    "salt-over-depth": lambda: (
        "No, the far side has little"
        if number(r"Half depth: ([\d.]+)", facts("salt-over-depth"))
        < number(r"Mean: ([\d.]+)", facts("salt-over-depth")) / 2
        else "Nearly"
    ),
    "three-scales": lambda: min(
        ("40 %", "About 11 %", "About 4 %"),
        key=lambda text: abs(number(r"(\d+)", text) - float(salometer_to_pct(40))),
    ),
    "where-to-probe": lambda: (
        "More than the coldest core"
        if number(r"tip reads ([\d.]+)", facts("where-to-probe", along=90, deep=5))
        > number(r"core is at ([\d.]+)", facts("where-to-probe", along=90, deep=5))
        else "The coldest core"
    ),
    "chlorine-meets-acid": lambda: nearest(
        ("About 1", "About 6", "About 60"),
        number(
            r"Up to ([\d.]+) ppm", facts("chlorine-meets-acid", bleach_ml=100, available_pct=5, room_m3=30)
        ),
    ),
    "pack-on-its-way": lambda: (
        "It more than doubles the growth at home"
        if growth_at_home(8) > 2 * growth_at_home(4)
        else "Nothing that matters"
    ),
    "plan-of-the-shift": lambda: (
        "No: then the kiln holds it up"
        if shift_min(100) / 2 < shift_min(200) < shift_min(100)
        else "No: nothing changes"
    ),
    "probe-drift": lambda: "There are fewer" if in_doubt(21) < in_doubt(7) else "There are as many",
    "triangle-by-chance": lambda: nearest(
        ("About 8", "About 12"),
        max(range(24), key=lambda right: chance_of(right, 24) - chance_of(right + 1, 24)),
    ),
    "whole-batch": lambda: (
        "In the air of the chiller"
        if facts("whole-batch").split(" | ")[1] == facts("whole-batch", wrong="full chiller").split(" | ")[1]
        and facts("whole-batch") != facts("whole-batch", wrong="full chiller")
        else "In the core during the cook"
    ),
}


@pytest.mark.slow
@pytest.mark.parametrize("name", [name for name in explorer_names() if not name.startswith("stage-")])
def test_what_is_said_to_happen_is_what_the_sum_shows(name: str):
    ask = explorer_named(name).predict
    assert ask is not None
    assert ask.happened == HAPPENS[name]()


@pytest.mark.parametrize("off", [("", ""), ("a", "b"), ("",), ("", "a", "b")])
def test_a_prediction_that_never_closes_is_refused(off: tuple[str, ...]):
    with pytest.raises(BadData, match="exactly one"):
        Predict("Which?", ("this", "that"), "Look.", off)
