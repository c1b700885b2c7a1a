"""What a load does to its own cabinet: water it gives off dampens the air, and an opened door cools it."""

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kit.basics.errors import BadData, check_range
from kit.process.physics import air, slab
from kit.process.physics.trace import Phase, Trace
from kit.process.steps import cook
from kit.process.steps.cook import CabinetPlan, Cooked
from kit.process.steps.fillet import Fillet
from kit.process.steps.shed import JUICE_SPREAD

DOOR_C = 35.0
"""Air at the fish while the door is open; common practice, no source. [°C]"""
COLUMNS = ("core_c", "surface_c", "probe_c", "air_c", "mass_g")


@dataclass(frozen=True)
class Humidity:
    """What a load makes of the air in its cabinet.

    ``rh_pct`` is the humidity at the fish [%]; ``water_g_h`` what the load gives off while it stalls [g/h].
    """

    rh_pct: float
    water_g_h: float


def humidity_with_load(
    piece: Fillet,
    load_kg: float,
    cabinet_c: float,
    *,
    fresh_air_m3_h: float,
    outside_c: float = 18.0,
    outside_rh_pct: float = 60.0,
    h_w_m2_k: float = 20.0,
    wetness: float = 1.0,
) -> Humidity:
    """Return the humidity that a load makes for itself, once the water it gives off leaves with the vent air.

    A full cabinet is a damp one, and cooks faster for it. Open vents dry the air and hold the core back.

    Parameters
    ----------
    piece : Fillet
        One piece of the load; the others are like it.
    load_kg : float
        Fish in the cabinet, above 0 to 2,000. [kg]
    cabinet_c : float
        Air temperature, 30 to 120. [°C]
    fresh_air_m3_h : float
        Air let in and out, above 0 to 10,000; measured as it comes in. [m³/h]
    outside_c, outside_rh_pct : float
        That air, -20 to 45 [°C] and 0 to 100 [%].
    h_w_m2_k, wetness : float
        As in ``slab.Face``. [W/(m²·K)], [1]

    Notes
    -----
    Source: ``definition`` (water in = water out at a steady state), with the surface of the fish where it
    stalls, by ``chilton-colburn-1934``. One flesh face a piece gives off water.

    Examples
    --------
    >>> from kit.process.steps import fillet
    >>> piece = fillet.raw("char, farmed", 24, 180)
    >>> few, many = (humidity_with_load(piece, kg, 75, fresh_air_m3_h=40).rh_pct for kg in (2, 20))
    >>> few < many < 100
    True
    """
    check_range("load_kg", load_kg, above=0, at_most=2000)
    check_range("cabinet_c", cabinet_c, at_least=30, at_most=120)
    check_range("fresh_air_m3_h", fresh_air_m3_h, above=0, at_most=10_000)
    check_range("outside_c", outside_c, at_least=-20, at_most=45)
    from scipy.optimize import brentq

    area_m2 = load_kg * 1000 / piece.mass_g * piece.area_cm2 / 1e4
    outside = air.moist_air(outside_c, outside_rh_pct)
    dry_air_kg_h = fresh_air_m3_h * 1.2 * 293.15 / (outside_c + 273.15) / (1 + outside.humidity_ratio)

    def given_off(rh_pct: float) -> float:
        face = slab.Face(cabinet_c, rh_pct, h_w_m2_k, wetness)
        stall = slab.stall_temp(face)
        flow = slab.face_flows(face, stall)
        return area_m2 * flow.evaporated_kg_m2_s * 3600

    def too_dry(rh_pct: float) -> float:
        carried = dry_air_kg_h * (air.moist_air(cabinet_c, rh_pct).humidity_ratio - outside.humidity_ratio)
        return float(given_off(rh_pct) - carried)

    low, high = 0.05, 99.5
    if too_dry(low) <= 0:
        return Humidity(low, 1000 * given_off(low))
    if too_dry(high) >= 0:
        return Humidity(high, 1000 * given_off(high))
    rh = float(brentq(too_dry, low, high, xtol=0.01))
    return Humidity(rh, 1000 * given_off(rh))


def cook_with_doors(
    fillet: Fillet, plan: CabinetPlan, doors: Sequence[tuple[float, float]], *, mixed_c: float = DOOR_C
) -> Cooked:
    """Return a cook whose door is opened now and then: each time the air drops and the hold clock may break.

    Parameters
    ----------
    fillet : Fillet
        As it goes in.
    plan : CabinetPlan
        How the batch is run; it must not fix ``cook_min``.
    doors : sequence of (start, length)
        Minutes after the cook phase began, and how long the door stays open: rising, apart, each above 0.
    mixed_c : float
        Air at the fish while the door is open, 0 to 80. [°C]

    Returns
    -------
    Cooked
        As from ``cook``; its trace is joined, with a phase ``door`` for each opening.

    Raises
    ------
    BadData
        If the openings do not rise or touch each other, or the plan fixes the minutes of the cook.

    Notes
    -----
    The air falls at once and comes back at once: common practice, no source. The hold counts only what is
    unbroken after the last opening that let the core fall below the target.

    Examples
    --------
    >>> from kit.process.steps import fillet
    >>> piece = fillet.raw("char, farmed", 20, 150)
    >>> plan = CabinetPlan(core_target_c=64, cabinet_c=80, rh_pct=60, smoke_min=10)
    >>> shut, opened = cook_with_doors(piece, plan, []), cook_with_doors(piece, plan, [(5, 6)])
    >>> opened.minutes_to_target > shut.minutes_to_target + 5
    True
    """
    check_range("mixed_c", mixed_c, at_least=0, at_most=80)
    _check_doors(plan, doors)
    if not doors:
        return cook.cook(fillet, plan)
    parts: list[tuple[Cooked, str]] = []
    at = 0.0
    for start, length in doors:
        opened = {
            "cook_min": max(start - at, 0.0),
            "hold_min": 0.0,
            "carry_over_min": length,
            "room_c": mixed_c,
            "room_h_w_m2_k": plan.h_w_m2_k,
        }
        if parts:
            between = cook.go_on(
                parts[-1][0], plan, fillet.mass_g, smoke_min=0.0, air_from_min=_gone(plan, parts), **opened
            )
        else:
            between = cook.cook(fillet, plan, **opened)
        parts.append((between, "door"))
        at = start + length
    left_min = max(1.0, plan.max_cook_min - at)
    on_path = _gone(plan, parts)
    last = cook.go_on(
        parts[-1][0], plan, fillet.mass_g, smoke_min=0.0, max_cook_min=left_min, air_from_min=on_path
    )
    parts.append((last, ""))
    return _joined(fillet, plan, parts)


def _gone(plan: CabinetPlan, parts: Sequence[tuple[Cooked, str]]) -> float:
    return plan.air_from_min + sum(float(part.trace.time_min[-1]) for part, _ in parts)


def _check_doors(plan: CabinetPlan, doors: Sequence[tuple[float, float]]) -> None:
    if plan.cook_min is not None:
        raise BadData("plan", "the minutes of the cook are fixed", "a cook that goes by the probe")
    end = 0.0
    for start, length in doors:
        check_range("door start", start, at_least=0, at_most=1440)
        check_range("door length", length, above=0, at_most=240)
        if start < end:
            raise BadData(
                "doors", f"an opening at {start:g} min overlaps the one before", "openings that rise"
            )
        end = start + length


def _joined(fillet: Fillet, plan: CabinetPlan, parts: Sequence[tuple[Cooked, str]]) -> Cooked:
    from kit.process.microbes import death
    from kit.process.steps.cabinet import TOUCH_C, first_reached

    trace = join([part.trace for part, _ in parts], [door for _, door in parts])
    last = parts[-1][0]
    before = sum(float(part.trace.time_min[-1]) for part, _ in parts[:-1])
    target = plan.core_target_c
    scale = [part.fillet.mass_g / fillet.mass_g for part, _ in parts]
    shares = [1.0, *scale[:-1]]
    juice_pct = sum(p.cook_out_pct * s for (p, _), s in zip(parts, shares, strict=True))
    return dataclasses.replace(
        last,
        trace=trace,
        plan=plan,
        minutes_to_target=None if last.minutes_to_target is None else before + last.minutes_to_target,
        core_minutes_to_target=first_reached(trace.time_min, trace.core_c, target),
        held_min=death.held_minutes(trace.time_min, trace.core_c, target - TOUCH_C),
        peak_core_c=float(trace.core_c.max()),
        evaporation_pct=sum(p.evaporation_pct * s for (p, _), s in zip(parts, shares, strict=True)),
        condensed_pct=sum(p.condensed_pct * s for (p, _), s in zip(parts, shares, strict=True)),
        cook_out_pct=juice_pct,
        salt_in_juice_g=sum(part.salt_in_juice_g for part, _ in parts),
        cook_out_range_pct=(JUICE_SPREAD[0] * juice_pct, JUICE_SPREAD[1] * juice_pct),
        listeria=death.lethality(trace.time_min, trace.core_c, "listeria"),
        energy_error=max(part.energy_error for part, _ in parts),
    )


def join(traces: Sequence[Trace], renamed: Sequence[str] = ()) -> Trace:
    """Return traces one after another as one; a column that a part lacks is NaN there.

    Parameters
    ----------
    traces : sequence of Trace
        Each begins at its own 0.
    renamed : sequence of str
        For each trace, a new name for its phase ``carry-over``; empty to keep it.

    Raises
    ------
    BadData
        If there is none.

    Examples
    --------
    >>> one = Trace(np.array([0.0, 2.0]), np.array([4.0, 5.0]), phases=(Phase("cook", 0, 2),))
    >>> both = join([one, one])
    >>> both.time_min.tolist(), [phase.start_min for phase in both.phases]
    ([0.0, 2.0, 4.0], [0.0, 2.0])
    """
    if not traces:
        raise BadData("join", "there is no trace", "at least one")
    names = list(renamed) or [""] * len(traces)
    there = [name for name in COLUMNS if any(getattr(trace, name) is not None for trace in traces)]
    times, phases, offset = [], [], 0.0
    columns: dict[str, list[np.ndarray]] = {name: [] for name in there}
    for index, (trace, new) in enumerate(zip(traces, names, strict=True)):
        keep = slice(0 if index == 0 else 1, None)
        times.append(trace.time_min[keep] + offset)
        for name in there:
            column = getattr(trace, name)
            filled = np.full(trace.time_min.shape, np.nan) if column is None else column
            columns[name].append(filled[keep])
        for phase in trace.phases:
            named = new if new and phase.name == "carry-over" else phase.name
            phases.append(Phase(named, phase.start_min + offset, phase.end_min + offset))
        offset += float(trace.time_min[-1])
    joined = {name: np.concatenate(parts) for name, parts in columns.items()}
    return Trace(
        np.concatenate(times),
        joined["core_c"],
        surface_c=joined.get("surface_c"),
        probe_c=joined.get("probe_c"),
        air_c=joined.get("air_c"),
        mass_g=joined.get("mass_g"),
        phases=tuple(phases),
    )
