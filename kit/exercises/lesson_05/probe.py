"""Lesson 5, the core and the probe: where the tip goes, which piece, what it reads, what carries over."""

import numpy as np

from kit.exercises.engine import exercise
from kit.exercises.engine.cache import simulated
from kit.exercises.engine.fish import FARMED, any_fish
from kit.exercises.lesson_05.shapes import BASE_Y, PLACE_NAMES, FilletShape, place_at
from kit.marking.build import chart, number, places
from kit.marking.draw import Draw
from kit.marking.model import Picture, Question, Region, Slip
from kit.process.steps import cook, fillet

_ROW_C, _COLUMN_C = (79, 76, 71), (0, 2, 1)
"""Air by row, from the warmest, and how much cooler each column is, from the warmest. [°C]"""


@exercise("Mark where the tip of the probe goes", criteria=["COK-K05"], prepares_for=["COK-P02", "COK-P03"])
def probe_in_the_fillet(draw: Draw) -> Question:
    """Mark the middle of the thickest part of a drawn fillet."""
    shape = FilletShape(
        peak=draw.step(0.24, 0.48, 0.04), height=draw.step(0.42, 0.56, 0.02), head_left=draw.chance(0.5)
    )
    core_x, core_y = shape.core
    high = shape.height
    thin = 0.9
    thin_y = BASE_Y - high * shape.thickness(thin) / 2
    words = (
        "A fillet from the side, skin down on a rack. Its thickness changes from the head end to the tail "
        "end."
    )
    return places(
        "This fillet lies on the rack, skin down. Mark where the tip of the probe must end.",
        Picture("fillet-side", shape.data() | {"words": words}, words),
        [Region("the core", core_x, core_y, 0.075, high * 0.2)],
        [
            (
                Region("on the skin", core_x, BASE_Y - high * 0.06, 0.1, high * 0.16),
                "The tip is on the skin. The hot rack is near, so it reads too high. Stop half way "
                "through the flesh.",
            ),
            (
                Region("under the surface", core_x, BASE_Y - high * 0.9, 0.1, high * 0.14),
                "The tip is just under the surface. The surface is the hottest part. Go to half the depth.",
            ),
            (
                Region("in the thin tail", shape.x_at(thin), thin_y, 0.12, high * 0.25),
                "The tail is thin and heats first. Measure where the fish heats last: the thickest part.",
            ),
            (
                Region("in the rack", core_x, BASE_Y + 0.06, 0.3, 0.05),
                "The tip is in the rack. It would measure the hot metal, not the fish.",
            ),
        ],
        slack=0.01,
        hints=[
            "Where does the heat arrive last?",
            "Find the thickest part. Then go half way from top to skin.",
        ],
        worked="Heat comes in from the top and from below. The middle of the thickest part heats last. "
        "If that spot has reached the limit, the rest has too.",
    )


@exercise("Choose the piece to probe", criteria=["COK-K05"], prepares_for=["COK-P03"], version=2)
def probe_in_the_load(draw: Draw) -> Question:
    """Mark the thickest piece in the coolest place of a drawn cabinet."""
    by_row = draw.shuffle(_ROW_C)
    by_column = draw.shuffle(_COLUMN_C)
    air = {(column, row): by_row[row] - by_column[column] for column in range(3) for row in range(3)}
    cool = min(air, key=lambda place: air[place])
    thick = draw.step(26, 32, 2)
    warm_thick, near_thick = draw.sample([place for place in air if place[1] != cool[1]], 2)
    pieces = {place: draw.step(14, thick - 6, 2) for place in air}
    pieces |= {cool: thick, warm_thick: thick, near_thick: thick}
    thin_cool = (1 if cool[0] in (0, 2) else 0, cool[1])
    pieces[thin_cool] = 14
    words = " ".join(
        f"{name[0].upper()}{name[1:]}: {pieces[place]} mm thick, air {air[place]} °C."
        for place, name in PLACE_NAMES.items()
    )
    data = {
        "door": "right" if cool[0] == 2 else "left",
        "pieces": [
            {"column": column, "row": row, "thickness_mm": pieces[column, row], "air_c": air[column, row]}
            for column, row in sorted(pieces)
        ],
        "words": words,
    }
    return places(
        "You have one probe for this load. Each piece shows its thickness in mm. The number above it is the "
        "air there in °C, measured on an earlier run. Mark the piece to probe.",
        Picture("loaded-cabinet", data, words),
        [_place("the thickest piece in the coolest place", cool)],
        [
            (
                _place(name, place),
                f"This piece is thick, but its air is {air[place]} °C. Another piece is as thick in cooler "
                "air. That one is done last.",
            )
            for name, place in (("thick, in warm air", warm_thick), ("thick, in warm air too", near_thick))
        ]
        + [
            (
                _place("cool but thin", thin_cool),
                "This place is cool, but the piece is thin. A thin piece heats fast. Look for a thick one.",
            )
        ],
        slack=0.0,
        hints=[
            "First find the coolest air.",
            "Several pieces are equally thick. Which of them has the coolest air?",
        ],
        worked=f"The thickest pieces are {thick} mm. Of these, the one at “{PLACE_NAMES[cool]}” has the "
        f"coolest air, {air[cool]} °C. It will be done last, so it speaks for the whole load.",
    )


def _place(name: str, place: tuple[int, int]) -> Region:
    x, y = place_at(*place)
    return Region(name, x, y, 0.125, 0.115)


@exercise(
    "Correct the probe and take the coldest core",
    criteria=["COK-K04", "COK-K05"],
    prepares_for=["COK-P02", "COK-P03"],
    version=2,
)
def coldest_true_core(draw: Draw) -> Question:
    """Three cores and an ice check: the coldest speaks for the load, and an error only counts against you."""
    base = draw.step(61.0, 64.5, 0.1)
    error = draw.pick([-0.8, -0.6, -0.4, 0.4, 0.5, 0.6, 0.7, 0.8])
    gaps = draw.sample([1.3, 1.9, 2.4, 3.1, 3.7], 2)
    cores = draw.shuffle([round(base, 1), round(base + gaps[0], 1), round(base + gaps[1], 1)])
    off = max(error, 0.0)
    truth, credited = round(base - off, 1), round(base + abs(error), 1)
    shown = f"{error:+.1f}".replace("-", "−")
    return number(
        f"In ice water, which is 0.0 °C, your probe shows {shown} °C. "
        f"With this probe you read three cores: {cores[0]:.1f}, {cores[1]:.1f} and {cores[2]:.1f} °C. "
        "What is the most that you may count on for the coldest core? Give 1 decimal.",
        truth,
        "°C",
        abs_tol=0.05,
        decimals=1,
        slips=[
            Slip(
                "averaged the pieces",
                round(sum(cores) / 3 - off, 1),
                "You averaged the three cores. An average hides the cold one. The coldest piece decides.",
            ),
            Slip(
                "corrected the wrong way" if off else "credited heat never shown",
                credited,
                "You corrected the wrong way. A probe that shows too much must be brought down."
                if off
                else "You counted heat that the probe never showed. A probe that shows too little may be set "
                "right, or changed. Until then its reading is all you have.",
            ),
            Slip(
                "took the hottest", round(max(cores) - off, 1), "You took the hottest core, not the coldest."
            ),
            Slip(
                "did not correct the probe" if off else "brought a low reading lower",
                round(base, 1) if off else round(base + error, 1),
                f"You took the coldest core. Now correct it: this probe shows {shown} °C at a true 0.0 °C."
                if off
                else "You brought the reading down. This probe shows too little already: that is safe, but "
                "it is more than you had to do.",
            ),
        ],
        hints=[
            "Which of the three cores is the coldest?",
            "Does this probe show too much or too little? An error may only count against you.",
        ],
        worked=f"The coldest reading is {base:.1f} °C. "
        + (
            f"The probe shows {off:.1f} °C too much: {base:.1f} − {off:.1f} = {truth:.1f} °C."
            if off
            else f"The probe shows {-error:.1f} °C too little. An error may only count against you, so the "
            f"reading stands: {truth:.1f} °C. Tell Chef, and have the probe set right."
        ),
    )


@exercise("Work out what uneven heat costs", criteria=["COK-K05"], version=2)
def cook_loss_by_tray(draw: Draw) -> Question:
    """Two trays in one cabinet, the hot side loses more: how much fish comes out?"""
    hot_kg, cool_kg = draw.step(4.0, 6.0, 0.5), draw.step(8.0, 11.0, 0.5)
    hot_pct, cool_pct = draw.pick([15, 16, 18]), draw.pick([7, 8, 9])
    out = hot_kg * (100 - hot_pct) / 100 + cool_kg * (100 - cool_pct) / 100
    mean_pct = (hot_pct + cool_pct) / 2
    return number(
        f"Two trays of {any_fish(draw)} cook in one cabinet. On the hot side {hot_kg:g} kg goes in and "
        f"loses {hot_pct} %. On the cool side {cool_kg:g} kg goes in and loses {cool_pct} %. How many kg "
        "come out in all? "
        "Give 2 decimals.",
        round(out, 3),
        "kg",
        abs_tol=0.03,
        decimals=2,
        slips=[
            Slip(
                "averaged the two losses",
                (hot_kg + cool_kg) * (100 - mean_pct) / 100,
                "You averaged the two percentages. The trays do not hold the same weight. Work out "
                "each tray.",
            ),
            Slip(
                "gave the loss",
                hot_kg + cool_kg - out,
                "That is what was lost. The question asks what comes out.",
            ),
            Slip(
                "took both losses off everything",
                (hot_kg + cool_kg) * (100 - hot_pct - cool_pct) / 100,
                "You took both losses off the whole load. Each tray loses its own share only.",
            ),
        ],
        hints=["Work out one tray at a time.", f"A loss of {hot_pct} % leaves {100 - hot_pct} %."],
        worked=f"Hot side: {hot_kg:g} × {100 - hot_pct} ÷ 100 = {hot_kg * (100 - hot_pct) / 100:.2f} kg. "
        f"Cool side: {cool_kg:g} × {100 - cool_pct} ÷ 100 = {cool_kg * (100 - cool_pct) / 100:.2f} kg. "
        f"Together {out:.2f} kg. Even heat would have lost less, and dried fewer pieces.",
    )


@exercise(
    "Credit only the carry-over you logged",
    criteria=["COK-K04"],
    prepares_for=["COK-P02"],
    version=3,
    model=True,
)
def carry_over_credit(draw: Draw) -> Question:
    """Read the highest core that the log proves, after the door was opened."""
    thickness_mm = draw.pick([26, 28, 30, 32, 34])
    cabinet_c, rh_pct = draw.pick([(85, 75), (90, 60), (90, 75)])
    open_c, species = draw.step(60.0, 66.0, 1.0), draw.pick(FARMED)
    time, core, opened = _after_the_door(species, thickness_mm, cabinet_c, rh_pct, open_c)
    peak, door_c = max(core), core[time.index(opened)]
    data = {
        "time_min": time,
        "core_c": core,
        "y_from_c": 44.0,
        "notes": [{"time_min": opened, "core_c": door_c, "says": "door opened"}],
    }
    told = "; ".join(
        f"{value:g} °C at {minute:g} min" for minute, value in zip(time, core, strict=True) if value > 50
    )
    words = f"A core record. {told}. The door was opened at {opened:g} min."
    return chart(
        f"A {species.split(',')[0]} piece came out of a cabinet at {cabinet_c} °C and {rh_pct} % humidity. "
        "The logger stayed "
        "in its core after the door was opened. What is the highest core temperature you may write on the "
        "record? Read it to about 0.5 °C.",
        peak,
        "°C",
        Picture("cook-record", data, words),
        abs_tol=0.6,
        slips=[
            Slip(
                "stopped at the door",
                door_c,
                "That was the core when the door was opened. The log goes on and shows more. "
                "What is logged at the core counts.",
            ),
            Slip(
                "added a usual carry-over",
                door_c + 5,
                "You added 5 °C by habit. A carry-over counts only if the log shows it.",
            ),
            Slip(
                "wrote the cabinet",
                float(cabinet_c),
                "That is the air in the cabinet. The record is about the core.",
            ),
        ],
        hints=[
            "Find the top of the curve after the note.",
            "Read across from the top to the temperature scale.",
        ],
        worked=f"The core stood at {door_c:.1f} °C when the door was opened. Heat from the hotter outside "
        f"went on moving in. The log peaks at {peak:.1f} °C. Write that, because it was logged at the core.",
    )


@simulated
def _after_the_door(
    species: str, thickness_mm: float, cabinet_c: float, rh_pct: float, open_c: float
) -> tuple[list[float], list[float], float]:
    """Return a record every 2 min, from half an hour before the door to a quarter of an hour after it."""
    piece = fillet.raw(species, thickness_mm, 200, 4.0, skin_on=False)
    run = cook.cook(
        piece,
        core_target_c=open_c,
        cabinet_c=cabinet_c,
        rh_pct=rh_pct,
        wetness=1,
        dries_after_g_m2=150.0,
        carry_over_min=16,
    )
    opened = round(run.trace.phases[-1].start_min)
    time = [float(minute) for minute in range(opened - 2 * min(10, opened // 2), opened + 17, 2)]
    core = [round(float(value), 1) for value in np.interp(time, run.trace.time_min, run.trace.core_c)]
    return time, core, float(opened)
