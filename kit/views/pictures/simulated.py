"""Cooks that the pictures and explorers of lesson 5 draw, each simulated once and remembered."""

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from kit.process.steps import cook, fillet
from kit.process.steps.cook import Cooked

Array = NDArray[np.float64]

WETNESS = {"wet": 1.0, "pellicle": 0.15, "dry": 0.0}
"""Share of open water's evaporation. A set pellicle lets little water through; between 0.1 and 0.3."""


@lru_cache(maxsize=256)
def steady_cook(
    thickness_mm: float,
    cabinet_c: float,
    rh_pct: float,
    surface: str,
    minutes: float,
    carry_over_min: float = 0.0,
) -> Cooked:
    """Return a piece of char cooked for exactly this long in a cabinet that never changes."""
    piece = fillet.raw("char, farmed", thickness_mm, 180, 4.0, skin_on=False)
    return cook.cook(
        piece,
        core_target_c=63.0,
        cabinet_c=cabinet_c,
        rh_pct=rh_pct,
        cook_min=minutes,
        carry_over_min=carry_over_min,
        wetness=WETNESS[surface],
        skin_wetness=WETNESS[surface],
    )


@lru_cache(maxsize=8)
def pair_of_cooks(smoke_min: float) -> tuple[tuple[str, Array, Array], ...]:
    """Return a thin and a thick piece, smoked together by the clock and then cooked: name, minutes, core."""
    found = []
    for name, thickness_mm in (("thin, 18 mm", 18.0), ("thick, 30 mm", 30.0)):
        piece = fillet.raw("char, farmed", thickness_mm, 180, 4.0, skin_on=False)
        done = cook.cook(
            piece,
            core_target_c=63.0,
            cabinet_c=82.0,
            rh_pct=45,
            smoke_c=45.0,
            smoke_rh_pct=60,
            smoke_min=smoke_min,
            cook_min=65,
            carry_over_min=0,
            wetness=0.3,
        )
        found.append((name, done.trace.time_min, done.trace.core_c))
    return tuple(found)
