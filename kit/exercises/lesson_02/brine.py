"""Lesson 2, brines: three ways to say how strong, salt to weigh, and mending a weak brine."""

from kit.exercises.engine import exercise
from kit.marking.authored import Joined
from kit.marking.build import match, number
from kit.marking.draw import Draw
from kit.marking.model import Question, Slip
from kit.process.physics import brine


@exercise("Degrees to percent", criteria=["CUR-K01"], prepares_for=["CUR-P05"])
def brine_degrees(draw: Draw) -> Question:
    """Change salometer degrees to percent of the brine's mass."""
    degrees = draw.step(24, 84, 4)
    pct = round(float(brine.salometer_to_pct(degrees)), 1)
    return number(
        f"The salometer floats at {degrees} degrees, in brine at the temperature it was made for. "
        "100 degrees is full of salt: 26.395 % of the brine. "
        "How strong is this brine, as salt in % of the whole brine?",
        pct,
        "%",
        abs_tol=0.25,
        slips=[
            Slip(
                "degrees taken as percent",
                float(degrees),
                "Degrees are not percent. 100 degrees is only about 26 %.",
            ),
            Slip(
                "salt on water",
                round(float(brine.salt_per_kg_water(pct)) / 10, 1),
                "That is salt for each 100 g of water. Percent here is salt in 100 g of the whole brine.",
            ),
        ],
        hints=[
            "100 degrees is full, so your degrees are a share of full.",
            "Multiply 26.395 by degrees over 100.",
        ],
        worked=f"{degrees} / 100 × 26.395 % = {pct:g} %.",
    )


def _other_mix(pct: int, other: int, made: dict[int, str]) -> Joined:
    """Return what to say to who joins a strength with the mix of another one."""
    more, name = other > pct, dict(zip(made, ("weak", "middle", "strong"), strict=True))
    return Joined(
        f"{pct} %",
        made[other],
        f"That mix is {'stronger' if more else 'weaker'}. {'More' if more else 'Less'} salt in the same "
        f"water makes {'more' if more else 'less'} percent.",
        f"{name[pct]} joined with {name[other]}",
    )


@exercise("One brine on several scales", criteria=["CUR-K01", "CUR-K02"], prepares_for=["CUR-P02"])
def same_brine(draw: Draw) -> Question:
    """Join a strength in percent with the salt for 1 kg of water that makes it."""
    low = draw.pick([5, 6, 8])
    middle, high = low + draw.pick([5, 6]), low + draw.pick([12, 13])
    made = {
        pct: f"{float(brine.salt_per_kg_water(pct)):.0f} g of salt in 1 kg of water"
        for pct in (low, middle, high)
    }
    on_water = f"{middle * 10} g of salt in 1 kg of water"
    return match(
        draw,
        "Percent here is salt in 100 g of the whole brine. Join each strength with the mix that makes it.",
        {f"{pct} %": words for pct, words in made.items()},
        [
            Joined(
                f"{middle} %",
                on_water,
                "The salt weighs too. That mix has less salt in each 100 g of brine.",
                "salt on water",
            ),
            *(_other_mix(pct, other, made) for pct in made for other in made if pct != other),
            *(
                Joined(
                    f"{pct} %",
                    on_water,
                    "Percent counts salt in the whole brine. That mix is for another strength, on water.",
                    f"salt on water: {name}",
                )
                for pct, name in ((low, "weak"), (high, "strong"))
            ),
        ],
        extra=[on_water],
        hints=[
            "The brine weighs as much as salt and water together.",
            "Of 100 g of brine, how many grams are water?",
        ],
        worked="Divide the salt by salt and water together. "
        + " ".join(f"{words}: {pct} %." for pct, words in made.items()),
    )


@exercise("Salt for a brine", criteria=["CUR-K02", "CUR-K01"], prepares_for=["CUR-P02"])
def salt_for_brine(draw: Draw) -> Question:
    """Work out the salt for a mass of water and a strength in percent of the brine."""
    water_kg, pct = draw.step(5, 18, 1), draw.step(7, 18, 1)
    grams = water_kg * float(brine.salt_per_kg_water(pct))
    return number(
        f"You have {water_kg} kg of cold drinking water. The card asks for a {pct} % brine: "
        "salt in % of the whole brine. How much salt do you weigh?",
        round(grams),
        "g",
        rel_tol=0.015,
        slips=[
            Slip(
                "percent of the water",
                water_kg * pct * 10.0,
                "You took percent of the water. The brine also holds the salt, so it needs more.",
            ),
            Slip(
                "water share forgotten",
                round(water_kg * (100 - pct) * 10.0),
                "That is the share of water. The question asks for the salt.",
            ),
        ],
        hints=[
            f"In 100 g of this brine, {100 - pct} g are water.",
            f"Each {100 - pct} g of water needs {pct} g of salt.",
        ],
        worked=f"{water_kg * 1000} g × {pct} / {100 - pct} = {grams:.0f} g of salt.",
    )


@exercise("Mend a weak brine", criteria=["CUR-K02", "CUR-K04"], prepares_for=["CUR-P05"])
def mend_the_brine(draw: Draw) -> Question:
    """Work out the salt that brings a weak brine back to its strength."""
    mass_kg, wanted = draw.step(8, 24, 2), draw.step(12, 18, 1)
    found = wanted - draw.step(2, 4, 1)
    water_kg = mass_kg * (1 - found / 100)
    added = water_kg * float(brine.salt_per_kg_water(wanted) - brine.salt_per_kg_water(found))
    whole = water_kg * float(brine.salt_per_kg_water(wanted))
    return number(
        f"A brine took in water from the fish. There are {mass_kg} kg of it, now at {found} %. "
        f"The card asks for {wanted} %, and the brine is clean and cold. How much salt do you add?",
        round(added),
        "g",
        rel_tol=0.03,
        slips=[
            Slip(
                "added salt not counted",
                mass_kg * (wanted - found) * 10.0,
                "The salt you add makes the brine heavier, so this is a little too weak.",
            ),
            Slip(
                "as if it were plain water",
                round(whole),
                "That is all the salt. Some of it is already in the brine.",
            ),
        ],
        hints=[
            "The water stays the same. Find it first.",
            f"Salt for {wanted} % in that water, less the salt that is there.",
        ],
        worked=f"Water: {water_kg:g} kg. Salt needed: {whole:.0f} g. There already: {whole - added:.0f} "
        f"g. Add {added:.0f} g.",
    )
