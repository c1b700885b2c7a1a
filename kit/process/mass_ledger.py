"""Where the grams of one fillet went over a day: what each step says, held against the fillet itself."""

from collections.abc import Sequence
from dataclasses import dataclass

from kit.process.steps.chill import Chilled
from kit.process.steps.cook import Cooked
from kit.process.steps.fillet import Fillet
from kit.process.steps.pellicle import Dried
from kit.process.steps.salted import Salted


@dataclass(frozen=True)
class Masses:
    """Where the grams of one fillet went, as each step reported them. [g]

    Salt goes in at the cure and nowhere else (``salt_in_cure_g``). It leaves with the rinse
    (``salt_rinsed_g``) and with the juice of the cook (``salt_in_juice_g``). A rest, air, steam and the store
    take none: nothing drips in the pack in this sum, and steam that settles runs off clean. ``error_g`` and
    ``salt_error_g`` are the differences to what the profiles of the fillet hold at the end: they must be
    nothing, so a step that loses or makes salt shows here.
    """

    raw_g: float
    salt_in_cure_g: float
    salt_rinsed_g: float
    salt_in_juice_g: float
    salt_end_g: float
    salt_error_g: float
    water_to_cure_g: float
    dried_g: float
    evaporated_g: float
    juice_g: float
    end_g: float
    error_g: float


def masses_of(
    raw: Fillet, salted: Sequence[Salted], dried: Dried, cooked: Cooked, chilled: Chilled, end: Fillet
) -> Masses:
    """Add up what each step says it took and gave, and hold that against the fillet at the end.

    ``salted`` are the cure, the rinse and the rest, in this order.
    """
    cured_g, rinsed_g, _ = (step.salt_g.middle for step in salted)
    salt = raw.salt_g + cured_g + rinsed_g
    water = sum(step.water_out_g.middle for step in salted)
    into_cabinet, into_chiller = dried.fillet.mass_g, cooked.fillet.mass_g
    evaporated = into_cabinet * cooked.evaporation_pct / 100 + into_chiller * chilled.evaporation_pct / 100
    juice = into_cabinet * cooked.cook_out_pct / 100
    told = raw.mass_g + cured_g + rinsed_g - water - dried.water_lost_g - evaporated - juice
    return Masses(
        raw_g=raw.mass_g,
        salt_in_cure_g=cured_g,
        salt_rinsed_g=-rinsed_g,
        salt_in_juice_g=cooked.salt_in_juice_g,
        salt_end_g=end.salt_g,
        salt_error_g=salt - cooked.salt_in_juice_g - end.salt_g,
        water_to_cure_g=water,
        dried_g=dried.water_lost_g,
        evaporated_g=evaporated,
        juice_g=juice,
        end_g=end.mass_g,
        error_g=told - end.mass_g,
    )
