"""Lesson 0, units and the probe thermometer: ice point, boiling point and altitude."""

from functools import cache

from kit import rules
from kit.exercises.engine import exercise
from kit.marking.authored import option, wrong
from kit.marking.build import chart, number, one, places
from kit.marking.draw import Draw
from kit.marking.model import Picture, Question, Region, Slip
from kit.process.physics.thermometer import boiling_point, fahrenheit_to_celsius


@cache
def ice_limits() -> tuple[float, float]:
    """Return what a good probe may show in ice water. [°C]"""
    rule = rules.load().answering("probe-ice")[0]
    assert rule.minimum is not None and rule.maximum is not None  # the rule has both
    return rule.minimum, rule.maximum


@cache
def boils_at(altitude_m: float) -> float:
    """Return where water boils at a height, remembered. [°C]"""
    return boiling_point(altitude_m)


@exercise("A card in °F", criteria=["COK-K04"], prepares_for=["COK-P02"])
def card_in_fahrenheit(draw: Draw) -> Question:
    """Turn a temperature from °F into °C."""
    where, temp_f = draw.pick(
        [
            ("fridge", draw.step(35, 40, 1)),
            ("cabinet", draw.step(165, 190, 5)),
            ("cold room", draw.step(29, 31, 1)),
        ]
    )
    truth = fahrenheit_to_celsius(temp_f)
    return number(
        f"A card from abroad says: {where} at {temp_f:g} °F. How much is that in °C? Give 1 decimal.",
        round(truth, 2),
        "°C",
        abs_tol=0.1,
        decimals=1,
        slips=[
            Slip(
                "only took off 32", temp_f - 32, "You took off 32. A degree F is also smaller: now × 5 ÷ 9."
            ),
            Slip(
                "forgot the 32",
                round(temp_f * 5 / 9, 2),
                "Ice melts at 32 °F. Take off 32 first, then × 5 ÷ 9.",
            ),
            Slip(
                "turned it round",
                round(temp_f * 9 / 5 + 32, 2),
                "That is the way from °C to °F. You need the way back.",
            ),
        ],
        hints=["Ice melts at 0 °C, which is 32 °F. So first take off 32.", "Then × 5 ÷ 9."],
        worked=f"({temp_f:g} − 32) × 5 ÷ 9 = {truth:.1f} °C. Never cook by a card in two scales: ask Chef "
        f"for one in °C.",
    )


@exercise("Minutes between two times", criteria=["COK-K04"], prepares_for=["REC-P01"])
def minutes_between(draw: Draw) -> Question:
    """Work out the minutes between two clock times on a record."""
    start_h, start_m = draw.step(8, 13, 1), draw.pick([35, 40, 45, 50])
    hours, end_m = draw.pick([1, 2]), draw.pick([5, 10, 15, 20])
    end_h = start_h + hours + 1
    truth = (end_h * 60 + end_m) - (start_h * 60 + start_m)
    return number(
        f"The record says: fish in at {start_h:02d}:{start_m}, fish out at {end_h}:{end_m:02d}. "
        "How many minutes was it in?",
        truth,
        "min",
        abs_tol=0.5,
        slips=[
            Slip(
                "100 minutes in an hour",
                (end_h * 100 + end_m) - (start_h * 100 + start_m),
                "You took the times as plain numbers. An hour has 60 min, not 100.",
            ),
            Slip("one hour too many", truth + 60, "Count again: the last hour is not a full one."),
            Slip("one hour too few", truth - 60, "Count again: an hour is missing."),
        ],
        hints=[
            "Go to the next full hour first.",
            f"From {start_h:02d}:{start_m} to {start_h + 1}:00 it is {60 - start_m} min.",
        ],
        worked=f"{60 - start_m} min to {start_h + 1}:00, then {hours} h, then {end_m} min. Together "
        f"{truth} min.",
    )


_USE = "Write the reading down, and use the probe"
_OUT = "Write it down, take the probe out, tell Chef"
_WAIT = "Stir, keep the tip in the ice, read it again"
_AT_THE_ICE = (
    wrong(
        "Use it, and take the error off all day long",
        "By noon somebody forgets. A probe is used as it reads, or not at all, unless the plan says so.",
    ),
    wrong(
        "Hold it in the ice until it shows 0.0 °C",
        "You write what you saw. A check that always ends at 0.0 checks nothing.",
    ),
    wrong("Write 0.0 °C, as ice water is at 0 °C", "You write what you saw, not what it should show."),
    wrong("Check it in warm water too, and take the mean", "A mean of two wrong readings proves nothing."),
)


@exercise("The probe in ice water", criteria=["COK-K04", "REC-K03"], prepares_for=["REC-P04"], version=2)
def ice_check(draw: Draw) -> Question:
    """A reading in ice water: use the probe, take it out of use, or read again?"""
    low, high = ice_limits()
    right = draw.pick([_USE, _OUT, _WAIT])
    off = (
        draw.pick([1.6, 2.1, -1.7, -2.4, 3.2])
        if right == _OUT
        else draw.pick([0.2, 0.4, -0.3, -0.5, 0.6, -0.8, 0.9])
    )
    shown = f"{off:.1f}".replace("-", "−")
    seen = "Crushed ice with water, well stirred. After 2 min the probe"
    still = f"{seen} shows {shown} °C and stands still."
    if right == _WAIT:
        falling = f"{off + 2.3:.1f}".replace("-", "−")
        still = draw.pick(
            [
                f"{seen} shows {falling} °C, and it is still falling.",
                f"Crushed ice with water, not stirred. After 10 s the probe shows {falling} °C.",
                f"The tip lies on the bottom of the glass of ice water. The probe shows {falling} °C.",
            ]
        )
    says = {
        _USE: "Look at the reading again: is it settled, and inside the limits?",
        _OUT: "It is inside the limits, or it is not settled yet. Nothing says that the probe is wrong.",
        _WAIT: "It was stirred, and it stands still. This reading counts.",
    }
    return one(
        draw,
        f"{still} Good probes show −1 to +1 °C in ice water. What do you do?",
        [
            *(option(text, right=text == right, says=words) for text, words in says.items()),
            *draw.sample(_AT_THE_ICE, 2),
        ],
        hints=["Is the reading settled? Is it between −1 and +1?", "What is written is what was seen."],
        worked=f"{right}. Good is {low:g} to {high:g} °C, once it was stirred and stands still. ".replace(
            "-", "−"
        )
        + "If an earlier batch was logged with a bad probe, Chef must know that too.",
    )


GLASS = {  # places in the drawn glass: (across, down, rx, ry)
    "in the ice": (0.50, 0.60, 0.075, 0.13),
    "on the bottom": (0.50, 0.885, 0.10, 0.05),
    "at the wall": (0.335, 0.60, 0.03, 0.17),
    "in the air": (0.50, 0.20, 0.12, 0.10),
}
_GLASS_SAYS = {
    "on the bottom": "At the bottom the water is warmer, and the glass brings heat in. Keep off it.",
    "at the wall": "The wall of the glass brings in heat from the room. Keep away from it.",
    "in the air": "That is the air of the kitchen. The tip must be in the ice and water.",
}


@exercise("Where the tip goes in the ice", criteria=["COK-K04"], prepares_for=["REC-P04"], version=2)
def tip_in_the_ice(draw: Draw) -> Question:
    """Mark where the tip of the probe must be for an ice check."""
    shift = round(draw.step(-0.18, 0.18, 0.03), 2)
    words = "A glass on a table, seen from the side. It is full of crushed ice and water. Above it is air."
    regions = {name: Region(name, round(x + shift, 3), y, rx, ry) for name, (x, y, rx, ry) in GLASS.items()}
    return places(
        "You check a probe in ice water. Mark where its tip must be.",
        Picture("ice-glass", {"shift": shift, "words": words}, words),
        [regions["in the ice"]],
        [(regions[name], says) for name, says in _GLASS_SAYS.items()],
        hints=["Where is ice on every side of the tip?", "Keep off the wall and the bottom."],
        worked="In the middle of the ice and water, with ice all round, off the wall and the bottom. "
        "Stir, wait, read.",
    )


@exercise("Read where water boils", criteria=["COK-K04"], prepares_for=["REC-P04"], version=2)
def boiling_on_the_hill(draw: Draw) -> Question:
    """Read the boiling point for a height off a chart."""
    height = int(draw.step(600, 2250, 150))
    truth = boils_at(height)
    axis = list(range(0, 2701, 300))
    words = "Where water boils, by height. " + "; ".join(f"{boils_at(m):.1f} °C at {m} m" for m in axis) + "."
    return chart(
        f"A smokehouse in mountains far away stands {height} m above the sea. Read the chart: where does "
        "water boil there?",
        round(truth, 2),
        "°C",
        Picture("boiling-chart", {"words": words}, words),
        abs_tol=0.4,
        slips=[
            Slip(
                "sea level",
                100.0,
                "That is at the sea. Higher up the air presses less, and water boils cooler.",
            ),
            Slip(
                "went the wrong way",
                round(200 - truth, 2),
                "Water boils cooler on a hill, not hotter.",
            ),
            Slip("read the height", float(height), "That is the height. Go up to the line, then left."),
        ],
        hints=[f"Find {height} m at the bottom.", "Go up to the line, then left."],
        worked=f"At {height} m water boils near {truth:.1f} °C. Weather can move that by about 1 °C. So "
        f"ice is the better check.",
    )


@exercise("How far off is the probe?", criteria=["COK-K04", "REC-K01"], prepares_for=["REC-P04"], version=2)
def how_far_off(draw: Draw) -> Question:
    """Compare a reading in boiling water with the boiling point at that height."""
    height = draw.pick([200, 250, 300, 350, 400, 450])
    boils = round(boils_at(height), 1)
    error = draw.pick([0.4, 0.7, 0.9, 1.3, -0.4, -0.7, -1.2])
    reads = round(boils + error, 1)
    return number(
        f"Your kitchen is {height} m above the sea. There water boils at {boils:.1f} °C. In boiling water "
        f"your probe shows {reads:.1f} °C. How far off is it? Give a minus if it shows too little.",
        error,
        "°C",
        abs_tol=0.05,
        decimals=1,
        difference=True,
        plausible=(-3, 3),
        slips=[
            Slip(
                "compared with 100",
                round(reads - 100, 1),
                "Water boils at 100 °C only near the sea. Compare with your own height.",
            ),
            Slip(
                "wrong sign", -error, "Check the sign: plus if the probe shows too much, minus if too little."
            ),
        ],
        hints=["What should a true probe show here?", "Shown minus true."],
        worked=f"{reads:.1f} − {boils:.1f} = {error:+.1f} °C. Write it down. Then check in ice too.".replace(
            "-", "−"
        ),
    )
